"""Tables in text files, cell by cell, each with its place: what importers build on."""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass

from trimscribe.errors import Fault, Mark
from trimscribe.marked_text import MarkedText
from trimscribe.marked_yaml import LARGEST
from trimscribe.schemas.fields import number_hint
from trimscribe.schemas.suggest import suggest
from trimscribe.schemas.wing_fields import GROUP_NAME

__all__ = ["MOST_FAULTS", "TextCell", "length_in", "point_in", "rows_of", "suggest", "text_of"]

MOST_FAULTS = 200  # of one table; more would only hide the first

_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)", re.ASCII)
_EMPTY = "Leave the cell empty if the point was not measured."
_LONGEST_NUMBER = 12  # characters; a length has seven at most


@dataclass(frozen=True)
class TextCell:
    """The text of one cell without blanks around it, and its place."""

    text: str
    mark: Mark

    def fault(self, code: str, message: str, hint: str = "") -> Fault:
        """A fault at this cell."""
        return Fault(code, message, self.mark, hint)


def text_of(data: bytes, name: str) -> tuple[MarkedText, tuple[Fault, ...]]:
    """Decode a table; `name` is the file as typed."""
    return MarkedText.decode(data, name, LARGEST, tabs=True)


def rows_of(text: MarkedText) -> Iterator[list[TextCell] | Fault]:
    """Cells of each line that is not empty, or what is wrong with the line."""
    for number, line in enumerate(text.lines, 1):
        if not line.strip():
            continue
        try:
            values = next(csv.reader([line], strict=True))
        except csv.Error:
            mark = Mark(text.file, number, 1, len(line), line)
            yield Fault(
                "unclosed-quote",
                "A cell in quotes does not end as it should.",
                mark,
                "Quotes are not needed here: delete them.",
            )
            continue
        yield list(_placed(values, text.file, number, line))


def _placed(values: list[str], file: str, number: int, line: str) -> Iterator[TextCell]:
    """The reader gives no columns, so each value is looked up behind the one before."""
    cursor = 0
    for value in values:
        text = value.strip()
        found = line.find(text, cursor)
        column = cursor if found < 0 else found
        yield TextCell(text, Mark(file, number, column + 1, max(1, len(text)), line))
        end = line.find(",", column + len(text))
        cursor = len(line) if end < 0 else end + 1


def length_in(cell: TextCell) -> float | Fault | None:
    """A length in mm; None when the cell is empty: not measured."""
    if not cell.text:
        return None
    if not _NUMBER.fullmatch(cell.text) or len(cell.text) > _LONGEST_NUMBER:
        return cell.fault(
            "length-not-a-number",
            f"“{cell.text}” is not a length; a length in mm such as 7342 or 7342.5 belongs here.",
            number_hint(cell.text, _EMPTY) or _EMPTY,
        )
    value = float(cell.text)
    if value <= 0:
        return cell.fault("out-of-range", f"A length of {cell.text} mm cannot be measured.")
    return value


def point_in(row: TextCell, number: TextCell) -> tuple[str, int] | Fault:
    """The row's name and the point counted from the centre."""
    if not re.fullmatch(GROUP_NAME, row.text):
        return row.fault(
            "bad-row-name",
            f"“{row.text}” cannot be the name of a row.",
            "Write the row alone, such as A, and the point in its own column.",
        )
    if not re.fullmatch(r"[1-9]\d{0,2}", number.text, re.ASCII):
        return number.fault(
            "point-not-a-number",
            f"“{number.text}” is not a point; a whole number from 1 (centre) to the tip is needed.",
        )
    return row.text, int(number.text)
