"""Figures show what the findings say: as many marks, the right way round, nothing cut off."""

import itertools
import math
import random
import re
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from trimscribe.compose.figures.plan_view import figure as plan_view
from trimscribe.compose.figures.side_view import figure as side_view
from trimscribe.compose.figures.span_charts import figure as span_charts
from trimscribe.contracts import View
from trimscribe.model.document import Figure
from trimscribe.model.findings import LineFinding, State
from trimscribe.model.verdicts import Verdict
from trimscribe.model.wing import GroupKind, Side

See = Callable[[str], View]
SVG = "{http://www.w3.org/2000/svg}"
ALL = ("demo", "two-row", "four-row", "inspection", "outside", "five-row", "many-points")


def drawn(figure: Figure | None) -> ET.Element:
    assert figure is not None
    return ET.fromstring(figure.svg)


def texts(root: ET.Element) -> list[ET.Element]:
    return list(root.iter(f"{SVG}text"))


def words(root: ET.Element) -> list[str]:
    return ["".join(text.itertext()) for text in texts(root)]


def count_marks(root: ET.Element) -> int:
    """Marks are the only closed shapes of the span charts."""
    return sum(path.attrib["d"].count("z") for path in root.iter(f"{SVG}path"))


def states(view: View) -> list[State]:
    return [s for s in (view.findings.before, view.findings.after) if s is not None]


def outside_now(view: View) -> list[LineFinding]:
    assert view.findings.now is not None
    lines = view.findings.now.lines
    return [x for x in lines if x.kind is GroupKind.ROW and x.verdict.outside]


@pytest.mark.parametrize("name", ALL)
def test_every_measured_line_of_a_row_has_its_mark_and_what_is_outside_now_a_ring(
    see: See, name: str
) -> None:
    view = see(name)
    lines = [
        line
        for state in states(view)
        for line in state.lines
        if line.kind is GroupKind.ROW and line.measured_mm is not None
    ]

    assert count_marks(drawn(span_charts.draw(view))) == len(lines) + len(outside_now(view))


@pytest.mark.parametrize("name", ALL)
def test_what_is_outside_now_is_labelled_or_counted_as_not_labelled(see: See, name: str) -> None:
    view = see(name)
    ringed = Counter(
        view.formats.beside(line.relative_mm, line.tolerance_mm, sign=True)
        for line in outside_now(view)
    )
    found = texts(drawn(span_charts.draw(view)))
    labels = Counter(t.text for t in found if view.ink.outside in t.attrib["style"])
    notes = [t.text for t in found if "without a label" in (t.text or "")]

    assert labels <= ringed
    assert notes == (
        [view.statements.label("chart_unlabelled", count=(ringed - labels).total())]
        if ringed - labels
        else []
    )


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("width", [485.0, 312.0])
def test_a_value_outside_is_written_in_its_own_row_and_on_its_own_side(
    see: See, seed: int, width: float
) -> None:
    # Where it is written elsewhere it is read as another line's.
    lines = {f"{mm:+}".replace("-", "−"): line for mm, line in crowd(see("five-row"), seed)}
    view = crowded(see("five-row"), list(lines.items()), width)
    root = drawn(span_charts.draw(view))
    rows = {text.text: float(text.attrib["y"]) for text in texts(root) if text.text in titles(view)}
    starts = [*sorted(rows.values()), math.inf]
    labels = [t for t in texts(root) if t.text in lines and view.ink.outside in t.attrib["style"]]

    assert len(labels) >= 8
    for label in labels:
        line, x, y = lines[label.text or ""], *(float(label.attrib[k]) for k in "xy")
        start = rows[view.statements.label("row_lines", row=line.point.group)]
        half, middle = len(label.text or "") * 4.4 / 2, (28 + width) / 2
        assert start <= y - 6
        assert y <= starts[starts.index(start) + 1] - 8.5
        assert x + half <= middle if line.side is Side.LEFT else x - half >= middle


def titles(view: View) -> set[str]:
    spec = view.job.specification
    assert spec is not None
    return {view.statements.label("row_lines", row=row.name) for row in spec.rows}


def crowd(view: View, seed: int) -> list[tuple[int, LineFinding]]:
    """Lines of each row and a deviation beyond the limit for each, no two alike."""
    assert view.findings.now is not None
    draw = random.Random(seed)
    rows = [x for x in view.findings.now.lines if x.kind is GroupKind.ROW]
    some = draw.sample(rows, 24)
    return [(draw.choice((1, -1)) * (11 + i), line) for i, line in enumerate(some)]


