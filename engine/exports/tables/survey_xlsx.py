"""The survey of an XLSX workbook: sheets by name, styles that show percent, cell after cell."""

import posixpath
import re
from collections.abc import Mapping

from trimscribe.exports.tables.survey import Attributes, RefusedError, SheetSurvey, Surveyor, walk
from trimscribe.model.tables import CellKind, place_of, range_of

_PERCENT_IDS = {9, 10}  # the two percent formats that every program knows by number (ECMA-376)
_LITERAL = re.compile(r'"[^"]*"|\\.')
_BOOK = "xl/workbook.xml"


def survey_xlsx(parts: Mapping[str, bytes]) -> Surveyor:
    """Survey the XML parts of a workbook by name; RefusedError when it may not be opened."""
    surveyor = Surveyor()
    if _BOOK not in parts:
        raise RefusedError("workbook-broken")
    percent = _percent_styles(parts.get("xl/styles.xml"))
    files = _relations(parts.get("xl/_rels/workbook.xml.rels"))
    for name, relation in _sheets(parts[_BOOK]):
        data = parts.get(files.get(relation, ""))
        sheet = surveyor.sheet(name)
        if data is not None:
            _Cells(surveyor, sheet, percent).survey(data)
    return surveyor


def _sheets(data: bytes) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []

    def start(name: str, attributes: Attributes) -> None:
        if name == "sheet":
            found.append((attributes.get("name", ""), attributes.get("id", "")))

    walk(data, start)
    return found


def _relations(data: bytes | None) -> dict[str, str]:
    """Parts by relation; a target is seen from the folder `xl`, or with / from the top."""
    files: dict[str, str] = {}

    def start(name: str, attributes: Attributes) -> None:
        if name == "Relationship":
            target = posixpath.join("/xl", attributes.get("Target", ""))
            files[attributes.get("Id", "")] = posixpath.normpath(target).lstrip("/")

    if data:
        walk(data, start)
    return files


def _percent_styles(data: bytes | None) -> set[str]:
    """The numbers of the cell styles that show a number as percent."""
    percent, found, inside, count = set(map(str, _PERCENT_IDS)), set(), False, 0

    def start(name: str, attributes: Attributes) -> None:
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
        walk(data, start, end)
    return found


class _Cells:
    """Walks the cells of one sheet. Where a cell does not say its place, it is the next one."""

    def __init__(self, surveyor: Surveyor, sheet: SheetSurvey, percent: set[str]) -> None:
        self.surveyor, self.sheet, self.percent = surveyor, sheet, percent
        self.row = self.column = 0
        self.cell: Attributes = {}
        self.holds: set[str] = set()
        self.inside = ""

    def survey(self, data: bytes) -> None:
        walk(data, self._start, self._end, self._text)

    def _start(self, name: str, attributes: Attributes) -> None:
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

    def _text(self, _: str) -> None:
        if self.inside:
            self.holds.add(self.inside)

    def _end(self, name: str) -> None:
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
