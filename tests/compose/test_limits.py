"""A limit is printed as it was written, and a value so that it reads on its own side of it."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from trimscribe.analyse import analyse
from trimscribe.compose.figures.span_charts import figure as span_charts
from trimscribe.compose.sections.checks import section as checks
from trimscribe.compose.sections.record import line_table
from trimscribe.compose.sections.record_facts import method_facts, visit_facts, wing_facts
from trimscribe.contracts import View
from trimscribe.model.findings import LineFinding
from trimscribe.model.job import Job, TearReading
from trimscribe.model.wing import Point, Side, StrengthRule, Tolerances
from trimscribe.registry import Registry

See = Callable[[str], View]
LIMITS = Tolerances(8.5, {"brake": 12.5, "stabilo": 10.0}, riser_mm=2.5, left_right_mm=7.5)


def again(view: View, registry: Registry, **other: Any) -> View:
    """The same with another part of the job, analysed again."""
    job: Job = replace(view.job, **other)
    return replace(view, job=job, findings=analyse(job, registry))


def rows(view: View, part: str) -> list[list[str]]:
    """The table of one of the other checks."""
    shown = checks.view(view)
    assert shown is not None
    found = next(p for p in shown.values["parts"] if p["title"] == part)
    return [row["cells"] for row in found["rows"]]


def test_every_limit_of_lines_and_risers_is_named_as_it_was_written(
    see: See, registry: Registry
) -> None:
    view = again(see("demo"), registry, tolerances=LIMITS)

    assert dict(map(tuple, method_facts(view)))["Tolerance"] == (
        "±8.5 mm, Brake ±12.5 mm, Stabilo ±10 mm, left against right 7.5 mm, Risers ±2.5 mm"
    )
    assert {row[2] for row in rows(view, "Brakes")} == {"±12.5"}


def test_the_dashed_lines_of_the_charts_carry_the_limit_as_it_was_written(
    see: See, registry: Registry
) -> None:
    figure = span_charts.draw(again(see("demo"), registry, tolerances=LIMITS))

    assert figure is not None
    assert ">+8.5<" in figure.svg
    assert ">−8.5<" in figure.svg


def test_readings_outside_their_limit_never_read_as_within(see: See, registry: Registry) -> None:
    view = see("demo")
    porosity, tear = view.job.porosity, view.job.tear
    assert porosity is not None
    assert tear is not None
    low = replace(porosity.readings[0], place="x", value=20.1)
    porosity = replace(porosity, limit=20.4, readings=(low, *porosity.readings[1:]))
    tear = replace(tear, limit_mm=2.5, readings=(TearReading("x", 2.6), TearReading("y", 2.5)))

    found = rows(again(view, registry, porosity=porosity, tear=tear), "Cloth")

    assert ["Porosity", "x", "20 s", "≥ 20.4 s", "outside limits"] in found
    assert ["Porosity", "left tip", "140 s", "≥ 20.4 s", "within limits"] in found
    assert ["Tear test", "x", "3 mm", "≤ 2.5 mm", "outside limits"] in found
    assert ["Tear test", "y", "2.5 mm", "≤ 2.5 mm", "within limits"] in found


def test_a_line_that_broke_just_below_what_it_must_hold_reads_so(
    see: See, registry: Registry
) -> None:
    view = see("demo")
    pull = replace(view.job.strength[0], load_n=866.8, required_n=867.0, broke=True)

    found = rows(again(view, registry, strength=(pull,)), "Line strength")

    assert found == [["A4 middle line, left", "broke at 866.8 N", "≥ 867 N", "outside limits"]]


def test_what_a_rule_asks_of_a_line_is_written_to_a_tenth(see: See, registry: Registry) -> None:
    """The heavier of 8 × 102 kg × 10 N and 14000 N, on 24 lines: 583.333 N."""
    view = see("demo")
    assert view.job.specification is not None
    rule = StrengthRule(("A",), 8.0, 24, at_least_n=14000.0)
    spec = replace(view.job.specification, strength_rules=(rule,))
    pull = replace(view.job.strength[0], load_n=600.0, required_n=None)

    found = rows(again(view, registry, strength=(pull,), specification=spec), "Line strength")

    assert found == [["A4 middle line, left", "held 600 N", "≥ 583.3 N", "within limits"]]


@pytest.mark.parametrize("name", ["demo", "outside", "four-row", "two-row", "five-row"])
def test_a_deviation_in_the_record_reads_outside_just_where_it_is_ringed(
    see: See, name: str
) -> None:
    view = see(name)
    spec, table = view.job.specification, line_table(view)
    assert spec is not None
    assert table is not None
    states = [s for s in (view.findings.before, view.findings.after) if s is not None]
    points = [point for group in spec.groups for point in group.points]
    cells = [row for group in table["groups"] for row in group]

    seen = 0
    for point, row in zip(points, cells, strict=True):
        for side, left in zip(Side, (2, 2 + 2 * len(states)), strict=True):
            for text, state in zip(row[left + len(states) :], states, strict=False):
                line = state.line(side, point)
                assert line is not None
                if line.relative_mm is not None and line.tolerance_mm is not None:
                    assert reads_outside(text, line) == text.startswith("○") == line.verdict.outside
                    seen += 1
    assert seen == sum(line.relative_mm is not None for s in states for line in s.lines)


def reads_outside(text: str, line: LineFinding) -> bool:
    size = abs(float(text.removeprefix("○ ").removeprefix("* ").replace("−", "-")))
    assert size != line.tolerance_mm or size == pytest.approx(abs(line.relative_mm or 0.0))
    return size > (line.tolerance_mm or 0.0)


def test_halves_of_a_millimetre_are_printed_and_keep_their_column_even(
    see: See, registry: Registry
) -> None:
    view = see("demo")
    before = view.job.before
    assert before is not None
    lengths = {**before.lengths_mm, (Side.LEFT, Point("A", 1)): 7334.5}
    table = line_table(again(view, registry, before=replace(before, lengths_mm=lengths)))

    assert table is not None
    (first, second), every = table["groups"][0][:2], [r for g in table["groups"] for r in g]
    assert first[:4] == ["A1", "7342", "7334.5", "7334"]
    assert second[:4] == ["A2", "7338", "7334.0", "7333"]
    assert all("." in row[2] and "." in row[6] and "." not in row[3] for row in every)


@pytest.mark.parametrize(
    ("least", "most", "reported"),
    [
        (80.0, 102.0, "80–102 kg"),
        (80.5, None, "from 80.5 kg"),
        (None, 102.0, "up to 102 kg"),
        (None, None, None),
    ],
)
def test_one_end_of_a_weight_range_is_reported_as_that_end(
    see: See, least: float | None, most: float | None, reported: str | None
) -> None:
    view = see("demo")
    wing = replace(view.job.wing, weight_min_kg=least, weight_max_kg=most)

    facts = dict(map(tuple, wing_facts(replace(view, job=replace(view.job, wing=wing)))))

    assert facts.get("Weight range") == reported


def test_a_weight_just_above_the_range_does_not_read_as_its_end(see: See) -> None:
    view = see("demo")
    assert view.job.pilot is not None
    pilot = replace(view.job.pilot, all_up_weight_kg=102.4)

    facts = dict(map(tuple, visit_facts(replace(view, job=replace(view.job, pilot=pilot)))))

    assert facts["Weight of pilot and gear"] == "102.4 kg"
