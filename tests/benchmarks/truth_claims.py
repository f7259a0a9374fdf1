"""Which sentence claims what: the one table from a rule's name to its claims.

The rule's name says where to look, the text says what is claimed: each entry finds the direction in
the words and fails where they no longer hold it. Ways: up and down (nose), left and right (pull),
long and short, more and less (free travel), faster and slower, within and outside, none (no effect,
no change), open (said not to be settled), some (a difference without a direction).
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

__all__ = ["CLAIMS", "SILENT", "SPEAKS_OF_DIRECTION", "Claim", "NotReadable"]

FOUND, NOW, CHANGE = "found", "now", "change"


class NotReadable(Exception):  # noqa: N818 - no error of the program: the trial cannot judge
    """A sentence that this table does not understand."""


@dataclass(frozen=True)
class Claim:
    """What a sentence asserts. `count` and `names` where it counts or names lines."""

    subject: str
    moment: str
    way: str
    count: int | None = None
    names: tuple[str, ...] = ()
    limit_mm: float | None = None


Reader = Callable[[str], list[Claim]]

# What speaks of a direction, a difference, an effect or a verdict. A rule whose words do, and that
# is in neither table below, stops the trial.
SPEAKS_OF_DIRECTION = re.compile(
    r"\b(nose[- ](up|down)|left|right|slow\w*|fast\w*|long\w*|short\w*|sooner|later|sharper|softer"
    r"|stall|collapse|within|outside|as planned|of plan|notice|feel|tilt\w*|halves|shrinkage"
    r"|extra length|pull\w*|turns?|differ\w*|straight line|slack|free travel|hang back|overshoot"
    r"|easily|near the limit)\b"
)

_NUMBERS = "no one two three four five six seven eight nine ten eleven twelve".split()


def number(text: str) -> int:
    """A count as it is written: in words up to twelve, in digits beyond."""
    word = text.lower().replace(",", "").replace(".", "")
    return _NUMBERS.index(word) if word in _NUMBERS else int(word)


def says(subject: str, moment: str, **ways: str) -> Reader:
    """One claim: the only way whose pattern is in the text."""

    def read(text: str) -> list[Claim]:
        found = [way for way, pattern in ways.items() if re.search(pattern, text)]
        if len(found) != 1:
            raise NotReadable(f"{subject} {moment}: {found or 'no'} way of {sorted(ways)}")
        return [Claim(subject, moment, found[0].removesuffix("_"))]

    return read


def may_say(subject: str, moment: str, **ways: str) -> Reader:
    """The same, where the sentence may leave it out."""
    must = says(subject, moment, **ways)

    def read(text: str) -> list[Claim]:
        return must(text) if any(re.search(p, text) for p in ways.values()) else []

    return read


def all_of(*readers: Reader) -> Reader:
    """Several claims of one sentence."""
    return lambda text: [claim for reader in readers for claim in reader(text)]


def fixed(subject: str, moment: str, way: str, pattern: str) -> Reader:
    """A claim that has one way only; its words must be there."""
    return says(subject, moment, **{way: pattern})


def _outside_count(moment: str) -> Reader:
    def read(text: str) -> list[Claim]:
        if re.search(r"[Ll]eft and right .*differ", text):
            return [Claim("sides", moment, "outside")]
        found = re.search(r"\b(\w+)(?: of [\d,]+)? lines?\b[^.]*\boutside", text)
        if not found:
            raise NotReadable("how many lines are outside")
        return [Claim("lines", moment, "outside", count=number(found[1]))]

    return read


def _outside_names(text: str) -> list[Claim]:
    if re.search(r"Left and right differ", text):
        return [Claim("sides", NOW, "outside")]
    found = re.search(r"utside limits: (.*?)\. The wing is not", text)
    if not found:
        raise NotReadable("which lines are outside")
    return [Claim("lines", NOW, "outside", names=names_of(found[1]), count=count_of(found[1]))]


_LINE = re.compile(r"\b([A-Ea-e]\d+) (left|right)\b")


def names_of(listed: str) -> tuple[str, ...]:
    """Lines with their side, such as `A3 left`, of a list in running text."""
    return tuple(f"{name} {side}" for name, side in _LINE.findall(listed))


def count_of(listed: str) -> int:
    """How many lines a list names, those included that it only counts."""
    more = re.search(r"\b(\w+) more\b", listed)
    return len(names_of(listed)) + (number(more[1]) if more else 0)


def _brakes_are(moment: str) -> Reader:
    """`The left brake was a little long`, `both brakes are short`, `…, the right one short`."""

    def read(text: str) -> list[Claim]:
        words = {"long": "more", "short": "less"}
        claims = [
            Claim(f"brake {side}", moment, words[way])
            for side, way in re.findall(
                r"[Tt]he (left|right) (?:brake|one)(?: (?:was|is))? (?:a little )?(long|short)\b",
                text,
            )
        ]
        if both := re.search(r"Both brakes (?:were|are) (?:a little )?(long|short)\b", text):
            claims += [Claim(f"brake {s}", moment, words[both[1]]) for s in ("left", "right")]
        if not claims:
            raise NotReadable("which brake is long or short")
        return claims

    return read


def _brakes_tight(text: str) -> list[Claim]:
    sides = ("left", "right") if "Both brakes" in text else re.findall(r"[Tt]he (left|right) brake", text)  # fmt: skip # noqa: E501
    if not sides or not re.search(r"slack|free travel|less free travel", text):
        raise NotReadable("which brake has too little travel")
    return [Claim(f"brake travel {side}", NOW, "little") for side in sides]


def _brakes_level(moment: str) -> Reader:
    def read(text: str) -> list[Claim]:
        claims = []
        for side in ("left", "right"):
            found = re.search(rf"{side} brake (?:[\d.,]+ mm (longer|shorter)|(level))", text)
            if not found:
                raise NotReadable(f"the {side} brake against the line set")
            way = {"longer": "more", "shorter": "less"}.get(found[1] or "", "level")
            claims.append(Claim(f"printed brake {side}", moment, way))
        return claims

    return read


def _brake_change(way: str, pattern: str) -> Reader:
    def read(text: str) -> list[Claim]:
        if not re.search(pattern, text):
            raise NotReadable(f"brakes {way}")
        most = re.search(r"the (left|right) one most", text)
        return [Claim(f"brake {most[1]}" if most else "brakes", CHANGE, way)]

    return read


def _turns_now(text: str) -> list[Claim]:
    found = re.search(r"pull to the (left|right)", text)
    if not found:
        raise NotReadable("to which side it pulls")
    claims = [Claim("turn", NOW, found[1])]
    if "less than before" in text:
        claims.append(Claim("turn size", CHANGE, "less"))
    return claims


def _chart_angle(text: str) -> list[Claim]:
    near = "too near to its intended angle to tell"
    both = re.search(
        rf"As it came the wing stood (?:[\d.]+° nose (up|down)|({near}))"
        rf".*and now (?:[\d.]+° nose (up|down)|({near}))",
        text,
    )
    if both:
        return [
            Claim("pitch shown", FOUND, both[1] or "open"),
            Claim("pitch shown", NOW, both[3] or "open"),
        ]
    one = re.search(r"The wing stood [\d.]+° nose (up|down)", text)
    if one:
        return [Claim("pitch shown", FOUND, one[1])]
    if near in text or "too near to its intended angle to tell a difference" in text:
        return [Claim("pitch shown", FOUND, "open")]
    raise NotReadable("the angle of the chart")


def _planned(text: str) -> list[Claim]:
    if not re.search(r"moved( within .*)? as planned|of plan\b", text):
        raise NotReadable("moved as planned")
    limit = re.search(r"±\s?([\d.]+) mm", text)
    some = re.search(r"^(\w+) adjusted line", text)
    return [
        Claim(
            "work", CHANGE, "as planned",
            count=number(some[1]) if some and some[1].lower() in _NUMBERS else None,
            limit_mm=float(limit[1]) if limit else None,
        )
    ]  # fmt: skip


def _not_planned(text: str) -> list[Claim]:
    found = re.search(r"Not as planned: (.*?)\. Please|change of (.*?) is not the planned", text)
    if not found:
        raise NotReadable("what did not move as planned")
    return [Claim("work", CHANGE, "not as planned", count=max(1, (found[1] or found[2]).count(" and ") + 1))]  # fmt: skip # noqa: E501


def _doubted(text: str) -> list[Claim]:
    found = re.search(r"\b(\w+) (?:measured values?|entry|entries) looks?\b", text)
    if not found:
        raise NotReadable("how many values are doubted")
    return [Claim("doubt", NOW, "doubted", count=number(found[1]))]


def _close(text: str) -> list[Claim]:
    found = re.search(r"\b(\w+) lines? lies? so near", text)
    if not found:
        raise NotReadable("how many lines are close")
    return [Claim("close", NOW, "close", count=number(found[1]))]


_LINES_WITHIN = r"line lengths are (back )?within limits|lines that we measured on your wing are within"  # fmt: skip # noqa: E501
_NO_CHANGE = all_of(
    *(
        fixed(what, CHANGE, "none", r"should not notice a change")
        for what in ("pitch", "twist", "turn", "brakes")
    )
)

CLAIMS: dict[str, Reader] = {
    # headline
    "headline_still_outside": _outside_count(NOW),
    "headline_outside": _outside_count(NOW),
    "headline_brakes": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN),
        fixed("brakes length", NOW, "outside", r"brakes are not"),
    ),
    "headline_risers": fixed("risers", NOW, "outside", r"risers measured outside"),
    "headline_still_up": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN), fixed("pitch", NOW, "up", r"nose up")
    ),
    "headline_still_down": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN), fixed("pitch", NOW, "down", r"nose down")
    ),
    "headline_was_up": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN), fixed("pitch", FOUND, "up", r"nose up")
    ),
    "headline_was_down": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN), fixed("pitch", FOUND, "down", r"nose down")
    ),
    "headline_back": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN),
        fixed("any line", FOUND, "outside", r"came in with lines outside"),
    ),
    "headline_within": fixed("lines", NOW, "within", _LINES_WITHIN),
    "headline_measured_within": fixed("lines", NOW, "within", _LINES_WITHIN),
    # found
    "found_up": all_of(
        fixed("pitch", FOUND, "up", r"rear lines were short against the front.*nose up"),
        may_say("speed", FOUND, slower=r"km/h slow\b", faster=r"km/h fast\b"),
    ),
    "found_down": all_of(
        fixed("pitch", FOUND, "down", r"front lines were short against the rear.*nose down"),
        may_say("speed", FOUND, slower=r"km/h slow\b", faster=r"km/h fast\b"),
    ),
    "found_angle_open": fixed("pitch", FOUND, "open", r"cannot tell"),
    "found_level": fixed("pitch", FOUND, "none", r"should not notice"),
    "found_lines_outside": _outside_count(FOUND),
    "found_sides_differ": fixed("sides", FOUND, "outside", r"Left and right differed"),
    "found_lines_some": fixed("lines", FOUND, "within", r"lines that we measured were within"),
    "found_lines_within": fixed("lines", FOUND, "within", r"lines were within limits"),
    "found_shrunk": fixed("offset", FOUND, "short", r"All lines share a shrinkage"),
    "found_stretched": fixed("offset", FOUND, "long", r"All lines share an extra length"),
    "found_far_off": fixed("offset", FOUND, "some", r"All lines share a difference"),
    "found_tips_up": fixed("twist", FOUND, "up", r"tips stood more nose up"),
    "found_tips_down": fixed("twist", FOUND, "down", r"tips stood more nose down"),
    "found_turn": says("turn", FOUND, left=r"pulled to the left", right=r"pulled to the right"),
    "found_turn_open": fixed("turn", FOUND, "some", r"halves differed"),
    "found_brakes_tight": _brakes_tight,
    "found_brakes_mixed": _brakes_are(FOUND),
    "found_brakes_long": _brakes_are(FOUND),
    "found_brakes_short": _brakes_are(FOUND),
    "found_brakes_uneven": says(
        "brakes uneven", FOUND,
        left=r"The left brake was longer", right=r"The right brake was longer",
    ),
    "found_brakes_outside": fixed("brakes length", FOUND, "outside", r"outside limits"),
    "found_brakes_right": all_of(
        fixed("brakes", FOUND, "none", r"brakes were as intended"),
        fixed("brakes length", FOUND, "within", r"brakes were as intended"),
    ),
    # done
    "done_again_outside": _outside_count(NOW),
    "done_again_some": fixed("lines", NOW, "within", r"lines are within limits"),
    "done_again_within": fixed("lines", NOW, "within", r"lines are within limits"),
    # in the air
    "air_no_change": _NO_CHANGE,
    "air_launch_down": fixed("pitch", CHANGE, "down", r"come up more easily"),
    "air_launch_up": fixed("pitch", CHANGE, "up", r"come up more slowly"),
    "air_launch_same": fixed("pitch", CHANGE, "none", r"feel as before"),
    "air_open": fixed("pitch", CHANGE, "open", r"do not settle"),
    "air_faster": fixed("speed", CHANGE, "faster", r"\bfaster\b"),
    "air_slower": fixed("speed", CHANGE, "slower", r"\bslower\b"),
    "air_brakes_sooner": _brake_change("less", r"act sooner"),
    "air_brakes_later": _brake_change("more", r"act later"),
    "air_brakes_changed": _brake_change("some", r"feel different"),
    "air_sharper": fixed("pitch", CHANGE, "down", r"sharper"),
    "air_softer": fixed("pitch", CHANGE, "up", r"softer"),
    "air_margin_down": fixed("pitch", CHANGE, "down", r"further from a stall, but nearer to a front"),
    "air_margin_up": fixed("pitch", CHANGE, "up", r"further from a front collapse, but nearer to a st"),
    "air_tips": says("twist", CHANGE, up=r"tips stand more nose up", down=r"tips stand less nose up"),
    "air_still_turns": _turns_now,
    "air_turns": _turns_now,
    "air_no_turn": all_of(
        fixed("turn", NOW, "none", r"be gone"),
        says("turn", FOUND, left=r"pull to the left", right=r"pull to the right"),
    ),
    "air_sides_changed": fixed("turn", CHANGE, "some", r"changed against each other"),
    # before you fly
    "before_outside": _outside_names,
    "before_brakes": fixed("brakes length", NOW, "outside", r"Brakes are outside"),
    "before_risers": fixed("risers", NOW, "outside", r"Risers are outside"),
    "before_short_brakes": _brakes_are(NOW),
    # cautions
    "caution_free_travel": _brakes_tight,
    "caution_outside": fixed("any line", NOW, "outside", r"Not every line is within"),
    "caution_brakes_outside": fixed("brakes length", NOW, "outside", r"Brakes outside limits"),
    "caution_risers": fixed("risers", NOW, "outside", r"Risers outside limits"),
    "caution_ledger": _not_planned,
    "caution_up": fixed("pitch", NOW, "up", r"stands nose up.*slower"),
    "caution_down": fixed("pitch", NOW, "down", r"stands nose down.*faster"),
    "caution_turn": _turns_now,
    "caution_doubts": _doubted,
    # the pages behind
    "chart_angle_both": _chart_angle,
    "chart_angle": _chart_angle,
    "chart_bent_now": fixed("bent", NOW, "some", r"off the straight line"),
    "chart_bent": fixed("bent", FOUND, "some", r"off the straight line"),
    "chart_close": _close,
    "changes_differ": _not_planned,
    "changes_agree": _planned,
    "changes_some_agree": _planned,
    "brakes_found": _brakes_level(FOUND),
    "brakes_now": _brakes_level(NOW),
    "brakes_little_travel": _brakes_tight,
    "risers_now": says("risers", NOW, outside=r"outside", within=r"are within limits"),
    "risers_found": says("risers", FOUND, outside=r"outside", within=r"were within limits"),
    "record_doubts": _doubted,
}

# What is said without a claim about the wing's truth, although the words may look like one.
SILENT: dict[str, str] = {
    "headline_stop_brakes": "repeats the caution on free travel",
    "headline_other_load": "the trial measures at the specified load",
    "headline_stop_several": "sums up other checks",
    "headline_stop_strength": "strength is not part of the trial",
    "headline_stop_cloth": "cloth is not part of the trial",
    "headline_no_limit": "no limits, no verdict",
    "found_not_measured": "not assessed",
    "found_angle_unknown": "not assessed",
    "found_other_load": "not assessed",
    "found_lines_no_limit": "not assessed",
    "found_weak_line": "strength is not part of the trial",
    "found_porous": "cloth is not part of the trial",
    "found_cloth_both": "cloth is not part of the trial",
    "found_reported": "the pilot's words",
    "done_both": "what the job says was done",
    "done_longer": "what the job says was done",
    "done_shorter": "what the job says was done",
    "done_other_lines": "what the job says was done",
    "done_brakes_shorter": "what the job says was done",
    "done_brakes_longer": "what the job says was done",
    "done_again_other_load": "the trial measures at the specified load",
    "air_unchanged": "rests on the job's word that nothing was done, which holds in the trial",
    "air_not_known": "not assessed",
    "air_estimate": "speaks of all before it",
    "before_start": "advice",
    "before_usual": "advice",
    "before_stop": "sums up other checks",
    "before_not_assessed": "not assessed",
    "caution_short_brakes": "advice without a side; before_short_brakes names it",
    "caution_new_trim": "advice for either way",
    "caution_first_flight": "advice",
    "caution_brake_check": "advice",
    "caution_unusual": "advice",
    "caution_strength": "strength is not part of the trial",
    "caution_not_proven": "strength is not part of the trial",
    "caution_cloth": "cloth is not part of the trial",
    "caution_too_heavy": "the pilot's weight is not part of the trial",
    "caution_too_light": "the pilot's weight is not part of the trial",
    "caution_missing": "not assessed",
    "changes_unknown": "not assessed",
    "brakes_travel": "advice",
    "cloth_porosity": "cloth is not part of the trial",
    "cloth_tear": "cloth is not part of the trial",
    "strength_failed": "strength is not part of the trial",
    "strength_held": "strength is not part of the trial",
    "strength_early": "strength is not part of the trial",
    "strength_no_limit": "strength is not part of the trial",
    "decision_simple": "how verdicts come about",
    "decision_guarded": "how verdicts come about",
    "decision_probability": "how verdicts come about",
    "decision_unsure": "how verdicts come about",
    "record_speed_assumed": "how figures come about",
    "record_load_unknown": "how figures come about",
    "record_load_corrected": "how figures come about",
    "record_weight": "the pilot's weight is not part of the trial",
}
