"""Claims held against the truth: how often each kind of falsehood occurs, and out of how many.

A figure's name says what is counted; its help says out of what. `Tally` adds them up by kind.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np
from truth_readings import Measured, relative_u_mm, repeat_u_mm
from truth_sentences import Heard
from truth_wings import (
    BRAKE_TOLERANCE_MM,
    FREE_TRAVEL_MM,
    THRESHOLDS,
    TOLERANCE_MM,
    TURN_DEG,
    TURN_MM,
    State,
    TrueWing,
)

__all__ = ["FIGURES", "Service", "Tally", "counted"]

_FREE_TRAVEL_LEAST_MM = 50.0
_CLEAR = 1.5  # times the threshold: nobody may call that no change
_NOTHING = 1e-9


@dataclass(frozen=True)
class Service:
    """One service: the truth, what was measured of it, and what the report claims."""

    wing: TrueWing
    found: dict[str, Measured]
    heard: tuple[Heard, ...]
    doubts: tuple[str, ...]  # what `check` asks to look at, in words
    passed: dict[str, frozenset[tuple[int, int, int]]]  # lines that the table calls pass, by moment
    refused: tuple[str, ...] = ()  # why the job was not accepted

    def state(self, moment: str) -> State:
        """The wing as it was then; the last one measured stands for now."""
        if moment == "found":
            return self.wing.before if "before" in self.found else self.wing.after
        return self.wing.after if "after" in self.found else self.wing.before

    def truth(self, subject: str, moment: str) -> float:
        """The true size of an effect, with its sign: + is up, right, more, faster."""
        if moment == "change":
            return _size(self.wing.after, subject) - _size(self.wing.before, subject)
        return _size(self.state(moment), subject)

    def claims(self, *subjects: str, moment: str = "") -> Iterator[Heard]:
        """Those on these subjects."""
        return (
            h
            for h in self.heard
            if h.claim.subject in subjects and moment in ("", h.claim.moment)
        )


def _size(state: State, subject: str) -> float:
    match subject.removeprefix("printed ").split():
        case ["pitch", *_]:
            return state.pitch
        case ["twist"]:
            return state.twist
        case ["turn"]:
            return state.turn
        case ["speed"]:
            return -state.effective
        case ["brake", side]:
            return state.travel(("left", "right").index(side))
        case ["brakes", "uneven"]:
            return state.travel(1) - state.travel(0)
        case ["brakes"]:
            return max((state.travel(0), state.travel(1)), key=abs)
    raise KeyError(subject)


# The way that a positive size has.
_WAYS = {"up": 1, "down": -1, "right": 1, "left": -1, "more": 1, "less": -1, "faster": 1,
         "slower": -1}  # fmt: skip
_DIRECTED = ("pitch", "twist", "turn", "speed", "brake left", "brake right", "brakes",
             "brakes uneven")  # fmt: skip
_EFFECTS = (*_DIRECTED, "bent", "offset", "turn size")

Count = tuple[float, int]  # hits, out of
Rule = Callable[[Service], Count]


def _wrong(service: Service, subjects: tuple[str, ...], *, letter: bool = True) -> Count:
    """Directions against the truth, out of the directions claimed; each is counted once."""
    claimed = {
        (h.claim.subject, h.claim.moment, h.claim.way)
        for h in service.claims(*subjects)
        if h.claim.way in _WAYS and (h.letter or not letter)
    }
    wrong = judged = 0
    for subject, moment, way in claimed:
        if subject == "brakes" and moment == "change":
            sizes = [service.truth(f"brake {side}", moment) for side in ("left", "right")]
        else:
            sizes = [service.truth(subject, moment)]
        if any(abs(size) > _NOTHING for size in sizes):  # on nothing, any claim is one too many
            judged += 1
            wrong += not any(size * _WAYS[way] > 0 for size in sizes)
    return wrong, judged


def _perfect(service: Service, *, letter: bool, open_too: bool = False) -> Count:
    """Perfect wings with a statement of an effect, a difference or a change."""
    if service.wing.kind.shape != "perfect" or service.wing.kind.slip != "none":
        return 0, 0
    told = any(
        h.claim.way not in ("none", "level") and (open_too or h.claim.way != "open")
        for h in service.claims(*_EFFECTS, *(() if letter else ("pitch shown",)))
        if h.letter or not letter
    )
    return told, 1


def _perfect_verdict(service: Service) -> Count:
    if service.wing.kind.shape != "perfect" or service.wing.kind.slip != "none":
        return 0, 0
    return any(h.claim.way == "outside" for h in service.heard), 1


def _ratio(service: Service, subject: str, moment: str) -> float:
    """A true effect in thresholds. A turn by the strongest of angle, length and both."""
    if subject == "turn":
        now = service.state("now" if moment == "change" else moment)
        then = service.wing.before if moment == "change" else None
        deg = now.side_angle - (then.side_angle if then else 0.0)
        mm = now.side_mm - (then.side_mm if then else 0.0)
        both = now.turn_usual - (then.turn_usual if then else 0.0)
        return max(abs(deg) / TURN_DEG, abs(mm) / TURN_MM, abs(both) / THRESHOLDS["turn"])
    if subject == "brakes":
        sides = (service.truth(f"brake {side}", moment) for side in ("left", "right"))
        return max(abs(mm) for mm in sides) / THRESHOLDS["brakes"]
    return abs(service.truth(subject, moment)) / THRESHOLDS[subject]


def _said_none(service: Service, subjects: tuple[str, ...]) -> Count:
    """Clear effects that a sentence calls none, out of all clear effects there are."""
    none = of = 0
    for subject in subjects:
        for moment in ("found", "now", "change"):
            if moment == "change" and len(service.found) < 2:
                continue
            if _ratio(service, subject, moment) >= _CLEAR:
                of += 1
                none += any(
                    h.claim.way == "none" for h in service.claims(subject, moment=moment)
                )
    return none, of


def _named(service: Service, subject: str, moment: str) -> Count:
    """Clear effects that the report names with their direction, out of all there are."""
    if (moment == "change" and len(service.found) < 2) or (
        moment == "found" and "before" not in service.found
    ):
        return 0, 0
    if _ratio(service, subject, moment) < _CLEAR:
        return 0, 0
    sign = service.truth(subject, moment)
    return any(
        _WAYS.get(h.claim.way, 0) * sign > 0 for h in service.claims(subject, moment=moment)
    ), 1


def _clearly_outside(service: Service, moment: str) -> set[tuple[int, int, int]]:
    """Lines truly outside by more than twice their uncertainty, of those that were judged."""
    layout, kind = service.wing.layout, service.wing.kind
    state = service.state(moment)
    margin = 2.0 * relative_u_mm(kind, layout)
    beyond = np.abs(state.relative(kind.offset)) - TOLERANCE_MM > margin
    keys = zip(layout.right.astype(int), layout.row, layout.number, strict=True)
    return {
        (int(s), int(r), int(n))
        for (s, r, n), out in zip(keys, beyond, strict=True)
        if out and (int(s), int(r), int(n)) in _judged(service, moment)
    }


def _judged(service: Service, moment: str) -> set[tuple[int, int, int]]:
    """The lines that the report may speak of: measured, or carried over."""
    if moment == "found":
        return set(service.found["before"].lines_mm) if "before" in service.found else set()
    every = set().union(*(m.lines_mm for m in service.found.values()))
    return every if "after" in service.found else set()


def _passed_by_sentence(service: Service) -> Count:
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
        close = max((h.claim.count or 0 for h in service.claims("close")), default=0)
        passed += max(0, clear - outside - close)
    return passed, of


def _passed_by_table(service: Service) -> Count:
    """Lines clearly outside that the table of lines calls within limits."""
    passed = of = 0
    for moment in ("found", "now"):
        clear = _clearly_outside(service, moment)
        of += len(clear)
        passed += len(clear & service.passed.get(moment, frozenset()))
    return passed, of


def _as_planned(service: Service, how: str) -> Count:
    """Jobs whose work fell short by 10 mm and whose report says that it did not."""
    wing = service.wing
    if wing.kind.carried_out != how or len(service.found) < 2:
        return 0, 0
    gap = min(wing.short.values())
    for h in service.claims("work"):
        if h.claim.way != "as planned" or (h.claim.limit_mm or 0.0) >= gap:
            continue
        if how == "all short" or not any(
            x.claim.way == "not as planned" for x in service.claims("work")
        ):
            # some of them only: the one that fell short may be among the others
            if how == "all short" or h.claim.count is None:
                return 1, 1
    return 0, 1


def _well_done_doubted(service: Service) -> Count:
    """Jobs done as planned in which a line is said not to have moved so."""
    kind = service.wing.kind
    if kind.work == "none" or not kind.sound or len(service.found) < 2:
        return 0, 0
    return any(h.claim.way == "not as planned" for h in service.claims("work")), 1


def _doubts(service: Service) -> Count:
    return (len(service.doubts), 1) if service.wing.kind.sound else (0, 0)


def _doubted(service: Service) -> Count:
    return (bool(service.doubts), 1) if service.wing.kind.sound else (0, 0)


def _slip_seen(service: Service) -> Count:
    return (0, 0) if service.wing.kind.slip == "none" else (bool(service.doubts or service.refused), 1)


def _brake_verdict(service: Service, said: str) -> Count:
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


def _tight(service: Service) -> Count:
    """Brakes said to have too little travel, that truly have 10 mm more than the least."""
    wrong = of = 0
    for h in service.claims("brake travel left", "brake travel right"):
        side = 0 if h.claim.subject.endswith("left") else 1
        travels = [FREE_TRAVEL_MM + service.state(m).travel(side) for m in ("found", "now")]
        of += 1
        wrong += min(travels) > _FREE_TRAVEL_LEAST_MM + 10.0
    return wrong, of


def _shared(service: Service) -> Count:
    """Shrinkages said to be shared, where a row of one side truly is further off than its share."""
    wrong = of = 0
    for h in service.claims("offset", moment="found"):
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


def _contradiction(service: Service) -> Count:
    """Letters that say two things of which one must be false, whatever the truth."""
    ways: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    for h in service.heard:
        subject = "pitch" if h.claim.subject == "pitch shown" else h.claim.subject
        if not (h.claim.subject == "pitch shown" and h.claim.way == "open"):
            ways[subject, h.claim.moment].add(h.claim.way)
    for (subject, moment), said in ways.items():
        if subject == "pitch" and "none" in said and not _letter_says(service, moment):
            said = said - {"none"}  # the page behind shows an angle too small to notice
        if any(len(said & pair) > 1 for pair in _OPPOSITES):
            return 1, 1
    for side in ("left", "right"):
        if "none" in ways["brakes", "found"] and ways[f"brake {side}", "found"] & {"more", "less"}:
            return 1, 1
    new_turn = ways["turn", "now"] & {"left", "right"} and not ways["turn", "found"]
    unlike = ways["turn", "found"] | ways["turn", "now"]
    if "none" in ways["turn", "change"] and (new_turn or {"left", "right"} <= unlike):
        return 1, 1
    agrees = {h.claim.way for h in service.claims("work") if h.claim.count is None}
    return {"as planned", "not as planned"} <= agrees, 1


def _letter_says(service: Service, moment: str) -> bool:
    return any(
        h.letter and h.claim.way in ("up", "down")
        for h in service.claims("pitch", moment=moment)
    )


@dataclass(frozen=True)
class Figure:
    """One figure: its aim, what it counts, and for which jobs."""

    count: Rule
    help: str
    slips_too: bool = False


FIGURES: dict[str, Figure] = {
    "refused": Figure(lambda s: (bool(s.refused), 1), "of jobs, before anything is said"),
    "wrong_directions": Figure(
        lambda s: _wrong(s, tuple(x for x in _DIRECTED if x != "turn")),
        "of directions claimed in the letter, turns apart: aim 0",
    ),
    "wrong_directions_pitch": Figure(lambda s: _wrong(s, ("pitch",)), "of those of the angle"),
    "wrong_directions_speed": Figure(lambda s: _wrong(s, ("speed",)), "of those of the speed"),
    "wrong_directions_twist": Figure(lambda s: _wrong(s, ("twist",)), "of those of the tips"),
    "wrong_directions_brakes": Figure(
        lambda s: _wrong(s, ("brake left", "brake right", "brakes", "brakes uneven")),
        "of those of the brakes",
    ),
    "wrong_directions_turn": Figure(
        lambda s: _wrong(s, ("turn",)), "of sides named; at 2 to 5 rows .021 .014 .007 .010"
    ),
    "wrong_directions_shown": Figure(
        lambda s: _wrong(s, ("pitch shown",), letter=False), "of directions beside the chart"
    ),
    "wrong_directions_brakes_shown": Figure(
        lambda s: _wrong(s, ("printed brake left", "printed brake right"), letter=False),
        "of brakes that the section on brakes calls longer or shorter",
    ),
    "perfect_wings_with_statement": Figure(
        lambda s: _perfect(s, letter=True), "an effect or change in the letter: aim .02"
    ),
    "perfect_wings_with_statement_anywhere": Figure(
        lambda s: _perfect(s, letter=False), "with the pages behind"
    ),
    "perfect_wings_with_statement_or_open": Figure(
        lambda s: _perfect(s, letter=True, open_too=True), "or something said not to be settled"
    ),
    "perfect_wings_with_outside": Figure(_perfect_verdict, "a length outside limits"),
    "effects_said_none": Figure(
        lambda s: _said_none(s, ("pitch", "twist", "turn", "brakes")),
        "of true effects of 1.5 thresholds or more: aim 0",
    ),
    **{
        f"effects_said_none_{what}": Figure(
            lambda s, what=what: _said_none(s, (what,)), f"of those of {what}"
        )
        for what in ("pitch", "twist", "turn", "brakes")
    },
    **{
        f"effects_named_{what}_{moment}": Figure(
            lambda s, what=what, moment=moment: _named(s, what, moment),
            "of true effects of 1.5 thresholds or more, with their direction: no aim",
        )
        for what in ("pitch", "twist", "turn")
        for moment in ("found", "change")
    },
    "lines_outside_passed": Figure(
        _passed_by_sentence, "of lines truly outside by more than 2 u: aim .005 if guarded"
    ),
    "lines_outside_passed_in_table": Figure(_passed_by_table, "the same by the table of lines"),
    "planned_though_all_short": Figure(
        lambda s: _as_planned(s, "all short"), "all entries 10 mm short of plan: aim .05"
    ),
    "planned_though_one_short": Figure(
        lambda s: _as_planned(s, "one short"), "one entry 10 mm short of plan: aim .05"
    ),
    "well_done_called_unlike_plan": Figure(_well_done_doubted, "of jobs done as planned"),
    "false_doubts": Figure(_doubts, "per sound job: aim .01"),
    "sound_jobs_doubted": Figure(_doubted, "of sound jobs"),
    "slips_doubted": Figure(_slip_seen, "of jobs with a slip: no aim", slips_too=True),
    "brakes_within_said_outside": Figure(
        lambda s: _brake_verdict(s, "outside"), "of brakes clearly as long as the table says"
    ),
    "brakes_outside_said_within": Figure(
        lambda s: _brake_verdict(s, "within"), "of brakes clearly outside the table"
    ),
    "tight_brakes_that_are_not": Figure(_tight, "of brakes said to have too little travel"),
    "shared_shrinkage_that_is_not": Figure(_shared, "of offsets said to be shared by all lines"),
    "contradictions": Figure(_contradiction, "of reports"),
}


@dataclass
class Tally:
    """Hits and cases of each figure, over all and by each factor's level."""

    hits: Counter[tuple[str, str]] = field(default_factory=Counter)
    cases: Counter[tuple[str, str]] = field(default_factory=Counter)
    rules: Counter[str] = field(default_factory=Counter)
    seeds: dict[str, list[int]] = field(default_factory=dict)

    def add(self, other: "Tally") -> None:
        """Take in another part's counts."""
        self.hits.update(other.hits)
        self.cases.update(other.cases)
        self.rules.update(other.rules)
        for name, seeds in other.seeds.items():
            self.seeds.setdefault(name, []).extend(seeds)

    def share(self, figure: str, kind: str = "") -> float | None:
        """Hits over cases; None without any."""
        cases = self.cases[figure, kind]
        return self.hits[figure, kind] / cases if cases else None


def counted(service: Service, seed: int) -> Tally:
    """All figures of one service; those of sound typing leave slips out but show them by kind."""
    tally = Tally()
    kind = service.wing.kind
    slipped = kind.slip != "none"
    figures = {name: FIGURES[name] for name in ("refused", "slips_doubted")} if service.refused else FIGURES
    for name, figure in figures.items():
        hits, cases = figure.count(service)
        if not cases:
            continue
        whole = [""] if not slipped or figure.slips_too else []
        levels = [f"slip={kind.slip}"] if slipped else [f"{k}={v}" for k, v in vars(kind).items()]
        for level in (*whole, *levels):
            tally.hits[name, level] += hits
            tally.cases[name, level] += cases
        if hits and whole:
            tally.seeds.setdefault(name, []).append(seed)
    tally.rules.update(h.rule for h in service.heard)
    return tally
