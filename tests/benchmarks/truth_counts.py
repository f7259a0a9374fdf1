"""What is counted: claims of one service compared with its truth, as hits and cases."""

from collections import defaultdict

import numpy as np
from truth_readings import relative_u_mm, repeat_u_mm
from truth_sentences import Heard
from truth_service import Key, Service, Verdicts
from truth_states import BRAKE_TOLERANCE_MM, FREE_TRAVEL_MM, TOLERANCE_MM

__all__ = [
    "BRAKES",
    "DIRECTED",
    "SHOWN",
    "Count",
    "any_passed_by_table",
    "as_planned",
    "brake_verdict",
    "contradiction",
    "done_that_was_not",
    "doubted",
    "doubts",
    "named",
    "passed_by_sentence",
    "passed_by_table",
    "perfect",
    "perfect_verdict",
    "said_none",
    "shared",
    "slip_seen",
    "slip_spread",
    "statements_on_perfect",
    "tight",
    "well_done_doubted",
    "well_done_off_together",
    "wrong",
]

_FREE_TRAVEL_LEAST_MM = 50.0
_CLEAR = 1.5  # times the threshold: nobody may call that no change
_NOTHING = 1e-9
_MOVED_MM = 2.0

# The way that a positive size has.
_WAYS = {"up": 1, "down": -1, "right": 1, "left": -1, "more": 1, "less": -1, "faster": 1,
         "slower": -1}  # fmt: skip
SHOWN = ("pitch shown", "pitch shown by lines")
BRAKES = ("brake left", "brake right", "brake left by lines", "brake right by lines")
DIRECTED = ("pitch", "pitch by lines", "twist", "turn", "speed", *BRAKES, "brakes", "brakes uneven")
_EFFECTS = (*DIRECTED, "bent", "offset", "turn size")

Count = tuple[float, int]  # hits, out of


def wrong(service: Service, subjects: tuple[str, ...], *, letter: bool = True) -> Count:
    """Directions against the truth, out of the directions claimed; each is counted once."""
    claimed = {
        (h.claim.subject, h.claim.moment, h.claim.way)
        for h in service.claims(*subjects)
        if h.claim.way in _WAYS and (h.letter or not letter)
    }
    wrong = judged = 0
    for subject, moment, way in claimed:
        size = service.truth(subject, moment)
        if abs(size) > _NOTHING:  # on nothing, any claim is one too many
            judged += 1
            wrong += size * _WAYS[way] <= 0
    return wrong, judged


def statements_on_perfect(service: Service, *, letter: bool, open_too: bool = False) -> list[Heard]:
    """Statements of an effect, a difference or a change; `open_too` with what is not settled."""
    return [
        h
        for h in service.claims(*_EFFECTS, *(() if letter else SHOWN))
        if (h.letter or not letter)
        and h.claim.way not in ("none", "level")
        and (open_too or h.claim.way != "open")
    ]


def perfect(service: Service, *, letter: bool, open_too: bool = False) -> Count:
    """Perfect wings of which the report says otherwise."""
    if service.wing.kind.shape != "perfect":
        return 0, 0
    return bool(statements_on_perfect(service, letter=letter, open_too=open_too)), 1


def perfect_verdict(service: Service) -> Count:
    if service.wing.kind.shape != "perfect":
        return 0, 0
    return any(h.claim.way == "outside" for h in service.heard), 1


def said_none(service: Service, subjects: tuple[str, ...]) -> Count:
    """Clear effects that a sentence calls none, out of all clear effects there are."""
    none = of = 0
    for subject in subjects:
        for moment in ("found", "now", "change"):
            if (moment == "change" and len(service.found) < 2) or (
                moment == "now" and "after" not in service.found
            ):
                continue
            if service.thresholds(subject, moment) >= _CLEAR:
                of += 1
                none += any(h.claim.way == "none" for h in service.claims(subject, moment=moment))
    return none, of


def named(service: Service, subject: str, moment: str) -> Count:
    """Clear effects that the report names with their direction, out of all there are."""
    if (moment == "change" and len(service.found) < 2) or (
        moment == "found" and "before" not in service.found
    ):
        return 0, 0
    if service.thresholds(subject, moment) < _CLEAR:
        return 0, 0
    sign = service.truth(subject, moment)
    return any(
        _WAYS.get(h.claim.way, 0) * sign > 0 for h in service.claims(subject, moment=moment)
    ), 1


