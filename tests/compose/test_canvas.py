"""The sheet that figures draw on."""

import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor

from trimscribe.compose.canvas import Canvas

SVG = "{http://www.w3.org/2000/svg}"


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


def test_dashes_grow_with_the_width_of_the_line() -> None:
    sheet = Canvas(100, 50, "Inter")
    sheet.line([(0, 0), (10, 0)], "#000000", 2.0, (3, 2))

    assert 'stroke-dasharray="6,4"' in sheet.svg()


def test_text_stays_text_and_nothing_in_it_is_markup_or_mathematics() -> None:
    root = ET.fromstring(_draw(2))
    texts = [e.text for e in root.iter(f"{SVG}text")]

    assert texts == ["line 2 costs $5 <b>"]


def test_y_grows_downwards_from_the_top() -> None:
    sheet = Canvas(100, 50, "Inter")
    sheet.text(10, 12, "high", 8, "#000000")
    root = ET.fromstring(sheet.svg())
    text = next(root.iter(f"{SVG}text"))

    assert float(text.attrib["y"]) == 12


def test_marks_of_one_kind_share_their_shape_and_those_of_another_do_not() -> None:
    sheet = Canvas(100, 50, "Inter")
    sheet.marks([(1, 2), (3, 4)], "dot", 4, "#123456", fill="#123456")
    sheet.marks([(5, 6)], "dot", 4, "#123456", fill="#123456")
    sheet.marks([(7, 8)], "ring", 4, "#123456")
    root = ET.fromstring(sheet.svg())
    used = [use.attrib["{http://www.w3.org/1999/xlink}href"] for use in root.iter(f"{SVG}use")]
    shapes = [shape.attrib for shape in root.find(f"{SVG}defs") or ()]

    assert used == ["#mark0", "#mark0", "#mark0", "#mark1"]
    assert [shape["id"] for shape in shapes] == ["mark0", "mark1"]
    assert [(shape["r"], shape["fill"]) for shape in shapes] == [("2", "#123456"), ("2", "none")]


def test_a_closed_shape_ends_where_it_began_and_several_lines_are_one_path() -> None:
    sheet = Canvas(100, 50, "Inter")
    sheet.line([(0, 0), (10, 0), (10, 5)], "#123456", fill="#ffffff", close=True)
    sheet.lines([[(0, 0), (1, 1)], [], [(2, 2), (3, 3.00049)]], "#123456")
    paths = [path.attrib["d"] for path in ET.fromstring(sheet.svg()).iter(f"{SVG}path")]

    assert paths == ["M 0 0 L 10 0 L 10 5 Z", "M 0 0 L 1 1 M 2 2 L 3 3"]


def test_no_text_or_family_can_break_the_file() -> None:
    sheet = Canvas(100, 50, 'O\'Inter <"bold">')
    sheet.text(0, 0, "a\x00b\x1b[1m ]]> & \u202eright to left", 8, "#000000")
    (text,) = ET.fromstring(sheet.svg()).iter(f"{SVG}text")

    assert text.text == "ab[1m ]]> & right to left"


def test_nothing_drawn_is_an_empty_sheet() -> None:
    sheet = Canvas(100, 50, "Inter")
    sheet.lines([], "#000000")
    sheet.marks([], "dot", 4, "#000000")
    root = ET.fromstring(sheet.svg())

    assert [*root] == []
    assert root.attrib["viewBox"] == "0 0 100 50"
