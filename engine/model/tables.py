"""The cells of an export before anybody says what they mean: what importers hand to a map.

Rows and columns count from 1, as a spreadsheet shows them; columns have letters as well. Only
cells that hold something are kept.
"""

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from trimscribe.errors import Fault, Mark

CellValue = str | int | float | bool | dt.date | dt.time | dt.timedelta
_REFERENCE = re.compile(r"([A-Z]{1,3})([1-9]\d{0,6})", re.ASCII)


class CellKind(StrEnum):
    """What a cell holds besides its value; all but `PLAIN` are not lengths or labels."""

    PLAIN = "plain"
    DATE = "date"
    ERROR = "error"
    PERCENT = "percent"
    FORMULA = "formula"  # one whose value was never worked out


@dataclass(frozen=True)
class Cell:
    """One cell that is not empty, and its place."""

    row: int
    column: int
    value: CellValue
    mark: Mark
    kind: CellKind = CellKind.PLAIN

    @property
    def text(self) -> str:
        """The value as a label reads it, without blanks around."""
        return shown(self.value)

    def fault(self, code: str, message: str, hint: str = "") -> Fault:
        """A fault at this cell."""
        return Fault(code, message, self.mark, hint)


@dataclass(frozen=True)
class Range:
    """A block of cells, both ends included."""

    top: int
    left: int
    bottom: int
    right: int

    def holds(self, row: int, column: int) -> bool:
        """Whether a cell lies inside."""
        return self.top <= row <= self.bottom and self.left <= column <= self.right


@dataclass(frozen=True)
class Sheet:
    """One sheet of a spreadsheet, or the whole of a text file (then without a name)."""

    name: str
    cells: Mapping[tuple[int, int], Cell]
    mark: Mark
    merged: tuple[Range, ...] = ()
    hidden: bool = False

    def merged_at(self, row: int, column: int) -> Range | None:
        """The merged range that a cell belongs to; its value is in the upper left corner."""
        return next((found for found in self.merged if found.holds(row, column)), None)

    def at(self, row: int, column: int) -> Cell | None:
        """The cell that shows at a place: of a merged range the one that holds its value."""
        cell = self.cells.get((row, column))
        if cell is None and (merged := self.merged_at(row, column)):
            cell = self.cells.get((merged.top, merged.left))
        return cell


@dataclass(frozen=True)
class TableFormat:
    """How an export is written down, as its map says; an importer uses what concerns it.

    `delimiter` is one character, or `blanks` for any run of spaces and tabs. `records` is the way
    to the records of a JSON file, such as `lines.*.readings.*`.
    """

    kind: str = ""
    encoding: str = "utf-8"
    delimiter: str = ","
    quote: str = '"'
    records: str = ""


def shown(value: CellValue) -> str:
    """A value as text without blanks around; a whole number without decimals."""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value).strip()


def column_letters(column: int) -> str:
    """The letters of a column: 1 is A, 27 is AA."""
    letters = ""
    while column:
        column, last = divmod(column - 1, 26)
        letters = chr(ord("A") + last) + letters
    return letters


def column_of(letters: str) -> int:
    """The number of a column: A is 1, AA is 27."""
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - ord("A") + 1
    return column


def place_of(reference: str) -> tuple[int, int] | None:
    """Row and column of a reference such as C14; None when it is none."""
    match = _REFERENCE.fullmatch(reference)
    return (int(match[2]), column_of(match[1])) if match else None


def range_of(reference: str) -> Range | None:
    """A range such as B4:F20, or one cell; None when it is none."""
    first, _, last = reference.partition(":")
    start, stop = place_of(first), place_of(last or first)
    if not start or not stop or stop[0] < start[0] or stop[1] < start[1]:
        return None
    return Range(*start, *stop)
