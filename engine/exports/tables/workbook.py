"""XLSX and ODS workbooks as sheets: the zip's caps, the survey, then the values by calamine.

Only the XML parts are unpacked, and calamine gets a zip rebuilt of what was surveyed: it never
sees a byte that was not walked before. Macros, pictures and links to other files are left behind.
"""

import datetime as dt
import io
import zipfile
import zlib
from collections import defaultdict
from collections.abc import Mapping, Sequence

from python_calamine import CalamineError, CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

from trimscribe.errors import Fault, Mark
from trimscribe.exports.tables.limits import UNPACKED, UNPACKED_RATIO, too_large, too_many
from trimscribe.exports.tables.survey import RefusedError, SheetSurvey, Surveyor, surveyed
from trimscribe.marked_yaml import LARGEST
from trimscribe.model.tables import Cell, CellKind, CellValue, Sheet, column_letters, shown

_OLD = b"\xd0\xcf\x11\xe0"  # the container of XLS, and of an XLSX with a password
# What the standard library raises for a zip that is damaged, locked or packed in a rare way.
_ZIP_ERRORS = (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, OSError)
_MOST_PARTS = 1000
_REFUSALS = {
    "workbook-broken": (
        "This workbook is broken, or is none.",
        "Open it in a spreadsheet program and save it again as XLSX or ODS.",
    ),
    "workbook-locked": (
        "This workbook is locked with a password.",
        "Save it without one; Trimscribe reads it where it lies.",
    ),
    "workbook-not-plain": (
        "This workbook declares a document type, which no spreadsheet program writes.",
        "Open it in a spreadsheet program and save it again.",
    ),
    "workbook-unpacks-too-large": (
        f"This workbook unpacks to more than {UNPACKED} bytes, or to more than {UNPACKED_RATIO} "
        "times its size.",
        "Export the measurements alone.",
    ),
}
_BETWEEN = " │ "  # cells of the row that a fault shows
_LONGEST = 30  # characters of one of them
_NO_VALUE = {CellKind.ERROR: "#error", CellKind.FORMULA: "=…"}  # the library gives none for them


def workbook_sheets(data: bytes, name: str) -> tuple[tuple[Sheet, ...], tuple[Fault, ...]]:
    """All sheets of a workbook with their values; XLSX or ODS shows by the content."""
    if len(data) > LARGEST:
        return (), (too_large(name),)
    try:
        parts = _unpacked(data)
        sheets = _values(parts, surveyed(parts), name)
    except RefusedError as error:
        return (), (refusal(error, name),)
    nothing = Fault("empty-file", "There is nothing in this file.", Mark(name))
    return sheets, () if sheets else (nothing,)


def refusal(error: RefusedError, name: str) -> Fault:
    """The fault for what the survey refused."""
    if error.code == "table-too-large":
        return too_many(error.what, error.most, Mark(name))
    message, hint = _REFUSALS[error.code]
    return Fault(error.code, message, Mark(name), hint)


def _unpacked(data: bytes) -> dict[str, bytes]:
    """The XML parts by name, after the directory of the zip kept the caps."""
    if data.startswith(_OLD):
        raise RefusedError("workbook-locked")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            entries = packed.infolist()
            total = sum(entry.file_size for entry in entries)
            if total > min(UNPACKED, UNPACKED_RATIO * len(data)) or len(entries) > _MOST_PARTS:
                raise RefusedError("workbook-unpacks-too-large")
            if any(entry.flag_bits & 1 for entry in entries):
                raise RefusedError("workbook-locked")
            return {
                entry.filename: packed.read(entry)  # never more than the size in the directory
                for entry in entries
                if entry.filename.endswith((".xml", ".rels")) or entry.filename == "mimetype"
            }
    except (*_ZIP_ERRORS, ValueError) as error:
        raise RefusedError("workbook-broken") from error


def _values(parts: Mapping[str, bytes], surveyor: Surveyor, name: str) -> tuple[Sheet, ...]:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for part, content in parts.items():
            archive.writestr(zipfile.ZipInfo(part), content)
    try:
        packed.seek(0)
        book = CalamineWorkbook.from_filelike(packed)
        known = {sheet.name: sheet for sheet in surveyor.sheets}
        return tuple(
            build_sheet(
                name,
                known.get(found.name) or SheetSurvey(found.name),
                _placed(book.get_sheet_by_name(found.name).to_python(skip_empty_area=False)),
                hidden=found.visible != SheetVisibleEnum.Visible,
            )
            for found in book.sheets_metadata
            if found.typ is SheetTypeEnum.WorkSheet
        )
    except CalamineError as error:
        raise RefusedError("workbook-broken") from error


def _placed(rows: Sequence[Sequence[CellValue]]) -> dict[tuple[int, int], CellValue]:
    """Values by row and column; what is empty reads as an empty text."""
    return {
        (row, column): value
        for row, line in enumerate(rows, 1)
        for column, value in enumerate(line, 1)
        if value != ""
    }


def build_sheet(
    file: str,
    survey: SheetSurvey,
    values: Mapping[tuple[int, int], CellValue],
    *,
    hidden: bool = False,
) -> Sheet:
    """A sheet; what lies hidden under a merged cell is left out."""
    merged = tuple(survey.merged)
    unseen = {place: _NO_VALUE[kind] for place, kind in survey.kinds.items() if kind in _NO_VALUE}
    rows: dict[int, dict[int, CellValue]] = defaultdict(dict)
    for (row, column), value in sorted((unseen | dict(values)).items()):
        if not any(r.holds(row, column) and (row, column) != (r.top, r.left) for r in merged):
            rows[row][column] = value
    cells = {}
    for row, line in rows.items():
        for column, (value, mark) in _marked(file, survey.name, row, line).items():
            kind = survey.kinds.get((row, column), CellKind.PLAIN)
            if isinstance(value, dt.date | dt.time | dt.timedelta):
                kind = CellKind.DATE
            cells[row, column] = Cell(row, column, value, mark, kind)
    return Sheet(survey.name, cells, Mark(file, cell=survey.name), merged, hidden)


def _marked(
    file: str, sheet: str, row: int, line: Mapping[int, CellValue]
) -> dict[int, tuple[CellValue, Mark]]:
    """Each cell of a row with its mark, which shows the row as one line of text."""
    texts = {column: " ".join(shown(value).split())[:_LONGEST] for column, value in line.items()}
    source, start, marked = _BETWEEN.join(texts.values()), 1, {}
    for column, value in line.items():
        width = len(texts[column])
        place = f"{sheet}!{column_letters(column)}{row}"
        marked[column] = (value, Mark(file, row, start, max(1, width), source, place))
        start += width + len(_BETWEEN)
    return marked