def _clearly_outside(service: Service, moment: str) -> set[Key]:
    """Lines truly outside by more than twice their uncertainty, of those that were judged."""
    layout, kind = service.wing.layout, service.wing.kind
    state = service.state(moment)
    margin = 2.0 * relative_u_mm(kind, layout)
    beyond = np.abs(state.relative(kind.offset)) - TOLERANCE_MM > margin
    keys = zip(layout.right.astype(int), layout.row, layout.number, strict=True)
    out = {(int(s), int(r), int(n)) for (s, r, n), far in zip(keys, beyond, strict=True) if far}
    return out & service.judged(moment)


def passed_by_sentence(service: Service) -> Count:
    """Lines clearly outside that the sentences let pass: more than they call outside or close.

    A sentence counts lines, it does not name all: this is the least that must have passed.
    """
    passed = of = 0
    for moment in ("found", "now"):
        clear = len(_clearly_outside(service, moment))
        of += clear
        spoken = list(service.claims("lines", moment=moment))
        if not clear or not spoken:
            continue
        outside = max((h.claim.count or 0 for h in spoken), default=0)
        close = max((h.claim.count or 0 for h in service.claims("close", moment=moment)), default=0)
        passed += max(0, clear - outside - close)
    return passed, of


def passed_by_table(service: Service) -> Count:
    """Lines clearly outside that the table of lines calls within limits."""
    passed = of = 0
    for moment in ("found", "now"):
        clear = _clearly_outside(service, moment)
        of += len(clear)
        passed += len(clear & service.verdicts.get(moment, Verdicts()).passed)
    return passed, of


def any_passed_by_table(service: Service) -> Count:
    """Wings that have such a line, and of which the table lets at least one pass."""
    passed, of = passed_by_table(service)
    return passed > 0, int(of > 0)


def as_planned(service: Service, how: str) -> Count:
    """Jobs whose work fell short by 10 mm and whose report says that it did not.

    Where one entry fell short, only a sentence on each of them says so; a limit that the sentence
    states is heeded.
    """
    wing = service.wing
    if wing.kind.carried_out != how or len(service.found) < 2:
        return 0, 0
    gap = min(wing.short.values())
    said = [
        h
        for h in service.claims("work")
        if h.claim.way == "as planned" and (h.claim.limit_mm or 0.0) < gap
    ]
    return any(how == "all short" or h.claim.count is None for h in said), 1


def done_that_was_not(service: Service) -> Count:
    """Main lines reported as let out or shortened beyond those that truly were, by 2 mm or more."""
    wrong = of = 0
    for subject, way in (("lines let out", 1), ("lines shortened", -1)):
        true = sum(mm * way >= _MOVED_MM for mm in service.wing.done.values())
        reported = sum(h.claim.count or 0 for h in service.claims(subject))
        of += reported
        wrong += max(0, reported - true)
    return wrong, of


def well_done_doubted(service: Service) -> Count:
    """Jobs done as planned in which a line is said not to have moved so."""
    if not _well_done(service):
        return 0, 0
    return any(h.claim.way == "not as planned" for h in service.claims("work")), 1


def well_done_off_together(service: Service) -> Count:
    """The same jobs of which all adjusted lines together are said to be off plan."""
    if not _well_done(service):
        return 0, 0
    return any(service.claims("work together")), 1


def _well_done(service: Service) -> bool:
    kind = service.wing.kind
    return kind.work != "none" and kind.sound and len(service.found) > 1


def doubts(service: Service) -> Count:
    return (len(service.doubts), 1) if service.wing.kind.sound else (0, 0)


def doubted(service: Service) -> Count:
    return (bool(service.doubts), 1) if service.wing.kind.sound else (0, 0)


