"""Text with columns: CSV and its kin, in any declared encoding, each cell with line and column."""

import codecs
import csv
import re
from collections.abc import Iterator

from trimscribe.errors import Fault, Mark
from trimscribe.exports.tables.limits import (
    MOST_CELLS,
    MOST_COLUMNS,
    MOST_ROWS,
    too_large,
    too_many,
)
from trimscribe.exports.tables.short_rows import short_row
from trimscribe.exports.tables.split_decimals import split_decimals
from trimscribe.marked_text import MarkedText
from trimscribe.marked_yaml import LARGEST
from trimscribe.model.tables import Cell, Sheet, TableFormat

BLANKS = "blanks"
_UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


def text_sheet(
    data: bytes, name: str, table_format: TableFormat
) -> tuple[tuple[Sheet, ...], tuple[Fault, ...]]:
    """The one sheet of a text file, without a name, and the faults met."""
    text, faults = _decoded(data, name, table_format.encoding)
    if not text.readable:
        return (), faults
    blanks = table_format.delimiter == BLANKS
    if blanks and (short := short_row(list(_blank_parted(text)), name)):
        return (), (*faults, short)
    cells: dict[tuple[int, int], Cell] = {}
    try:
        for cell in _cells(text, table_format):
            if cell.row > MOST_ROWS:
                return (), (*faults, too_many("lines", MOST_ROWS, cell.mark))
            if cell.column > MOST_COLUMNS:
                return (), (*faults, too_many("columns", MOST_COLUMNS, cell.mark))
            cells[cell.row, cell.column] = cell
            if len(cells) > MOST_CELLS:
                return (), (*faults, too_many("cells", MOST_CELLS, cell.mark))
    except _UnclosedError as error:
        return (), (*faults, error.fault)
    if not cells:
        return (), (*faults, Fault("empty-file", "There is nothing in this file.", text.start))
    if table_format.delimiter == "," and (split := split_decimals(cells)):
        return (), (*faults, split)
    return (Sheet("", cells, text.start),), faults


def _decoded(data: bytes, name: str, encoding: str) -> tuple[MarkedText, tuple[Fault, ...]]:
    """Text in a declared encoding; a byte order mark is no fault: exports often have one."""
    if len(data) > LARGEST:
        return MarkedText(name), (too_large(name),)
    if data.startswith(codecs.BOM_UTF8):
        encoding = "utf-8-sig"
    elif data.startswith(_UTF_16) and encoding != "utf-16":
        return MarkedText(name), (_wrong(encoding, Mark(name), "utf-16"),)
    try:
        whole = data.decode(encoding)
    except UnicodeError as error:
        before = data[: error.start] if isinstance(error, UnicodeDecodeError) else b""
        lines = re.split("\r\n|\r|\n", before.decode(encoding, "replace"))
        mark = Mark(name, len(lines), len(lines[-1]) + 1, 1, lines[-1] + "\ufffd")
        return MarkedText(name), (_wrong(encoding, mark, "windows-1252"),)
    # Two bytes of UTF-16 or one of the others become up to three.
    return MarkedText.decode(whole.encode(), name, 3 * LARGEST, tabs=True)


def _wrong(encoding: str, mark: Mark, other: str) -> Fault:
    return Fault(
        "wrong-encoding",
        f"This file is not {encoding.removesuffix('-sig')} text.",
        mark,
        f"Say how it is encoded in the map, such as `encoding: {other}`.",
    )


class _UnclosedError(Exception):
    """A text in quotes that does not end; the rest of the file cannot be told apart."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.code)
        self.fault = fault


def _cells(text: MarkedText, table_format: TableFormat) -> Iterator[Cell]:
    rows = _blank_parted(text) if table_format.delimiter == BLANKS else _parted(text, table_format)
    for number, line, placed in rows:
        for column, (value, start) in enumerate(placed, 1):
            if value:
                mark = Mark(text.file, number, start + 1, max(1, len(value)), line)
                yield Cell(number, column, value, mark)


def _blank_parted(text: MarkedText) -> Iterator[tuple[int, str, list[tuple[str, int]]]]:
    for number, line in enumerate(text.lines, 1):
        yield number, line, [(found[0], found.start()) for found in re.finditer(r"[^ \t]+", line)]


def _parted(
    text: MarkedText, table_format: TableFormat
) -> Iterator[tuple[int, str, list[tuple[str, int]]]]:
    """Each row with the line that it starts in; a text in quotes may go over several lines."""
    delimiter = table_format.delimiter
    reader = csv.reader(
        (line + "\n" for line in text.lines),
        delimiter=delimiter,
        quotechar=table_format.quote or None,
        quoting=csv.QUOTE_MINIMAL if table_format.quote else csv.QUOTE_NONE,
        strict=True,
    )
    started = 1
    while True:
        try:
            values = next(reader, None)
        except csv.Error:
            line = text.lines[started - 1]
            mark = Mark(text.file, started, 1, max(1, len(line)), line)
            raise _UnclosedError(
                Fault(
                    "unclosed-quote",
                    "A cell in quotes does not end as it should.",
                    mark,
                    "Close the quote, or say in the map which character quotes (`quote`).",
                )
            ) from None
        if values is None:
            return
        yield started, text.lines[started - 1], placed(values, text.lines[started - 1], delimiter)
        started = reader.line_num + 1


def placed(values: list[str], line: str, delimiter: str) -> list[tuple[str, int]]:
    """Each value with the column it starts in, from 0.

    The reader gives no columns, so each value is looked up behind the one before."""
    cursor, placed = 0, []
    for value in values:
        shown = value.strip()
        found = line.find(shown, cursor)
        start = min(cursor, max(0, len(line) - 1)) if found < 0 else found
        placed.append((shown, start))
        end = line.find(delimiter, start + len(shown))
        cursor = len(line) if end < 0 else end + 1
    return placed
