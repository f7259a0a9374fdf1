"""What the XML of a workbook (XLSX, ODS) says before the library that reads its values may open it.

The library allocates a whole rectangle up to the farthest cell, and leaves out what an error was,
what a percentage and which formula was never worked out. So every part is walked once with expat:
far cells, repeated rows and document types (the way to entities) are refused, and what the library
does not tell is noted.
"""

import posixpath
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

from trimscribe.exports.tables.limits import MOST_CELLS, MOST_COLUMNS, MOST_ROWS, MOST_SHEETS
from trimscribe.model.tables import CellKind, Range, place_of, range_of

_XLSX_BOOK, _ODS_CONTENT = "xl/workbook.xml", "content.xml"
_PERCENT_IDS = {9, 10}  # the two percent formats that every program knows by number (ECMA-376)
_LITERAL = re.compile(r'"[^"]*"|\\.')

_Attributes = Mapping[str, str]


class RefusedError(Exception):
    """The workbook may not be opened: a fault code, what is too many if so, and the cap."""

    def __init__(self, code: str, what: str = "", most: int = 0) -> None:
        """Take the code of the fault."""
        super().__init__(code)
        self.code, self.what, self.most = code, what, most


@dataclass
class SheetSurvey:
    """One sheet: kinds of cells that are not plain by row and column, and merged ranges."""

    name: str
    kinds: dict[tuple[int, int], CellKind] = field(default_factory=dict)
    merged: list[Range] = field(default_factory=list)


