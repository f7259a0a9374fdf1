"""The sheet that figures draw on."""

import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor

import matplotlib

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