def crowded(view: View, lines: list[tuple[str, LineFinding]], width: float) -> View:
    """The same report with these deviations now."""
    mm = {(x.side, x.point): float(text.replace("−", "-")) for text, x in lines}
    now = view.findings.now
    assert now is not None

    def moved(line: LineFinding) -> LineFinding:
        value = mm.get((line.side, line.point), 0.0)
        verdict = Verdict.FAIL if value else Verdict.PASS
        return replace(line, relative_mm=value, deviation_mm=value, verdict=verdict)

    changed = replace(now, lines=tuple(moved(x) for x in now.lines))
    place = "after" if view.findings.after is not None else "before"
    return replace(view, findings=replace(view.findings, **{place: changed}), width_pt=width)


@pytest.mark.parametrize("name", ALL)
def test_no_value_outside_is_struck_by_the_stem_of_a_line(see: See, name: str) -> None:
    view = see(name)
    root = drawn(span_charts.draw(view))
    stems = [p for p in pieces(root) if len(p) == 2 and sides(p)[0][0] == 0]
    for label in texts(root):
        if view.ink.outside in label.attrib["style"]:
            x, y = float(label.attrib["x"]), float(label.attrib["y"]) - 2.5
            half = len(label.text or "") * 4.4 / 2
            for (x0, y0), (_, y1) in stems:
                across, down = abs(x0 - x) < half, min(y0, y1) < y + 3.5 and y - 3.5 < max(y0, y1)
                assert not (across and down), label.text


def pieces(root: ET.Element) -> list[list[tuple[float, float]]]:
    """The corners of every piece of every path."""
    paths = "".join(path.attrib["d"] for path in root.iter(f"{SVG}path"))
    corner = re.compile(r"[ML] ([-\d.]+) ([-\d.]+)")
    return [[(float(x), float(y)) for x, y in corner.findall("M" + d)] for d in paths.split("M")]


