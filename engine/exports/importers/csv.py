"""CSV files and their kin: any by an import map, and without one the plain form.

The plain form has the columns side, row, point and length_mm:

    side,row,point,length_mm
    left,A,1,7334
    left,stabilo,1,6409
    left,brake_main,1,2267

`side` is the pilot's left or right; `row` is a row of the specification, stabilo, brake or
brake_main; points count from the centre. An empty length means that the point was not measured.
The columns may be in any order.
"""

import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trimscribe.contracts import ImportedLength
from trimscribe.errors import Fault, Mark, number_hint, suggest
from trimscribe.exports.tables.text_table import placed, text_sheet
from trimscribe.marked_text import MarkedText
from trimscribe.marked_yaml import LARGEST
from trimscribe.model.tables import Cell, Sheet, TableFormat
from trimscribe.model.wing import GROUP_NAME, Side

_MOST_FAULTS = 200  # of one table; more would only hide the first

_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)", re.ASCII)
_EMPTY = "Leave the cell empty if the point was not measured."
_LONGEST_NUMBER = 12  # characters; a length has seven at most

_COLUMNS = ("side", "row", "point", "length_mm")

_Seen = dict[tuple[Side, str, int], Mark]


@dataclass(frozen=True)
class CsvImporter:
    """Reads the plain form, lengths in mm, and hands over the cells of any other."""

    contract: int = 2
    name: str = "csv"
    suffixes: tuple[str, ...] = (".csv", ".tsv", ".txt")

    def read(self, data: bytes, name: str) -> tuple[tuple[ImportedLength, ...], tuple[Fault, ...]]:
        """Return lengths in file order and the faults met; `name` is the file as typed."""
        text, found = MarkedText.decode(data, name, LARGEST, tabs=True)
        faults = list(found)
        lengths: list[ImportedLength] = []
        if not text.readable:
            return (), found
        rows = _rows_of(text)
        header = next(rows, None)
        if header is None:
            fault = Fault("empty-file", "There is nothing in this file.", text.start)
            return (), (*faults, fault)
        if isinstance(header, Fault):
            return (), (*faults, header)
        if wrong := list(_header_faults(header)):
            return (), (*faults, *wrong)
        names = [cell.text for cell in header]
        seen: _Seen = {}
        for row in rows:
            if len(faults) >= _MOST_FAULTS:
                break
            for one in [row] if isinstance(row, Fault) else _lengths(row, names, seen):
                if isinstance(one, Fault):
                    faults.append(one)
                else:
                    lengths.append(one)
        return tuple(lengths), tuple(faults)

    def tables(
        self, data: bytes, name: str, table_format: TableFormat
    ) -> tuple[tuple[Sheet, ...], tuple[Fault, ...]]:
        """Return the one sheet and the faults met; `name` is the file as typed."""
        return text_sheet(data, name, table_format)


def _rows_of(text: MarkedText) -> Iterator[list[Cell] | Fault]:
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
        yield [
            Cell(
                number, column, value, Mark(text.file, number, start + 1, max(1, len(value)), line)
            )
            for column, (value, start) in enumerate(placed(values, line, ","), 1)
        ]


def _length_in(cell: Cell) -> float | Fault | None:
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


def _point_in(row: Cell, number: Cell) -> tuple[str, int] | Fault:
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


def _header_faults(header: list[Cell]) -> Iterator[Fault]:
    first = header[0]
    for sign, word in ((";", "semicolons"), ("\t", "tabs")):
        if sign in first.mark.source and len(header) == 1:
            yield first.fault(
                "wrong-delimiter",
                f"The columns are separated by {word}; commas belong here.",
                "Save the file as CSV with commas, and decimals with a point.",
            )
            return
    names = [cell.text for cell in header]
    for index, cell in enumerate(header):
        if cell.text not in _COLUMNS:
            missing = [name for name in _COLUMNS if name not in names]
            message = f"“{cell.text}” is not a column of this file."
            yield cell.fault("unknown-column", message, suggest(cell.text, missing or _COLUMNS))
        elif cell.text in names[:index]:
            yield cell.fault("duplicate-column", f"The column “{cell.text}” occurs twice.")
    missing = [name for name in _COLUMNS if name not in names]
    if missing and set(names) <= set(_COLUMNS):
        yield first.fault(
            "missing-column",
            f"The first line lacks {', '.join(f'`{name}`' for name in missing)}.",
            "It reads side,row,point,length_mm.",
        )


def _lengths(row: list[Cell], names: list[str], seen: _Seen) -> Iterator[ImportedLength | Fault]:
    """The length of one line, and all its faults."""
    if len(row) != len(names):
        comma = len(row) == len(names) + 1 and row[-1].text.isdigit()
        yield row[0].fault(
            "wrong-number-of-cells",
            f"This line has {len(row)} cells; {len(names)} belong here.",
            "Write a decimal point, not a comma." if comma else "One comma between two cells.",
        )
        return
    cells: Mapping[str, Cell] = dict(zip(names, row, strict=True))
    sides = {side.value: side for side in Side}
    side = sides.get(cells["side"].text)
    if side is None:
        word = cells["side"].text
        message = f"“{word}” is not a side; left or right belongs here."
        yield cells["side"].fault("bad-side", message, suggest(word, sides))
    point = _point_in(cells["row"], cells["point"])
    if isinstance(point, Fault):
        yield point
    length = _length_in(cells["length_mm"])
    if isinstance(length, Fault):
        yield length
        length = None
    if side is None or isinstance(point, Fault):
        return
    group, number = point
    place = cells["length_mm"].mark
    if first := seen.get((side, group, number)):
        yield cells["point"].fault(
            "duplicate-point",
            f"{group}{number} {side} was already given in line {first.line}.",
            "Keep one of the two.",
        )
        return
    seen[side, group, number] = place
    yield ImportedLength(side=side, group=group, point=number, length_mm=length, mark=place)


importer = CsvImporter()
