"""Tables and pictures of a wing that was measured after the work alone show that measuring."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from trimscribe.analyse import analyse
from trimscribe.assess import assess
from trimscribe.compose.figures.brake_view import figure as brake_view
from trimscribe.compose.figures.outside_view import figure as outside_view
from trimscribe.compose.figures.side_view import figure as side_view
from trimscribe.compose.figures.span_charts import figure as span_charts
from trimscribe.compose.sections import changes, checks, lines
from trimscribe.compose.sections.record import line_table
from trimscribe.compose.sections.record_facts import method_facts
from trimscribe.contracts import View
from trimscribe.model.document import Figure
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, Side
from trimscribe.narrate import narrate
from trimscribe.registry import Registry


@pytest.fixture
def alone(see: Callable[[str], View], registry: Registry) -> View:
    """The demo without what was measured before its retrim."""
    view = see("demo")
    job = replace(view.job, before=None)
    findings = analyse(job, registry)
    assessment = assess(findings, job)
    said = narrate(assessment, job, registry)
    return replace(view, job=job, findings=findings, assessment=assessment, statements=said)


def words(figure: Figure | None) -> str:
    assert figure is not None
    return f"{figure.caption} {figure.alt}"


def test_pictures_have_one_wing_and_one_brake_each(alone: View) -> None:
    assert "Before" not in words(side_view.draw(alone))
    assert "As measured" in words(side_view.draw(alone))
    assert "Dashed" not in words(side_view.draw(alone))
    brakes = words(brake_view.draw(alone))
    assert "Dot: as measured" in brakes
    assert "Diamond" not in brakes
    assert "as it came" not in brakes
    assert "before:" not in words(span_charts.draw(alone)).lower()
    assert outside_view.draw(alone) is None or "came" not in words(outside_view.draw(alone))


def test_charts_and_tables_have_one_column_of_lengths(alone: View) -> None:
    charts = lines.section.view(alone)
    assert charts is not None
    assert charts.values["title"] == "How each line measured"
    assert "A dot shows the line as measured" in charts.values["explained"]
    assert "diamond" not in {mark["shape"] for mark in charts.values["key"]}
    table = line_table(alone)
    assert table is not None
    assert table["head"] == ["Line", "Specified", *2 * ["Measured", "Deviation"]]


def test_the_table_of_brakes_is_of_now(alone: View) -> None:
    shown = checks.section.view(alone)
    assert shown is not None
    brakes = next(p for p in shown.values["parts"] if p["title"] == "Brakes")
    assert [row["cells"][0] for row in brakes["rows"]] == ["Left, now", "Right, now"]


def test_lines_of_one_brake_are_not_said_to_be_measured_before(
    alone: View, registry: Registry
) -> None:
    after = alone.job.after
    assert after is not None
    kept = {  # the left one far too long, so that brakes have a verdict all the same
        (side, point): mm + (40.0 if point.group in (BRAKE, BRAKE_MAIN) else 0.0)
        for (side, point), mm in after.lengths_mm.items()
        if side is Side.LEFT or point.group not in (BRAKE, BRAKE_MAIN)
    }
    job = replace(alone.job, after=replace(after, lengths_mm=kept))
    findings = analyse(job, registry)
    view = replace(alone, job=job, findings=findings, assessment=assess(findings, job))
    shown = checks.section.view(view)
    assert shown is not None
    brakes = next(p for p in shown.values["parts"] if p["title"] == "Brakes")
    right = brakes["rows"][1]["cells"]
    assert right[-1] == "free travel enough, length not assessed"


def test_work_is_entered_and_not_compared(alone: View) -> None:
    shown = changes.section.view(alone)
    assert shown is not None
    assert shown.values["rows"]
    for *_, expected, measured, agrees in shown.values["rows"]:
        assert expected != "–"
        assert (measured, agrees) == ("–", "cannot tell")


def test_the_record_says_that_it_was_measured_after_the_work(alone: View) -> None:
    facts = dict(map(tuple, method_facts(alone)))

    assert facts["Measured after the work"].startswith("16 October 2026")
    assert "Common offset" in facts
    assert not {name for name in facts if name.endswith((" before", " after"))}
    assert "Changes to the method" in facts
