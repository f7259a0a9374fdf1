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

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trimscribe.contracts import ImportedLength
from trimscribe.errors import Fault, Mark
from trimscribe.exports.tables.csv_cells import (
    MOST_FAULTS,
    TextCell,
    length_in,
    point_in,
    rows_of,
    suggest,
    text_of,
)
from trimscribe.exports.tables.text_table import text_sheet
from trimscribe.model.tables import Sheet, TableFormat
from trimscribe.model.wing import Side

__all__ = ["CsvImporter", "importer"]

COLUMNS = ("side", "row", "point", "length_mm")

Seen = dict[tuple[Side, str, int], Mark]


@dataclass(frozen=True)
class CsvImporter:
    """Reads the plain form, lengths in mm, and hands over the cells of any other."""

    contract: int = 2
    name: str = "csv"
    suffixes: tuple[str, ...] = (".csv", ".tsv", ".txt")

    def read(self, data: bytes, name: str) -> tuple[tuple[ImportedLength, ...], tuple[Fault, ...]]:
        """Return lengths in file order and the faults met; `name` is the file as typed."""
        text, found = text_of(data, name)
        faults = list(found)
        lengths: list[ImportedLength] = []
        if not text.readable:
            return (), found
        rows = rows_of(text)
        header = next(rows, None)
        if header is None:
            fault = Fault("empty-file", "There is nothing in this file.", text.start)
            return (), (*faults, fault)
        if isinstance(header, Fault):
            return (), (*faults, header)
        if wrong := list(_header_faults(header)):
            return (), (*faults, *wrong)
        names = [cell.text for cell in header]
        seen: Seen = {}
        for row in rows:
            if len(faults) >= MOST_FAULTS:
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


def _header_faults(header: list[TextCell]) -> Iterator[Fault]:
    first = header[0]
    for sign, word in ((";", "semicolons"), ("\t", "tabs")):
        if sign in first.mark.source and len(header) == 1:
            yield first.fault(
                "wrong-delimiter",
                f"The columns are parted by {word}; commas belong here.",
                "Save the file as CSV with commas, and decimals with a point.",
            )
            return
    names = [cell.text for cell in header]
    for index, cell in enumerate(header):
        if cell.text not in COLUMNS:
            missing = [name for name in COLUMNS if name not in names]
            message = f"“{cell.text}” is not a column of this file."
            yield cell.fault("unknown-column", message, suggest(cell.text, missing or COLUMNS))
        elif cell.text in names[:index]:
            yield cell.fault("duplicate-column", f"The column “{cell.text}” occurs twice.")
    missing = [name for name in COLUMNS if name not in names]
    if missing and set(names) <= set(COLUMNS):
        yield first.fault(
            "missing-column",
            f"The first line lacks {', '.join(f'`{name}`' for name in missing)}.",
            "It reads side,row,point,length_mm.",
        )


def _lengths(row: list[TextCell], names: list[str], seen: Seen) -> Iterator[ImportedLength | Fault]:
    """The length of one line, and all its faults."""
    if len(row) != len(names):
        comma = len(row) == len(names) + 1 and row[-1].text.isdigit()
        yield row[0].fault(
            "wrong-number-of-cells",
            f"This line has {len(row)} cells; {len(names)} belong here.",
            "Write a decimal point, not a comma." if comma else "One comma between two cells.",
        )
        return
    cells: Mapping[str, TextCell] = dict(zip(names, row, strict=True))
    sides = {side.value: side for side in Side}
    side = sides.get(cells["side"].text)
    if side is None:
        word = cells["side"].text
        message = f"“{word}” is not a side; left or right belongs here."
        yield cells["side"].fault("bad-side", message, suggest(word, sides))
    point = point_in(cells["row"], cells["point"])
    if isinstance(point, Fault):
        yield point
    length = length_in(cells["length_mm"])
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
