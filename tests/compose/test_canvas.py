"""The sheet that figures draw on."""

import xml.etree.ElementTree as ET
from threading import Thread

from trimscribe.compose.canvas import Canvas


def _draw(number: int) -> str:
    sheet = Canvas(200 + number, 80, "Inter")
    sheet.line([(0, 0), (200, 80)], "#123456", 1.0, (3, 2))
    sheet.marks([(10 * i, 40) for i in range(number)], "diamond", 4, "#8a74b0")
    sheet.text(5, 70, f"line {number} costs $5 <b>", 8, "#000000", bold=True)
    return sheet.svg()


def test_a_refilled_sheet_equals_a_fresh_one_byte_for_byte() -> None:
    fresh: list[str] = []
    thread = Thread(target=lambda: fresh.append(_draw(7)))  # a new thread has a new figure
    thread.start()
    thread.join()
    _draw(3)
    _draw(12)

    assert _draw(7) == fresh[0]


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
