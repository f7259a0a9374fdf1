"""Table and picture of brakes say what page one says, and explain only marks that are there."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from trimscribe.analyse import analyse
from trimscribe.assess import assess
from trimscribe.compose.figures.brake_view import figure as brake_view
from trimscribe.compose.sections.checks import section as checks
from trimscribe.contracts import View, shape
from trimscribe.model.job import Job
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, Side
from trimscribe.narrate import narrate
from trimscribe.registry import Registry

See = Callable[[str], View]
BRAKES = (BRAKE, BRAKE_MAIN)
LOW = dict.fromkeys(Side, 40.0)


def again(view: View, registry: Registry, job: Job) -> View:
    """The same for another job."""
    findings = analyse(job, registry)
    return replace(view, job=job, findings=findings, assessment=assess(findings, job))


def table(view: View) -> dict[str, tuple[list[str], str]]:
    """Cells and mark of each row of the brakes' table, by its first cell."""
    shown = checks.view(view)
    assert shown is not None
    part = next(p for p in shown.values["parts"] if p["title"] == "Brakes")
    return {row["cells"][0]: (row["cells"], row["shape"]) for row in part["rows"]}


def not_again(job: Job) -> Job:
    """Its brakes had too little free travel, and were not measured after the work."""
    assert job.before is not None
    assert job.after is not None
    kept = {k: mm for k, mm in job.after.lengths_mm.items() if k[1].group not in BRAKES}
    return replace(
        job,
        before=replace(job.before, free_travel_mm=LOW),
        after=replace(job.after, lengths_mm=kept, free_travel_mm={}),
    )


def test_no_brake_is_within_limits_that_the_wing_is_grounded_for(see: See) -> None:
    rows = table(see("outside"))
    for name in ("Right, before", "Right, now"):
        cells, mark = rows[name]
        assert (cells[-1], mark) == ("free travel, lines outside limits", "triangle")
    assert rows["Left, now"][0][-1] == "within limits"


@pytest.mark.parametrize("before", [True, False])
def test_free_travel_measured_by_itself_has_the_mark_and_words_of_page_one(
    see: See, registry: Registry, before: bool
) -> None:
    """Nobody measured the brake lines again, or ever, so their length has no verdict."""
    job = not_again(see("demo").job)
    assert job.before is not None
    assert job.after is not None
    job = replace(job, after=replace(job.after, free_travel_mm=dict.fromkeys(Side, 66.0)))
    if not before:
        lengths = {k: mm for k, mm in job.before.lengths_mm.items() if k[1].group not in BRAKES}
        job = replace(job, before=replace(job.before, lengths_mm=lengths))
    view = again(see("demo"), registry, job)
    said = narrate(view.assessment, job, registry)
    (strip,) = [v for v in said.verdicts if v.key == "brakes"]
    rows = table(replace(view, statements=said))

    missing = "lines not measured again" if before else "length not assessed"
    for name in ("Left, now", "Right, now"):
        cells, mark = rows[name]
        assert (cells[-1], mark) == (f"free travel enough, {missing}", "circle")
        assert (strip.words, shape(strip.verdict)) == (cells[-1], mark)


def test_a_line_outside_shows_in_its_brake_s_row(see: See, registry: Registry) -> None:
    job = see("demo").job
    assert job.after is not None
    key = next(k for k in job.after.lengths_mm if k[0] is Side.LEFT and k[1].group == BRAKE)
    lengths = {**job.after.lengths_mm, key: job.after.lengths_mm[key] - 30.0}
    # Confirmed: what is in doubt has no verdict.
    confirmed = {f"after.left.{key[1]}": "measured twice"}
    off = replace(job, after=replace(job.after, lengths_mm=lengths), confirmed=confirmed)
    view = again(see("demo"), registry, off)
    cells, mark = table(view)["Left, now"]
    assert (cells[-1], mark) == ("outside limits", "triangle")
    mean, furthest = (float(mm.replace("\u2212", "-")) for mm in cells[1].split(" / "))
    assert abs(mean) < 25 < abs(furthest)


@pytest.mark.parametrize(
    ("measured", "known", "unknown"),
    [
        ("both", ("Dot: now.", "Diamond: as it came.", "Ring: too little."), ("Calculated",)),
        ("before", ("Diamond: as it came.", "Ring: too little."), ("Dot", "Calculated")),
        ("once", ("Dot: as measured.",), ("Diamond", "Ring", "now", "Calculated")),
    ],
)
def test_the_picture_explains_the_marks_that_are_there_and_no_others(
    see: See, registry: Registry, measured: str, known: tuple[str, ...], unknown: tuple[str, ...]
) -> None:
    if measured == "both":
        view = see("outside")
    elif measured == "before":
        view = again(see("demo"), registry, not_again(see("demo").job))
    else:
        view = see("inspection")
    figure = brake_view.draw(view)
    assert figure is not None
    assert all(words in figure.caption for words in known)
    assert not any(words in figure.caption for words in unknown)


def test_a_ring_says_no_more_than_what_was_calculated_carries(see: See) -> None:
    view = see("outside")
    facts = {**view.assessment.facts, "free_travel_sure": False}
    unsure = replace(view, assessment=replace(view.assessment, facts=facts))
    figure = brake_view.draw(unsure)
    assert figure is not None
    assert "Ring: perhaps too little." in figure.caption


def test_brakes_not_measured_again_are_drawn_and_described_as_they_came(
    see: See, registry: Registry
) -> None:
    figure = brake_view.draw(again(see("demo"), registry, not_again(see("demo").job)))
    assert figure is not None
    assert figure.alt.startswith("Left: 40 mm as it came. Right: 40 mm as it came.")


def test_brakes_that_nobody_measured_again_are_marked_as_carried_over(see: See) -> None:
    assert list(table(see("part-remeasured"))) == [
        "Left, before",
        "Right, before",
        "Left, now (lengths carried over)",
        "Right, now (lengths carried over)",
    ]
    assert "Left, now" in table(see("demo"))


def test_a_main_line_that_stands_in_for_a_fan_is_not_printed_as_a_mean(see: See) -> None:
    """Right, two of four of a fan were measured, 6 and 9 mm short; its main line is 6 mm short."""
    rows = table(see("missing-data"))

    left, right = (rows[side][0][1] for side in ("Left", "Right"))
    assert "main line" not in left
    assert right == "main line \u22126 / \u22129"
