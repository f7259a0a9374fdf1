"""Doubts as warnings with their place in the file. A confirmed one is silent."""

from collections.abc import Iterable, Iterator, Mapping

from trimscribe.errors import Fault, Mark, Severity
from trimscribe.model.assessment import Assessment
from trimscribe.model.doubts import CHANGED, RISERS, SPECIFIED, Doubt, DoubtKind
from trimscribe.model.findings import CarryOver
from trimscribe.model.verdicts import WhyNot

ValuePath = tuple[str | int, ...]

_WHAT = {
    DoubtKind.LENGTH: "{found} mm is {gap} mm {way} than its neighbours let expect, {expected} mm.",
    DoubtKind.NEIGHBOURS_SWAPPED: "{found} mm fits to {other}, and the length there fits here.",
    DoubtKind.ROWS_SWAPPED: "this row's lengths fit to row {other}, and those of {other} fit here.",
    DoubtKind.REVERSED: (
        "the lengths fit the specification only when read backwards, from the tip to the centre."
    ),
    DoubtKind.SHIFTED: (
        "from {found} mm on, {count} lengths fit the point beside theirs: {found} mm fits {other}."
    ),
    DoubtKind.SIDES_SWAPPED: "left and right fit what was measured before when they are swapped.",
    DoubtKind.SIDES_EQUAL: "{count} lengths are equal to those on the {other} side.",
    DoubtKind.ROWS_EQUAL: "{count} lengths are equal to those of row {other}.",
    DoubtKind.TIMES_EQUAL: "all {count} lengths are equal to those before the work.",
    DoubtKind.REPEATED: "{found} mm occurs {count} times one after the other.",
    DoubtKind.OFF_TOGETHER: "{count} lines are about {gap} mm {way} than all others.",
    DoubtKind.OFFSET: (
        "as a whole the lines are about {gap} mm {way} than specified, more than line sets usually "
        "are."
    ),
    DoubtKind.MOVED: "{other} became {gap} mm {way}, but no adjustment says so.",
    DoubtKind.MOVED_UNLIKE: "{expected_change} was planned, but {found_change} was measured.",
    DoubtKind.SPECIFIED_LENGTH: (
        "{found} mm is specified, {gap} mm {way} than its neighbours let expect, {expected} mm."
    ),
    DoubtKind.SPECIFIED_ROW: (
        "the specified lengths jump by about {gap} mm somewhere along the span."
    ),
    DoubtKind.SPECIFIED_UNLIKE: (
        "both sides are about {gap} mm {way_off} than the {found} mm that are specified, unlike "
        "their neighbours."
    ),
    DoubtKind.RISER: "{found} mm, where {wanted} mm is specified.",
    DoubtKind.NOTHING: "nothing is doubtful there.",
}
_REPAIR = {
    DoubtKind.NEIGHBOURS_SWAPPED: "Were the two written in the wrong order?",
    DoubtKind.ROWS_SWAPPED: "Were the two rows written in each other's place?",
    DoubtKind.REVERSED: "Were they written from the tip? Points count from the centre outwards.",
    DoubtKind.SHIFTED: (
        "Was a reading left out or written twice, so that all that follow are at the wrong point? "
        "Compare the row with your sheet, and write ~ for what was not read."
    ),
    DoubtKind.SIDES_SWAPPED: "Were left and right mixed up, or did one side move as a whole?",
    DoubtKind.SIDES_EQUAL: "Was one side copied?",
    DoubtKind.ROWS_EQUAL: "Was one row copied?",
    DoubtKind.TIMES_EQUAL: "Was the row copied instead of measured again?",
    DoubtKind.REPEATED: "Was a length copied?",
    DoubtKind.OFF_TOGETHER: (
        "Were they measured from another point, is it another row, or is a digit wrong in all?"
    ),
    DoubtKind.OFFSET: "Were they measured from another point, or is it another wing's line set?",
    DoubtKind.SPECIFIED_LENGTH: "Compare it with the maker's document.",
    DoubtKind.SPECIFIED_ROW: "Compare the row with the maker's document.",
    DoubtKind.SPECIFIED_UNLIKE: "Compare it with the maker's document before the lines are judged.",
    DoubtKind.MOVED: (
        "Is an adjustment missing, a replaced line not named such as B9, or was a length misread?"
    ),
    DoubtKind.MOVED_UNLIKE: "Was the work done otherwise, or not at all?",
}
_NOT_CARRIED = {
    WhyNot.MEASURED_OTHERWISE: (
        "Lines that were not measured again cannot be carried over from `before`: it is not stated "
        "that both were measured by one method and instrument and at one tension, or which line "
        "was replaced.",
        "Write `method`, `instrument` and `tension_n` in both, and name replaced lines such as B9; "
        "or measure all lines again.",
    ),
    WhyNot.NO_CONTROLS: (
        "Lines that were not measured again cannot be carried over from `before`: no untouched "
        "lines of both sides were measured both times.",
        "Measure three or more untouched lines a side again, in two rows, or measure all again.",
    ),
    WhyNot.CONTROLS_DISAGREE: (
        "The untouched lines that were measured both times do not agree.",
        "Something else changed between the two measurings: measure all lines again.",
    ),
}
_RISER = {
    "swapped": "Were the lengths at trim and with the bar pushed written in each other's place?",
    "longer": "No riser becomes longer when the bar is pushed: compare both lengths.",
    "changed": "Was it misread once, or is an exchange missing under `replacements`?",
    "sides": "Were left and right mixed up in one of the measurings, or the risers themselves?",
    "": "Was it measured between the maker's points, or is a digit wrong?",
}
_RISER_CHANGED = "{found} mm, where {wanted} mm was measured before, and no exchange was entered."
_RISER_LONGER = "{found} mm with the bar pushed, {wanted} mm without."
_RELEASED = ("released", "released_with_conditions")
# By the words of the fact `against`.
_AGAINST = {
    "strength": "a line broke too early in its test",
    "cloth": "the cloth is outside its limits, or too close to them",
    "inspection": "damage was found",
    "brakes": "a brake has too little free travel",
    "load": "the lines were not measured at the maker's tension",
    "not_again": "the wing was not measured after the work",
    "untied": "too few lines were measured to judge them",
    "rest": "the lines that were measured say nothing of the others",
    "disagree": "lines that nobody touched measured differently the second time",
    "free_travel": "the free travel of {brakes} is not known",
    "travel_close": "free travel was calculated only, and is close to the minimum",
    "short_brakes": "a brake is short and outside limits, and its free travel was not measured",
    "doubts": "what was entered looks wrong and was not confirmed",
    "unlike_plan": "the lines did not measure as their work was entered",
    "not_proven": "the pull test does not prove that the lines hold",
    "broken": "a line that broke in its pull test is not among the replacements",
    "outside_lines": "lines are outside limits, or too close to be sure",
    "outside_risers": "risers are outside limits, or too close to be sure",
    "outside_brakes": "brakes are outside limits, or too close to be sure",
}
_MAIN_ALONE = "{other} became {expected_change}, but the lines above it show {found_change}."
_FAN_COPIED = "Lengths of the fan include the main line: were they measured again after the work?"