def slip_spread(service: Service) -> Count:
    """Jobs with a slip of digits whose one wrong length is felt elsewhere in what is said.

    That is a wrong direction, turns apart, or any line called outside of a wing that has none. By
    simple acceptance chance alone does the latter to one perfect wing in ten: not the slip's doing.
    """
    kind = service.wing.kind
    if kind.slip not in ("digits", "specified digits"):
        return 0, 0
    astray, _ = wrong(service, tuple(x for x in DIRECTED if x != "turn"))
    outside, _ = perfect_verdict(service) if kind.rule != "simple" else (0, 0)
    return bool(astray or outside), 1


def slip_seen(service: Service) -> Count:
    if service.wing.kind.slip == "none":
        return 0, 0
    return bool(service.doubts or service.refused), 1


def brake_verdict(service: Service, said: str) -> Count:
    """Brakes against the table of lengths: clearly within, or clearly outside, and said not so."""
    wrong = of = 0
    u = repeat_u_mm(float(service.wing.kind.u)) + 1.0
    for moment in ("found", "now"):
        when = service.found.get("before" if moment == "found" else "after")
        if when is None or not when.brakes_mm:
            continue
        worst = max(abs(mm) for mm in service.state(moment).brakes_mm)
        within = worst < BRAKE_TOLERANCE_MM - 2.0 * u
        outside = worst > BRAKE_TOLERANCE_MM + 2.0 * u
        if within if said == "outside" else outside:
            of += 1
            wrong += any(
                h.claim.way == said for h in service.claims("brakes length", moment=moment)
            )
    return wrong, of


def tight(service: Service, way: str) -> Count:
    """Brakes said to have too little travel, that truly have 10 mm more than the least."""
    wrong = of = 0
    for h in service.claims("brake travel left", "brake travel right"):
        if h.claim.way != way:
            continue
        side = 0 if h.claim.subject.endswith("left") else 1
        travels = [FREE_TRAVEL_MM + service.state(m).travel(side) for m in ("found", "now")]
        of += 1
        wrong += min(travels) > _FREE_TRAVEL_LEAST_MM + 10.0
    return wrong, of


def shared(service: Service) -> Count:
    """Shrinkages said to be shared, where a row of one side truly is further off than its share."""
    wrong = of = 0
    for _ in service.claims("offset", moment="found"):
        state = service.state("found")
        layout, d = state.layout, state.lines_mm
        shared = float(np.median(d))
        means = [
            float(d[(layout.row == r) & (layout.right == right)].mean())
            for r in range(len(layout.names))
            for right in (False, True)
        ]
        of += 1
        wrong += max(abs(m - shared) for m in means) > max(5.0, abs(shared) / 3.0) + 3.0
    return wrong, of


_OPPOSITES = ({"up", "down", "none"}, {"left", "right", "none"}, {"more", "less", "none"},
              {"faster", "slower"}, {"within", "outside"}, {"long", "short"})  # fmt: skip


def contradiction(service: Service) -> Count:
    """Letters that say two things of which one must be false, whatever the truth."""
    ways: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    for h in service.heard:
        subject = h.claim.subject.replace("pitch shown", "pitch")
        if not (h.claim.subject in SHOWN and h.claim.way == "open"):
            ways[subject, h.claim.moment].add(h.claim.way)
    for (subject, moment), said in ways.items():
        if subject == "pitch" and "none" in said and not _letter_says(service, moment):
            said = said - {"none"}  # the page behind shows an angle too small to notice
        if any(len(said & pair) > 1 for pair in _OPPOSITES):
            return 1, 1
    for side in ("left", "right"):
        if "none" in ways["brakes", "found"] and (
            ways[f"brake {side}", "found"] | ways[f"brake {side} by lines", "found"]
        ) & {"more", "less"}:
            return 1, 1
    new_turn = ways["turn", "now"] & {"left", "right"} and not ways["turn", "found"]
    unlike = ways["turn", "found"] | ways["turn", "now"]
    if "none" in ways["turn", "change"] and (new_turn or {"left", "right"} <= unlike):
        return 1, 1
    work = {h.claim.way for h in service.claims("work") if h.claim.count is None}
    return {"as planned", "not as planned"} <= work or {"some", "nothing"} <= work, 1


def _letter_says(service: Service, moment: str) -> bool:
    return any(
        h.letter and h.claim.way in ("up", "down") for h in service.claims("pitch", moment=moment)
    )
