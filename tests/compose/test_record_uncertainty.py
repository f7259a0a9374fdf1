"""What a reader needs to follow each verdict of the record: uncertainties, shifts, borders."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from trimscribe.compose.figures import span_charts
from trimscribe.compose.sections import changes, lines
from trimscribe.compose.sections.record import line_table
from trimscribe.compose.sections.record_facts import method_facts
from trimscribe.contracts import View
from trimscribe.model.decision import Acceptance, DecisionRule
from trimscribe.model.findings import State
from trimscribe.model.job import OffsetMethod
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, Point, Side

See = Callable[[str], View]


def facts_of(view: View) -> dict[str, str]:
    return {name: text.replace("\xa0", " ") for name, text in method_facts(view)}


def with_state(view: View, when: str, **more: Any) -> View:
    state = replace(getattr(view.findings, when), **more)
    return replace(view, findings=replace(view.findings, **{when: state}))


def u_of(state: State, *, brakes: bool) -> list[float]:
    """Printed to a digit: what the lines that were judged are uncertain by."""
    lines = (x for x in state.lines if (x.point.group in (BRAKE, BRAKE_MAIN)) is brakes)
    return sorted({round(x.u_mm, 1) for x in lines if x.u_mm is not None})


def test_the_uncertainty_of_each_measuring_is_reported_where_they_differ(see: See) -> None:
    view = see("part-remeasured")
    before, after = view.findings.before, view.findings.after
    assert before is not None
    assert after is not None
    found = facts_of(view)

    texts = [
        (before, False, found["Uncertainty of a deviation before"]),
        (after, False, found["Uncertainty of a deviation after"]),
        # Nobody touched the brakes: they are judged as they were measured before.
        *((state, True, found["Uncertainty of brakes"]) for state in (before, after)),
    ]
    for state, brakes, text in texts:
        known = u_of(state, brakes=brakes)
        assert f"{known[0]:.1f}" in text
        assert f"{known[-1]:.1f} mm" in text
        assert "(k = 1)" in text
    assert u_of(before, brakes=False) != u_of(after, brakes=False)
    # Of what carried lines err by besides the row and the reading.
    assert after.carry_over is not None
    shared = f"common change of lines carried over {after.carry_over.u_mm:.2f} mm"
    assert shared in found["Uncertainty of a deviation after"]
    assert "carried over" not in found["Uncertainty of a deviation before"]


def test_one_uncertainty_is_reported_where_both_measurings_have_the_same(see: See) -> None:
    found = facts_of(see("demo"))

    assert {"Uncertainty of a deviation", "Uncertainty of brakes"} <= set(found)
    assert not [name for name in found if name.startswith("Uncertainty") and "before" in name]


def test_brakes_have_their_uncertainty_where_no_other_line_was_judged(see: See) -> None:
    """Their table needs no common offset."""
    view = see("demo")
    for when in ("before", "after"):
        state = getattr(view.findings, when)
        lines = tuple(
            x if x.point.group in (BRAKE, BRAKE_MAIN) else replace(x, relative_mm=None, u_mm=None)
            for x in state.lines
        )
        view = with_state(view, when, lines=lines, line_u_mm=None)
    found = facts_of(view)

    assert "Uncertainty of brakes" in found
    assert "Uncertainty of a deviation" not in found


def test_the_offset_of_a_measuring_with_doubts_is_not_that_of_all_lines(see: See) -> None:
    view = see("demo")
    state = view.findings.before
    assert state is not None
    lines = (replace(state.lines[0], doubted=True), *state.lines[1:])
    found = facts_of(with_state(view, "before", lines=lines))

    of_some = "mean of all lines of the rows, 1 of them estimated from the others ("
    assert of_some in found["Common offset before"]
    assert "mean of all lines of the rows (" in found["Common offset after"]


@pytest.mark.parametrize(
    ("method", "row", "how"),
    [
        (
            OffsetMethod.MEAN,
            "",
            "mean of all lines of the rows, 2 of them estimated from the others",
        ),
        (OffsetMethod.ROW, "A", "mean of the A lines, 1 of them left out"),
        (OffsetMethod.ROW, "C", "mean of the C lines ("),
        (OffsetMethod.NONE, "", "nothing taken out ("),
    ],
)
def test_the_offset_says_how_it_bridges_lines_that_were_not_measured(
    see: See, method: OffsetMethod, row: str, how: str
) -> None:
    """A mean over estimates is another number than that of the lines measured."""
    view = see("demo")
    state = view.findings.before
    assert state is not None
    assert state.offset is not None
    gaps = (Point("A", 3), Point("B", 5))
    lines = tuple(
        replace(x, deviation_mm=None) if x.side is Side.LEFT and x.point in gaps else x
        for x in state.lines
    )
    offset = replace(state.offset, method=method, row=row, mean_mm=state.offset.value_mm + 0.2)
    found = facts_of(with_state(view, "before", lines=lines, offset=offset))

    assert how in found["Common offset before"]


@pytest.mark.parametrize("mm", [1.66, -2.31])
def test_lines_carried_over_are_reported_with_the_change_added_to_them(see: See, mm: float) -> None:
    view = see("part-remeasured")
    assert view.findings.after is not None
    assert view.findings.after.carry_over is not None

    def explained(shift_mm: float) -> str:
        assert view.findings.after is not None
        tie = view.findings.after.carry_over
        assert tie is not None
        shown = line_table(with_state(view, "after", carry_over=replace(tie, shift_mm=shift_mm)))
        assert shown is not None
        return str(shown["explained"])

    size = f"{mm:+.1f}".replace("-", "\u2212")
    assert f"the common change of {size} mm" in explained(mm)
    assert "common change" not in explained(0.0)  # a session without controls adds nothing
    assert "common change" not in explained(-0.04)  # nor does this show


def test_lines_that_nothing_had_to_tie_add_no_uncertainty(see: See) -> None:
    view = see("part-remeasured")
    assert view.findings.after is not None
    tie = view.findings.after.carry_over
    assert tie is not None

    def budget(u_mm: float) -> str:
        own = with_state(view, "after", carry_over=replace(tie, u_mm=u_mm))
        return "; ".join(text for name, text in facts_of(own).items() if name.startswith("Uncert"))

    assert "common change of lines carried over 1.25 mm" in budget(1.25)
    assert "carried over" not in budget(0.0)


@pytest.mark.parametrize(
    ("shift_mm", "said"),
    [
        (1.04, "less +1.0 mm: the median change of untouched lines"),
        (-1.04, "less \u22121.0 mm: the median change of untouched lines"),
        (0.06, "less +0.1 mm: the median change of untouched lines"),
        (0.04, ""),  # nothing that a reader could see
        (None, "what the whole line set changed by in between is not known"),
    ],
)
def test_measured_changes_say_what_they_are_without(
    see: See, shift_mm: float | None, said: str
) -> None:
    view = see("demo")
    entries = tuple(replace(e, shift_mm=shift_mm) for e in view.findings.ledger)
    shown = changes.section.view(replace(view, findings=replace(view.findings, ledger=entries)))

    assert shown is not None
    assert said in shown.values["note"]
    others = "A measured change of up to 6.2 mm may be chance."
    if shift_mm is not None:
        others += " A line counts as off its plan from 5.8 to 8.3 mm."
    assert bool(said) is (shown.values["note"] != others)


def test_in_one_session_the_line_set_is_taken_as_it_was(see: See) -> None:
    view = see("demo")
    assert view.job.before is not None
    assert view.job.after is not None
    one_day = replace(view.job.after, date=view.job.before.date)
    entries = tuple(replace(e, shift_mm=0.0) for e in view.findings.ledger)
    view = replace(view, job=replace(view.job, after=one_day))
    shown = changes.section.view(replace(view, findings=replace(view.findings, ledger=entries)))

    assert shown is not None
    assert "taken not to have changed" in shown.values["note"]
    nothing = tuple(replace(e, measured_mm=None) for e in entries)
    silent = changes.section.view(replace(view, findings=replace(view.findings, ledger=nothing)))
    assert silent is not None
    assert silent.values["note"] == ""


def test_a_line_near_the_border_of_a_guarded_rule_reads_on_its_own_side(see: See) -> None:
    """10 mm and twice 2.29 mm: 14.58 mm; both round to 15."""
    view = see("demo")
    view = replace(view, job=replace(view.job, decision_rule=DecisionRule(Acceptance.GUARDED, 2.0)))
    state = view.findings.after
    assert state is not None
    first, second, *rest = state.lines
    assert math.isclose(first.tolerance_mm or 0.0, 10.0)
    lines = (
        replace(first, relative_mm=-14.55, u_mm=2.29),
        replace(second, relative_mm=-15.0, u_mm=2.29),
        *rest,
    )
    shown = line_table(with_state(view, "after", lines=lines))
    assert shown is not None
    cells = [row for group in shown["groups"] for row in group]

    assert [row[5].removeprefix("○ ") for row in cells[:2]] == ["\u221214.55", "\u221215"]


@pytest.mark.parametrize(("when", "other"), [("before", "after"), ("after", "before")])
def test_charts_around_plain_lengths_say_which_verdicts_have_another_zero(
    see: See, when: str, other: str
) -> None:
    """Only one measuring has a common offset: the charts draw both without it."""
    view = see("demo")
    plain = tuple(replace(x, relative_mm=None) for x in getattr(view.findings, other).lines)
    view = with_state(view, other, offset=None, lines=plain)
    state = getattr(view.findings, when)
    shown = lines.section.view(view)
    assert shown is not None

    said = str(shown.values["explained"]).replace("\xa0", " ")
    taken = f"{abs(state.offset.value_mm):.1f} mm, which is not taken out here"
    at = "before" if when == "before" else "now"
    assert f"The verdicts {at} and the record's deviations {at} are less the common" in said
    assert taken in said
    shift = state.offset.value_mm
    line = state.lines[0]
    assert math.isclose(line.deviation_mm - line.relative_mm, shift)


@pytest.mark.parametrize(
    ("when", "other", "mark"),
    [("before", "after", "A diamond shows the line before."), ("after", "before", "A dot shows")],
)
def test_charts_of_one_measuring_alone_say_what_was_taken_out_of_it(
    see: See, when: str, other: str, mark: str
) -> None:
    """All lines of the other one are in doubt: nothing of it is drawn at a height of its own."""
    view = see("demo")
    doubted = tuple(
        x if x.kind.is_brake else replace(x, relative_mm=None, tolerance_mm=None, doubted=True)
        for x in getattr(view.findings, other).lines
    )
    view = with_state(view, other, offset=None, lines=doubted)
    state, shown = getattr(view.findings, when), lines.section.view(view)
    assert shown is not None
    figure = span_charts.figure.draw(view)
    assert figure is not None

    said = str(shown.values["explained"]).replace("\xa0", " ")
    assert mark in said
    assert (
        f"after taking out the common offset of \u2212{abs(state.offset.value_mm):.1f} mm" in said
    )
    assert said.endswith("Dashed lines mark the limits.")
    assert "not taken out" not in said
    rows = [x for x in state.lines if x.point.group == "A"]
    low = min(x.relative_mm for x in rows)
    assert f"A lines, {'Before' if when == 'before' else 'Now'}: " in figure.alt
    assert f"deviations from {view.formats.beside(low, None, sign=True)}" in figure.alt


def test_without_a_row_there_is_no_chart_to_explain(see: See) -> None:
    view = see("inspection")
    state = view.findings.before
    assert state is not None
    brakes = tuple(
        x if x.kind.is_brake else replace(x, measured_mm=None, deviation_mm=None, relative_mm=None)
        for x in state.lines
    )
    shown = lines.section.view(with_state(view, "before", offset=None, lines=brakes))
    assert shown is not None
    assert shown.values["explained"] == ""
    assert shown.values["key"] == []