def doubt_messages(doubts: Iterable[Doubt], marks: Mapping[ValuePath, Mark]) -> Iterator[Fault]:
    """A warning for each doubt that nobody confirmed; nothing is repaired by itself."""
    for doubt in doubts:
        if doubt.confirmed is None:
            message = f"Please check `{doubt.name}`: {_what(doubt)}"
            mark = nearest_mark(doubt.at, marks)
            yield Fault(doubt.kind.value, message, mark, _hint(doubt), Severity.WARNING)


def objection(assessment: Assessment, marks: Mapping[ValuePath, Mark]) -> Fault | None:
    """A release against what was found needs a reason; both are then printed."""
    facts = assessment.facts
    against = facts["against"]
    if facts["flight"] in _RELEASED and isinstance(against, tuple) and not facts["flight_reason"]:
        if not against:
            return None
        sides = facts["free_travel_unknown"]
        brakes = "the brakes"
        if isinstance(sides, tuple) and len(sides) == 1:
            brakes = f"the {sides[0]} brake"
        whys = "; ".join(_AGAINST[str(why)].format(brakes=brakes) for why in against)
        return Fault(
            "released-against-stop",
            f"The wing is released without a reason, but {whys}.",
            nearest_mark(("decision", "flight"), marks),
            "Settle it, or write `not released`; or say under `reason` why it may fly all the "
            "same: the report prints both.",
        )
    return None