class Surveyor:
    """Counts what all sheets hold against the caps."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self.cells = 0
        self.sheets: list[SheetSurvey] = []

    def sheet(self, name: str) -> SheetSurvey:
        """A further sheet."""
        if len(self.sheets) >= MOST_SHEETS:
            raise RefusedError("table-too-large", "sheets", MOST_SHEETS)
        self.sheets.append(SheetSurvey(name))
        return self.sheets[-1]

    def count(self, bottom: int, right: int, cells: int = 1) -> None:
        """Cells with a content, of which the last is at this row and column."""
        self.cells += cells
        for found, most, what in (
            (bottom, MOST_ROWS, "rows"),
            (right, MOST_COLUMNS, "columns"),
            (self.cells, MOST_CELLS, "cells"),
        ):
            if found > most:
                raise RefusedError("table-too-large", what, most)


def surveyed(parts: Mapping[str, bytes]) -> Surveyor:
    """Survey the XML parts of a workbook by name; RefusedError when it may not be opened."""
    return _ods(parts) if _ODS_CONTENT in parts else _xlsx(parts)


def _xlsx(parts: Mapping[str, bytes]) -> Surveyor:
    """Sheets by name, styles that show percent, then cell after cell."""
    surveyor = Surveyor()
    if _XLSX_BOOK not in parts:
        raise RefusedError("workbook-broken")
    percent = _percent_styles(parts.get("xl/styles.xml"))
    files = _relations(parts.get("xl/_rels/workbook.xml.rels"))
    for name, relation in _sheets(parts[_XLSX_BOOK]):
        data = parts.get(files.get(relation, ""))
        sheet = surveyor.sheet(name)
        if data is not None:
            cells = _XlsxCells(surveyor, sheet, percent)
            _walk(data, cells.start, cells.end, cells.text)
    return surveyor


def _sheets(data: bytes) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []

    def start(name: str, attributes: _Attributes) -> None:
        if name == "sheet":
            found.append((attributes.get("name", ""), attributes.get("id", "")))

    _walk(data, start)
    return found


def _relations(data: bytes | None) -> dict[str, str]:
    """Parts by relation; a target is seen from the folder `xl`, or with / from the top."""
    files: dict[str, str] = {}

    def start(name: str, attributes: _Attributes) -> None:
        if name == "Relationship":
            target = posixpath.join("/xl", attributes.get("Target", ""))
            files[attributes.get("Id", "")] = posixpath.normpath(target).lstrip("/")

    if data:
        _walk(data, start)
    return files


def _percent_styles(data: bytes | None) -> set[str]:
    """The numbers of the cell styles that show a number as percent."""
    percent, found, inside, count = set(map(str, _PERCENT_IDS)), set(), False, 0

    def start(name: str, attributes: _Attributes) -> None:
        nonlocal inside, count
        if name == "numFmt" and "%" in _LITERAL.sub("", attributes.get("formatCode", "")):
            percent.add(attributes.get("numFmtId", ""))
        elif name == "cellXfs":
            inside = True
        elif name == "xf" and inside:
            if attributes.get("numFmtId") in percent:
                found.add(str(count))
            count += 1

    def end(name: str) -> None:
        nonlocal inside
        inside = inside and name != "cellXfs"

    if data:
        _walk(data, start, end)
    return found


class _XlsxCells:
    """Walks the cells of one sheet. Where a cell does not say its place, it is the next one."""

    def __init__(self, surveyor: Surveyor, sheet: SheetSurvey, percent: set[str]) -> None:
        self.surveyor, self.sheet, self.percent = surveyor, sheet, percent
        self.row = self.column = 0
        self.cell: _Attributes = {}
        self.holds: set[str] = set()
        self.inside = ""

    def start(self, name: str, attributes: _Attributes) -> None:
        if name == "row":
            number = attributes.get("r", "")
            self.row = int(number) if number.isdecimal() else self.row + 1
            self.column = 0
        elif name == "c":
            place = place_of(attributes.get("r", ""))
            self.row, self.column = place or (self.row, self.column + 1)
            self.cell, self.holds = attributes, set()
        elif name in ("v", "is", "f"):
            self.inside = name
            if name == "f" or (name == "v" and self.cell.get("t") == "str"):
                self.holds.add(name)  # an empty text is a value
        elif name == "mergeCell" and (merged := range_of(attributes.get("ref", ""))):
            self.sheet.merged.append(merged)

    def text(self, _: str) -> None:
        if self.inside:
            self.holds.add(self.inside)

    def end(self, name: str) -> None:
        self.inside = "" if name == self.inside else self.inside
        if name != "c" or not self.holds:
            return
        self.surveyor.count(self.row, self.column)
        kind = self.cell.get("t", "n")
        if kind == "e":
            self.sheet.kinds[self.row, self.column] = CellKind.ERROR
        elif self.holds == {"f"}:
            self.sheet.kinds[self.row, self.column] = CellKind.FORMULA
        elif kind == "n" and self.cell.get("s", "") in self.percent:
            self.sheet.kinds[self.row, self.column] = CellKind.PERCENT


def _ods(parts: Mapping[str, bytes]) -> Surveyor:
    if b"encryption-data" in parts.get("META-INF/manifest.xml", b""):
        raise RefusedError("workbook-locked")
    cells = _OdsCells()
    _walk(parts[_ODS_CONTENT], cells.start, cells.end)
    return cells.surveyor


class _OdsCells:
    """Walks all sheets; repeated rows and cells count as often as they say."""

    def __init__(self) -> None:
        self.surveyor = Surveyor()
        self.sheet: SheetSurvey | None = None
        self.row = self.column = 1
        self.rows = 1
        self.cell: _Attributes = {}
        self.holds = False

    def start(self, name: str, attributes: _Attributes) -> None:
        if name == "table":
            self.sheet = self.surveyor.sheet(attributes.get("name", ""))
            self.row = 1
        elif name == "table-row":
            self.rows, self.column = _times(attributes, "number-rows-repeated"), 1
        elif name in ("table-cell", "covered-table-cell"):
            self.cell = attributes
            self.holds = "value-type" in attributes or "formula" in attributes
        elif name == "p":
            self.holds = True

    def end(self, name: str) -> None:
        if name == "table-row":
            self.row += self.rows
        elif name in ("table-cell", "covered-table-cell"):
            times = _times(self.cell, "number-columns-repeated")
            if self.sheet and self.holds:
                bottom, right = self.row + self.rows - 1, self.column + times - 1
                self.surveyor.count(bottom, right, self.rows * times)
                self._note(self.sheet, bottom, right)
            self._span(times)
            self.column += times
            self.holds = False

    def _note(self, sheet: SheetSurvey, bottom: int, right: int) -> None:
        kind = _ods_kind(self.cell)
        if kind is not CellKind.PLAIN:
            for row in range(self.row, bottom + 1):
                for column in range(self.column, right + 1):
                    sheet.kinds[row, column] = kind

    def _span(self, times: int) -> None:
        down, across = (
            _times(self.cell, "number-rows-spanned"),
            _times(self.cell, "number-columns-spanned"),
        )
        if self.sheet and times == 1 and (down > 1 or across > 1):
            bottom, right = self.row + down - 1, self.column + across - 1
            self.sheet.merged.append(Range(self.row, self.column, bottom, right))


def _ods_kind(cell: _Attributes) -> CellKind:
    kind = cell.get("office:value-type", cell.get("value-type", ""))
    # The standard has no errors; LibreOffice says so in an attribute of its own.
    if cell.get("calcext:value-type") == "error":
        return CellKind.ERROR
    if kind == "percentage":
        return CellKind.PERCENT
    return CellKind.FORMULA if "formula" in cell and not kind else CellKind.PLAIN


def _times(attributes: _Attributes, name: str) -> int:
    number = attributes.get(name, "1")
    return max(1, int(number)) if number.isdecimal() and len(number) < 9 else 1


def _walk(
    data: bytes,
    start: Callable[[str, _Attributes], None],
    end: Callable[[str], None] | None = None,
    text: Callable[[str], None] | None = None,
) -> None:
    """Go through one XML part; names come without their prefixes, attributes also with them.

    Raises RefusedError where a document type is declared or the XML is broken.
    """
    parser = expat.ParserCreate()

    def refuse(*_: object) -> None:
        raise RefusedError("workbook-not-plain")

    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    parser.StartElementHandler = lambda name, attributes: start(
        _local(name), attributes | {_local(key): value for key, value in attributes.items()}
    )
    if end:
        parser.EndElementHandler = lambda name: end(_local(name))
    if text:
        parser.CharacterDataHandler = text
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, LookupError) as error:  # not XML, or in an unknown encoding
        raise RefusedError("workbook-broken") from error


def _local(name: str) -> str:
    return name.rpartition(":")[2]
