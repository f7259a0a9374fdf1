"""Captions and keys of figures explain the marks that are there, and no others."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from trimscribe.compose.figures.brake_view import figure as brake_view
from trimscribe.compose.figures.plan_view import figure as plan_view
from trimscribe.compose.figures.side_view import figure as side_view
from trimscribe.compose.sections.lines import section as lines
from trimscribe.compose.sections.record import section as record
from trimscribe.contracts import View
from trimscribe.model.assessment import Assessment, Claim, Subject, When
from trimscribe.model.findings import LineFinding, State
from trimscribe.model.verdicts import Verdict
from trimscribe.model.wing import Side

See = Callable[[str], View]


def calculated(view: View, *sides: Side) -> View:
    """The same wing, with the free travel of some brakes calculated from their lines."""
    before = view.findings.before
    assert before is not None
    brakes = {side: replace(b, estimated=side in sides) for side, b in before.brakes.items()}
    findings = replace(view.findings, before=replace(before, brakes=brakes))
    return replace(view, findings=findings)


@pytest.mark.parametrize(
    ("sides", "words"),
    [
        ((), "Dot: as measured."),
        (tuple(Side), "Dot: as calculated."),
        ((Side.RIGHT,), "Dot: as measured, calculated on the right."),
    ],
)
def test_a_calculated_free_travel_is_not_called_measured(
    see: See, sides: tuple[Side, ...], words: str
) -> None:
    figure = brake_view.draw(calculated(see("inspection"), *sides))
    assert figure is not None
    assert figure.caption.endswith(f"before the trailing edge does. {words}")


def test_what_was_calculated_of_brakes_as_they_came_is_said_of_their_mark(see: See) -> None:
    figure = brake_view.draw(calculated(see("outside"), *Side))
    assert figure is not None
    assert "Dot: now. Diamond: as it came, calculated." in figure.caption


def test_brakes_whose_sides_may_be_mixed_up_say_so(see: See) -> None:
    view = see("outside")
    facts = {**view.assessment.facts, "doubts_sides": True}
    doubted = replace(view, assessment=replace(view.assessment, facts=facts))
    captions = [figure.caption for one in (view, doubted) if (figure := brake_view.draw(one))]

    assert ["as entered, perhaps mixed up" in words for words in captions] == [False, True]


def angles(view: View, found: Claim, now: Claim) -> View:
    """The same wing, with other pitches as it came and as it leaves."""
    claims = tuple(
        {When.FOUND: found, When.NOW: now}[claim.when]
        if claim.subject is Subject.PITCH and claim.when in (When.FOUND, When.NOW)
        else claim
        for claim in view.assessment.claims
    )
    assessment: Assessment = replace(view.assessment, claims=claims)
    return replace(view, assessment=assessment)


@pytest.mark.parametrize(
    ("found_deg", "now_deg", "same"),
    # Drawn eight times as large, 134 points from the pivot: 0.06° are 1.1 points of an outline
    # of 1.2, 0.07° are 1.3.
    [(1.0, 1.0, True), (1.0, 1.06, True), (1.0, 1.07, False), (1.0, 1.3, False)],
)
def test_two_outlines_that_lie_on_each_other_are_not_called_two(
    see: See, found_deg: float, now_deg: float, same: bool
) -> None:
    view = see("demo")
    found, now = (view.assessment.claim(Subject.PITCH, when) for when in (When.FOUND, When.NOW))
    up = {"direction": "up", "low": None, "high": None}
    view = angles(view, replace(found, value=found_deg, **up), replace(now, value=now_deg, **up))
    figure = side_view.draw(view)
    assert figure is not None
    assert ("Before and now drawn as one." in figure.caption) is same
    assert ("Dashed: before." in figure.caption) is not same


def test_two_wings_drawn_level_are_drawn_as_one(see: See) -> None:
    view = see("demo")
    found, now = (view.assessment.claim(Subject.PITCH, when) for when in (When.FOUND, When.NOW))
    level = replace(now, direction="")
    figure = side_view.draw(angles(view, replace(level, when=found.when), level))
    assert figure is not None
    assert figure.caption.endswith("Before and now drawn as one. Dotted: where it may lie.")


def all_lines_changed(view: View) -> View:
    """The same work on each line of the wing."""
    spec, entry = view.job.specification, view.findings.ledger[0]
    assert spec is not None
    names = [line.name for line in spec.cascade if line.parent is None]
    ledger = tuple(replace(entry, line=name, side=side) for name in names for side in Side)
    return replace(view, findings=replace(view.findings, ledger=ledger))


def test_the_plan_speaks_of_untouched_lines_only_where_there_are_some(see: See) -> None:
    some, none = plan_view.draw(see("demo")), plan_view.draw(all_lines_changed(see("demo")))
    assert some is not None
    assert none is not None
    assert some.caption.endswith("Dots show lines without an entry.")
    assert "Dots" not in none.caption


def test_the_plan_speaks_of_dashed_arrows_only_where_there_are_some(see: See) -> None:
    view = see("demo")
    ledger = view.findings.ledger
    entered = tuple(replace(e, shown=None, expected_mm=7.0) for e in ledger)

    def caption(*entries: object) -> str:
        changed = replace(view, findings=replace(view.findings, ledger=entries))
        figure = plan_view.draw(changed)
        assert figure is not None
        return figure.caption

    measured = tuple(replace(e, shown=True, measured_mm=7.0) for e in ledger)
    assert "as entered" not in caption(*measured)
    assert "The arrows are as measured." in caption(*measured)
    assert "which is not known" not in caption(*measured)
    unknown = tuple(replace(e, shift_mm=None) for e in measured)
    assert "holds what all lines changed by in between, which is not known" in caption(*unknown)
    assert "dashed ones as entered" in caption(*measured[:1], *entered[1:])
    assert "The arrows are as entered" in caption(*entered)


def explained(view: View) -> str:
    shown = lines.view(view)
    assert shown is not None
    return str(shown.values["explained"])


def key(view: View) -> dict[str, str]:
    shown = lines.view(view)
    assert shown is not None
    return {item["shape"]: item["label"] for item in shown.values["key"]}


def with_lines(view: View, change: Callable[[LineFinding], LineFinding]) -> View:
    """The same wing, each of its lines another."""

    def changed(state: State | None) -> State | None:
        return state and replace(state, lines=tuple(change(line) for line in state.lines))

    found, after = changed(view.findings.before), changed(view.findings.after)
    return replace(view, findings=replace(view.findings, before=found, after=after))


def test_stems_of_untouched_lines_are_explained_only_where_there_are_some(see: See) -> None:
    view = see("demo")
    assert ", so untouched lines have one too." in explained(view)
    ends = "a change against what was taken out. Dashed lines mark the limits."
    assert explained(all_lines_changed(view)).endswith(ends)


def test_the_key_has_a_ring_only_where_a_line_is_outside(see: See) -> None:
    assert key(see("outside"))["ring"] == "outside limits now"
    nobody = with_lines(see("outside"), lambda line: replace(line, verdict=Verdict.NOT_ASSESSED))
    assert "ring" not in key(nobody)
    assert set(key(nobody)) == set(key(see("outside"))) - {"ring"}


def test_the_key_has_a_diamond_and_a_dot_only_where_they_are_drawn(see: See) -> None:
    assert key(see("inspection"))["dot"] == "Measured"
    assert "diamond" not in key(see("inspection"))
    carried = with_lines(see("demo"), lambda line: replace(line, carried=True))
    assert {"diamond", "square"} <= set(key(carried))
    assert "dot" not in key(carried)


@pytest.mark.parametrize(
    ("rows", "words"),
    [("C", "Row C was not measured."), ("BC", "Rows B and C were not measured."), ("", "")],
)
def test_rows_that_have_no_chart_are_named(see: See, rows: str, words: str) -> None:
    def emptied(line: LineFinding) -> LineFinding:
        gone = line.point.group in tuple(rows)
        return (
            replace(line, measured_mm=None, deviation_mm=None, relative_mm=None) if gone else line
        )

    text = explained(with_lines(see("demo"), emptied))
    assert text.endswith(words)
    assert ("not measured" in text) is bool(rows)


@pytest.mark.parametrize(("name", "corrected"), [("corrected-load", True), ("demo", False)])
def test_deviations_of_corrected_lengths_are_said_to_be_so(
    see: See, name: str, corrected: bool
) -> None:
    view = see(name)
    table = record.view(view)
    assert table is not None
    words = "brought from the tension of measuring to the specified one"

    assert (words in explained(view)) is corrected
    assert (words in str(table.values)) is corrected
