"""The sheet that figures draw on."""

import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import matplotlib
import pytest

from trimscribe.canvas import Canvas


def _draw(number: int) -> str:
    sheet = Canvas(200 + number, 80, "Inter")
    sheet.line([(0, 0), (200, 80)], "#123456", 1.0, (3, 2))
    sheet.marks([(10 * i, 40) for i in range(number)], "diamond", 4, "#8a74b0")
    sheet.text(5, 70, f"line {number} costs $5 <b>", 8, "#000000", bold=True)
    return sheet.svg()


def test_a_sheet_is_the_same_whatever_was_drawn_before_and_beside_it() -> None:
    alone = [_draw(number) for number in range(40)]

    with ThreadPoolExecutor(8) as threads:
        beside = list(threads.map(_draw, [*range(40), *range(40)]))

    assert beside == [*alone, *alone]


def test_a_sheet_can_be_written_twice() -> None:
    sheet = Canvas(100, 50, "Inter")
    sheet.text(10, 12, "high", 8, "#000000")

    assert sheet.svg() == sheet.svg()


def test_drawing_leaves_the_settings_of_matplotlib_as_they_were() -> None:
    before = dict(matplotlib.rcParams)
    _draw(3)

    assert dict(matplotlib.rcParams) == before


def test_dashes_grow_with_the_width_of_the_line() -> None:
    sheet = Canvas(100, 50, "Inter")
    sheet.line([(0, 0), (10, 0)], "#000000", 2.0, (3, 2))

    assert "stroke-dasharray: 6,4" in sheet.svg()


def test_text_stays_text_and_nothing_in_it_is_markup_or_mathematics() -> None:
    root = ET.fromstring(_draw(2))
    texts = [e.text for e in root.iter("{http://www.w3.org/2000/svg}text")]

    assert texts == ["line 2 costs $5 <b>"]


def test_y_grows_downwards_from_the_top() -> None:
    sheet = Canvas(100, 50, "Inter")
    sheet.text(10, 12, "high", 8, "#000000")
    root = ET.fromstring(sheet.svg())
    text = next(root.iter("{http://www.w3.org/2000/svg}text"))

    assert float(text.attrib["y"]) == 12


def test_the_sheet_carries_no_date() -> None:
    assert "<dc:date" not in _draw(1)


HOSTILE = """\
path.sketch: 10, 100, 20
lines.antialiased: False
lines.scale_dashes: False
lines.dash_capstyle: round
hatch.color: red
text.color: red
text.antialiased: False
text.usetex: True
font.size: 40
font.weight: 900
svg.fonttype: path
svg.image_inline: False
markers.fillstyle: none
patch.antialiased: False
"""


@pytest.mark.processes
def test_a_sheet_is_the_same_whatever_settings_lie_about(tmp_path: Path) -> None:
    """matplotlib reads a file of this name from where somebody is, and from their home."""
    (tmp_path / "matplotlibrc").write_text(HOSTILE)
    tests = Path(__file__).parent
    code = f"import sys; sys.path.insert(0, {str(tests)!r}); import test_canvas as t; "
    code += "import matplotlib; print(t._draw(3)); assert matplotlib.rcParams['path.sketch']"
    done = subprocess.run(
        [sys.executable, "-P", "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True
    )

    assert done.stdout == _draw(3) + "\n"


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes with names")
@pytest.mark.processes
def test_loading_waits_for_no_pipe_that_lies_about(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "matplotlibrc")
    code = "import trimscribe.compose.glyphs, trimscribe.canvas"

    subprocess.run([sys.executable, "-P", "-c", code], cwd=tmp_path, check=True, timeout=60)


def test_a_shape_that_there_is_not_is_told_with_those_that_there_are() -> None:
    with pytest.raises(ValueError, match="“rings” is no shape of a mark; there are dot, half, dia"):
        Canvas(9, 9, "Inter").marks([(1, 1)], "rings", 4, "#000000")