def not_carried_over(found: CarryOver | None, marks: Mapping[ValuePath, Mark]) -> Iterator[Fault]:
    """A warning where lines that nobody moved could not be carried over from before."""
    if found is not None and found.why_not in _NOT_CARRIED:
        message, hint = _NOT_CARRIED[found.why_not]
        mark = nearest_mark(("after",), marks)
        yield Fault("not-carried-over", message, mark, hint, Severity.WARNING)


def nearest_mark(at: ValuePath, marks: Mapping[ValuePath, Mark]) -> Mark | None:
    """Where a value is, or the nearest thing around it that is written."""
    return next((marks[at[:n]] for n in range(len(at), -1, -1) if at[:n] in marks), None)


def _what(doubt: Doubt) -> str:
    found, expected = doubt.found or 0.0, doubt.expected or 0.0
    alone = doubt.kind is DoubtKind.MOVED_UNLIKE and doubt.other
    what = _MAIN_ALONE if alone else _WHAT[doubt.kind]
    if doubt.kind is DoubtKind.RISER and doubt.other == "longer":
        what = _RISER_LONGER
    elif doubt.kind is DoubtKind.RISER and doubt.other in CHANGED:
        what = _RISER_CHANGED
    return what.format(
        found=f"{found:g}",
        wanted=f"{expected:g}",
        expected=f"about {expected:.0f}",
        gap=f"{abs(found - expected):.0f}",
        way_off="shorter" if found > expected else "longer",
        way=("more" if found > expected else "less")
        if doubt.kind in (DoubtKind.LENGTH, DoubtKind.SPECIFIED_LENGTH)
        else ("longer" if found > expected else "shorter"),
        found_change=_change(found),
        expected_change=_change(expected),
        other=doubt.other,
        count=doubt.count,
    )


def _change(mm: float) -> str:
    return (
        "no change" if round(mm) == 0 else f"{abs(mm):.0f} mm {'longer' if mm > 0 else 'shorter'}"
    )


def _hint(doubt: Doubt) -> str:
    if doubt.kind is DoubtKind.NOTHING:
        return "Take it out of `confirmed`, or use the name that a warning gives."
    repair = _REPAIR.get(doubt.kind, "")
    if doubt.kind in SPECIFIED and doubt.suggested is not None:
        repair += f" Was {doubt.suggested:g} meant?"
    if doubt.kind is DoubtKind.LENGTH and doubt.suggested is not None:
        repair = f"Was {doubt.suggested:g} meant?"
    if doubt.kind is DoubtKind.RISER:
        repair = _RISER.get(doubt.other, _RISER[""])
    if doubt.kind is DoubtKind.MOVED_UNLIKE and doubt.other:
        repair = _FAN_COPIED
    if doubt.other == RISERS and doubt.found is not None:
        ways = ("with", "without") if doubt.found > 0.0 else ("without", "with")
        repair = "Were they measured {} the risers? The specification is {} them.".format(*ways)
    where = "in the line set or the job" if doubt.kind in SPECIFIED else ""
    right = f"If it is right, say why under `confirmed` {where}".rstrip() + f": `{doubt.name}: …`."
    return f"{repair} {right}".strip()