def sides(piece: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """How far each side of a piece runs across and down."""
    return [(abs(x - u), abs(y - v)) for (x, y), (u, v) in itertools.pairwise(piece)]


def test_a_line_carried_over_from_before_has_a_square(see: See) -> None:
    view = see("part-remeasured")
    assert view.findings.after is not None
    rows = [x for x in view.findings.after.lines if x.kind is GroupKind.ROW]
    squares = [
        piece
        for piece in pieces(drawn(span_charts.draw(view)))
        if len(piece) == 4 and all(min(way) < 0.02 < max(way) < 8 for way in sides(piece))
    ]

    assert len(squares) == sum(x.carried for x in rows) == 36


def test_a_line_that_was_not_measured_has_a_cross(see: See) -> None:
    view = see("inspection")
    assert view.findings.now is not None
    rows = [x for x in view.findings.now.lines if x.kind is GroupKind.ROW]
    strokes = [
        piece
        for piece in pieces(drawn(span_charts.draw(view)))
        if len(piece) == 2 and sides(piece)[0] == pytest.approx((3.6, 3.6), abs=0.02)
    ]

    assert len(strokes) == 2 * sum(x.measured_mm is None for x in rows) > 0


@pytest.mark.parametrize("figure", [span_charts, side_view, plan_view])
@pytest.mark.parametrize("name", ALL)
def test_all_text_lies_inside_the_sheet_and_none_is_tiny(see: See, name: str, figure: Any) -> None:
    found = figure.draw(see(name))
    if found is None:
        return
    for text in texts(drawn(found)):
        style = text.attrib["style"]
        size = float(re.search(r"([\d.]+)px", style)[1])
        width = len("".join(text.itertext())) * size * 0.6  # Inter's digits are 0.62 em wide
        anchor = "end" if "end" in style else "middle" if "middle" in style else "start"
        left = float(text.attrib["x"]) - {"start": 0, "middle": width / 2, "end": width}[anchor]
        assert size >= 7
        assert left >= -2
        assert left + width <= found.width_pt + 2
        assert size * 0.7 <= float(text.attrib["y"]) <= found.height_pt


@pytest.mark.parametrize(
    ("name", "least", "settled"), [("demo", 3.3, [True, False]), ("five-row", 3.3, [True, True])]
)
def test_the_wing_is_drawn_nose_up_when_it_is_nose_up_and_level_where_that_is_open(
    name: str, least: float, settled: list[bool], see: See
) -> None:
    view = see(name)
    root = drawn(side_view.draw(view))
    before, now = view.findings.before, view.findings.after
    assert before is not None
    assert now is not None
    tilts = []
    # A profile begins and ends at the leading edge; its right-most point is the trailing edge.
    for path in root.iter(f"{SVG}path"):
        points = [
            (float(x), float(y))
            for x, y in re.findall(r"[ML] ([-\d.]+) ([-\d.]+)", path.attrib.get("d", ""))
        ]
        if len(points) > 40:
            first, last = points[0], max(points)
            tilts.append(math.degrees(math.atan2(last[1] - first[1], last[0] - first[0])))

    # Drawn eight times larger, as its caption says.
    assert "8 times" in side_view.draw(view).caption
    angles = [s.pitch.wing for s in (before, now)]
    # A direction is settled from 3.3 u on: one in a thousand wings as specified is given one.
    assert [abs(a.value or 0) > least * a.u for a in angles] == settled
    expected = [8 * (a.value or 0) if s else 0.0 for a, s in zip(angles, settled, strict=True)]
    assert tilts == pytest.approx(expected, abs=0.05)


TAKEN_FROM = {
    "": "",
    "lines": "by its lines",
    "half": "left half only",
    "half_lines": "lines of the left half only",
    "rows": "measured rows only",
    "rows_lines": "lines of the measured rows only",
}


def _taken_from(view: View, known: str) -> View:
    half = "left" if known.startswith("half") else ""
    own = {f"{when}_angle_by": known for when in ("found", "now")}
    own |= {f"{when}_angle_side": half for when in ("found", "now")}
    facts = {**view.assessment.facts, **own}
    return replace(view, assessment=replace(view.assessment, facts=facts))


@pytest.mark.parametrize("known", TAKEN_FROM)
def test_labels_beside_the_wing_have_their_room_on_a_phone(see: See, known: str) -> None:
    view = replace(see("demo"), width_pt=262.0)  # what a page of 360 px has
    found = texts(drawn(side_view.draw(_taken_from(view, known))))
    labels = [t for t in found if view.ink.quiet not in t.attrib["style"]]
    heights = sorted(float(t.attrib["y"]) for t in labels)

    assert " ".join(t.text or "" for t in labels).count("of the maker's angle") == 1
    for label in labels:
        assert float(label.attrib["x"]) + 4.4 * len(label.text or "") <= 262
    assert min(b - a for a, b in itertools.pairwise(heights)) >= 9.9


@pytest.mark.parametrize("known", TAKEN_FROM)
def test_what_an_angle_is_taken_from_stands_beside_the_wing(see: See, known: str) -> None:
    view = see("demo")
    figure = side_view.draw(_taken_from(view, known))

    assert figure is not None
    found = " ".join(words(drawn(figure)))
    for when in ("Now", "Before"):
        wanted = f"{when}, {TAKEN_FROM[known]}" if known else when
        assert wanted in found
        assert f"{wanted}: " in figure.alt


def test_the_side_view_explains_the_lines_that_it_draws(see: See) -> None:
    twice, once = side_view.draw(see("demo")), side_view.draw(see("planned"))

    assert twice is not None
    assert once is not None
    assert twice.caption.endswith("Solid: now. Dashed: before. Dotted: where it may lie.")
    assert "angle." in once.caption
    assert "Dashed" not in once.caption
    assert "Dotted" not in once.caption  # its direction is settled


def test_a_wing_whose_pitch_is_not_known_has_no_side_view(see: See) -> None:
    assert side_view.draw(see("missing-data")) is None
    assert side_view.draw(see("wrong-load")) is None
    assert side_view.draw(see("cloth-only")) is None


def test_the_plan_names_every_change_once_and_says_it_aloud(see: See) -> None:
    view = see("demo")
    figure = plan_view.draw(view)
    numbers = [w for w in words(drawn(figure)) if w[0] in "+−"]

    assert len(numbers) == len(view.findings.ledger)
    assert figure is not None
    assert figure.alt.count(" mm") == len(view.findings.ledger)


def test_nothing_changed_means_no_plan(see: See) -> None:
    assert plan_view.draw(see("inspection")) is None


@pytest.mark.parametrize("name", ALL)
def test_a_figure_is_the_same_each_time_it_is_drawn(see: See, name: str) -> None:
    for figure in (span_charts, side_view, plan_view):
        assert figure.draw(see(name)) == figure.draw(see(name))


def test_alt_texts_tell_range_and_count(see: See) -> None:
    figure = span_charts.draw(see("outside"))

    assert figure is not None
    for row in "ABC":
        assert f"{row} lines" in figure.alt
    assert "outside limits" in figure.alt


def test_alt_texts_tell_what_has_no_place(see: See) -> None:
    """A chart in which all is in doubt is a picture too, and nothing sets without its words."""
    view = see("inspection")
    state = view.findings.now
    assert state is not None
    known = [x for x in state.lines if x.kind is GroupKind.ROW]
    missing = sum(x.deviation_mm is None and x.point.group == "A" for x in known)
    lines = tuple(replace(x, doubted=x.deviation_mm is not None) for x in state.lines)
    findings = replace(view.findings, before=replace(state, lines=lines), after=None)

    figure = span_charts.draw(replace(view, findings=findings))

    assert figure is not None
    count = sum(x.point.group == "A" for x in known) - missing
    assert f"A lines: {count} in doubt" in figure.alt
    plain = span_charts.draw(view)
    assert plain is not None
    assert ("not measured" in plain.alt) == any(x.deviation_mm is None for x in known)
