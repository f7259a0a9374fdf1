"""The scale of the span charts has numbers in mm, with limits and without."""

import itertools
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace

import pytest

from trimscribe.compose.figures.span_charts import figure as span_charts
from trimscribe.contracts import View
from trimscribe.model.findings import LineFinding, State

See = Callable[[str], View]
SVG = "{http://www.w3.org/2000/svg}"


def scale(view: View) -> list[tuple[str, float]]:
    """Numbers beside the charts and their heights in points, from the top."""
    figure = span_charts.draw(view)
    assert figure is not None
    found = [
        ("".join(text.itertext()), float(text.attrib["y"]))
        for text in ET.fromstring(figure.svg).iter(f"{SVG}text")
        if float(text.attrib["x"]) == pytest.approx(23.0)
    ]
    return sorted(found, key=lambda one: one[1])


def without_offset(view: View, factor: float) -> View:
    """The same lines where it is not known what all share, deviations `factor` as large."""

    def plain(line: LineFinding) -> LineFinding:
        mm = line.deviation_mm
        return replace(
            line,
            relative_mm=None,
            tolerance_mm=None,
            deviation_mm=None if mm is None else mm * factor,
        )

    def changed(state: State | None) -> State | None:
        return state and replace(state, lines=tuple(plain(line) for line in state.lines))

    found, after = changed(view.findings.before), changed(view.findings.after)
    return replace(view, findings=replace(view.findings, before=found, after=after))


@pytest.mark.parametrize("factor", [0.0, 0.1, 1.0, 10.0, 40.0])
@pytest.mark.parametrize("name", ["demo", "five-row", "inspection"])
def test_a_chart_without_limits_has_more_than_zero_on_its_scale(
    see: See, name: str, factor: float
) -> None:
    view = without_offset(see(name), factor)
    numbers = scale(view)
    words = [word for word, _ in numbers]
    spec = view.job.specification
    assert spec is not None
    assert words[-1] == "mm"
    assert words.count("0") == len(spec.rows)
    assert len(words) > 2 * len(spec.rows)
    assert min(b - a for (_, a), (_, b) in itertools.pairwise(numbers)) >= 8.5
    steps = {float(word.replace("\u2212", "-")) for word in words[:-1]}
    assert all(step % 5 == 0 for step in steps)


def test_a_chart_with_limits_has_them_on_its_scale(see: See) -> None:
    assert [word for word, _ in scale(see("demo"))][:3] == ["+10", "0", "\u221210"]
