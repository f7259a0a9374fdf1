"""Names of lines outside on the wing from above: none is struck through by what is drawn."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from trimscribe.compose.figures import Box
from trimscribe.compose.figures.outline import Outline
from trimscribe.compose.figures.outside_view import figure as outside_view
from trimscribe.compose.figures.plan_view import figure as plan_view
from trimscribe.contracts import View
from trimscribe.model.findings import State
from trimscribe.model.verdicts import Verdict
from trimscribe.model.wing import Side

See = Callable[[str], View]
XY = tuple[float, float]
SVG = "{http://www.w3.org/2000/svg}"
JOBS = ("demo", "two-row", "four-row", "five-row", "outside")


def with_outside(view: View, names: list[tuple[str, str]], width: float) -> View:
    """The same wing on a sheet of another width, with other lines outside limits."""
    facts = {**view.assessment.facts, "now_outside_lines": tuple(names)}
    return replace(view, assessment=replace(view.assessment, facts=facts), width_pt=width)


def all_points(view: View) -> list[tuple[str, str]]:
    spec = view.job.specification
    assert spec is not None
    return [(point.name, side.value) for side in Side for row in spec.rows for point in row.points]


def labels(svg: str, colour: str) -> Iterator[tuple[str, Box]]:
    """Small bold text of a colour, and the box that it takes: letters without descenders."""
    for text in ET.fromstring(svg).iter(f"{SVG}text"):
        if colour in text.attrib["style"]:
            words = "".join(text.itertext())
            x, y = float(text.attrib["x"]), float(text.attrib["y"])
            yield words, Box(x, y - 2.5, len(words) * 2.0, 2.5)


def along(border: list[XY]) -> Iterator[XY]:
    """Points on a closed line, no further apart than a quarter of a point."""
    for (x, y), (u, v) in zip(border, [*border[1:], border[0]], strict=True):
        steps = int(4 * max(abs(u - x), abs(v - y))) + 1
        for i in range(steps):
            yield x + (u - x) * i / steps, y + (v - y) * i / steps


def inside(box: Box, at: XY) -> bool:
    return abs(at[0] - box.x) < box.half_width and abs(at[1] - box.y) < box.half_height


def border_of(view: View) -> list[XY]:
    spec = view.job.specification
    assert spec is not None
    outline = Outline.of(spec, view.width_pt)
    assert outline is not None
    return outline.border


@pytest.mark.parametrize("name", JOBS)
@pytest.mark.parametrize("width", [485.0, pytest.param(312.0, marks=pytest.mark.thorough)])
def test_a_line_outside_is_named_clear_of_the_outline_and_of_other_lines(
    see: See, name: str, width: float
) -> None:
    view = see(name)
    edge = list(along(border_of(replace(view, width_pt=width))))
    spec = view.job.specification
    assert spec is not None
    outline = Outline.of(spec, width)
    assert outline is not None
    dots = [
        place
        for side in Side
        for row in spec.rows
        for point in row.points
        if (place := outline.place(point, side)) is not None
    ]
    for one in all_points(view):
        figure = outside_view.draw(with_outside(view, [one], width))
        assert figure is not None
        ((words, box),) = labels(figure.svg, view.ink.outside)
        assert words == one[0]
        assert not any(inside(box, at) for at in edge), one
        assert not any(inside(box, at) for at in dots), one


@pytest.mark.parametrize("name", JOBS)
def test_where_all_lines_are_outside_no_name_is_struck_or_covered(see: See, name: str) -> None:
    view = see(name)
    figure = outside_view.draw(with_outside(view, all_points(view), 485.0))
    assert figure is not None
    edge = list(along(border_of(replace(view, width_pt=485.0))))
    found = list(labels(figure.svg, view.ink.outside))
    leaders = [
        [(float(x), float(y)) for x, y in ends]
        for path in ET.fromstring(figure.svg).iter(f"{SVG}path")
        if len(ends := re.findall(r"[ML] ([-\d.]+) ([-\d.]+)", path.attrib["d"])) == 2
    ]
    assert len(found) > 4
    for number, (words, box) in enumerate(found):
        assert re.fullmatch(r"((Front|Second|Third|Fourth|Rear) |[A-Z])\d+", words)
        assert not any(inside(box, at) for at in edge), words
        assert not any(inside(box, at) for leader in leaders for at in along(leader)), words
        for _, other in found[:number]:
            apart = abs(box.x - other.x) >= box.half_width + other.half_width
            assert apart or abs(box.y - other.y) >= box.half_height + other.half_height


def test_numbers_of_changes_are_not_struck_by_the_outline(see: See) -> None:
    view = see("demo")
    figure = plan_view.draw(view)
    assert figure is not None
    edge = list(along(border_of(view)))
    found = list(labels(figure.svg, view.ink.after))
    assert len(found) == len(view.findings.ledger)
    for words, box in found:
        assert not any(inside(box, at) for at in edge), words


@pytest.mark.parametrize(
    ("corners", "struck"),
    [
        ([(-50.0, 0.0), (50.0, 0.0), (0.0, 90.0)], True),  # a side passes through, corners far off
        ([(-50.0, 6.0), (50.0, 6.0), (0.0, 90.0)], False),
        ([(-50.0, -40.0), (50.0, -40.0), (0.0, 90.0)], False),  # all around it
        ([(0.0, 0.0), (1.0, 1.0), (1.0, 0.0)], True),  # all within
        ([(40.0, 3.0), (50.0, 0.0), (0.0, 90.0), (3.0, 40.0)], False),  # past its corner
    ],
)
def test_a_box_is_struck_by_a_line_between_far_corners(corners: list[XY], struck: bool) -> None:
    assert Box(0.0, 0.0, 10.0, 4.0).struck_by(corners) is struck


def test_a_line_that_nobody_measured_is_not_drawn_like_one_within_limits(see: See) -> None:
    view = with_outside(see("demo"), [("C5", "left")], 485.0)
    whole = outside_view.draw(view)
    before, after = view.findings.before, view.findings.after
    gone = replace(view.findings, before=without(before, "A"), after=without(after, "A"))
    part = outside_view.draw(replace(view, findings=gone))

    assert whole is not None
    assert part is not None
    assert "no verdict" not in whole.caption
    assert part.caption.endswith("Small open circles have no verdict.")
    assert part.svg != whole.svg


def test_a_line_that_lost_its_verdict_is_not_drawn_by_the_earlier_one(see: See) -> None:
    view = with_outside(see("demo"), [("C5", "left")], 485.0)
    after = view.findings.after
    assert after is not None
    lines = tuple(replace(x, verdict=Verdict.NOT_ASSESSED) for x in after.lines)
    open_now = replace(view.findings, after=replace(after, lines=lines))
    figure = outside_view.draw(replace(view, findings=open_now))

    assert figure is not None
    assert figure.caption.endswith("Small open circles have no verdict.")


def test_rings_on_sides_that_may_be_mixed_up_say_so(see: See) -> None:
    view = with_outside(see("demo"), [("C5", "left")], 485.0)
    facts = {**view.assessment.facts, "doubts_sides": 1}
    doubted = replace(view, assessment=replace(view.assessment, facts=facts))
    captions = [figure.caption for one in (view, doubted) if (figure := outside_view.draw(one))]

    assert ["as entered, perhaps mixed up" in words for words in captions] == [False, True]


def without(state: State | None, row: str) -> State | None:
    assert state is not None
    lines = (replace(x, measured_mm=None) if x.point.group == row else x for x in state.lines)
    return replace(state, lines=tuple(lines))


def test_a_stabilo_line_outside_is_said_not_to_be_drawn(see: See) -> None:
    view = see("outside")
    row, stabilo = ("A1", "left"), ("stabilo1", "right")

    drawn = outside_view.draw(with_outside(view, [row], 485.0))
    both = outside_view.draw(with_outside(view, [row, stabilo], 485.0))

    assert drawn is not None
    assert both is not None
    assert "not drawn" not in drawn.caption
    assert both.caption == f"{drawn.caption} Outside limits and not drawn: stabilo 1 right."
    assert outside_view.draw(with_outside(view, [stabilo], 485.0)) is None


def test_rows_that_are_drawn_wider_than_their_lines_may_hang_say_so(see: See) -> None:
    """Where a row has far fewer lines than another nobody knows how far out they reach."""
    view = see("outside")
    facts = {**view.assessment.facts, "now_rows_unlike": True}
    spread = replace(view, assessment=replace(view.assessment, facts=facts))
    captions = [
        found.caption
        for one in (view, spread)
        for each in (outside_view, plan_view)
        if (found := each.draw(one))
    ]

    assert ["from tip to tip" in caption for caption in captions] == [False, False, True, True]
