"""The survey of an ODS workbook: repeated rows and cells, spans, errors and percentages."""

from collections.abc import Mapping

from trimscribe.exports.tables.survey import Attributes, RefusedError, SheetSurvey, Surveyor, walk
from trimscribe.model.tables import CellKind, Range

_CONTENT = "content.xml"
_MANIFEST = "META-INF/manifest.xml"


def survey_ods(parts: Mapping[str, bytes]) -> Surveyor:
    """Survey the XML parts of a workbook by name; RefusedError when it may not be opened."""
    if b"encryption-data" in parts.get(_MANIFEST, b""):
        raise RefusedError("workbook-locked")
    if _CONTENT not in parts:
        raise RefusedError("workbook-broken")
    cells = _Cells()
    walk(parts[_CONTENT], cells.start, cells.end)
    return cells.surveyor


class _Cells:
    """Walks all sheets. What is repeated counts as often as it says."""

    def __init__(self) -> None:
        self.surveyor = Surveyor()
        self.sheet: SheetSurvey | None = None
        self.row = self.column = 1
        self.rows = 1
        self.cell: Attributes = {}
        self.holds = False

    def start(self, name: str, attributes: Attributes) -> None:
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
        kind = _kind(self.cell)
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


def _kind(cell: Attributes) -> CellKind:
    kind = cell.get("office:value-type", cell.get("value-type", ""))
    # The standard has no errors; LibreOffice says so in an attribute of its own.
    if cell.get("calcext:value-type") == "error":
        return CellKind.ERROR
    if kind == "percentage":
        return CellKind.PERCENT
    return CellKind.FORMULA if "formula" in cell and not kind else CellKind.PLAIN


def _times(attributes: Attributes, name: str) -> int:
    number = attributes.get(name, "1")
    return max(1, int(number)) if number.isdecimal() and len(number) < 9 else 1
