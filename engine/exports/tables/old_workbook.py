"""XLS workbooks as sheets, by xlrd: cell after cell, so that no far cell makes a huge rectangle."""

import datetime as dt
import io
from collections.abc import Mapping

import xlrd
from xlrd.biffh import XLRDError

from trimscribe.errors import Fault, Mark
from trimscribe.exports.tables.limits import MOST_SHEETS, too_large, too_many
from trimscribe.exports.tables.survey import RefusedError, SheetSurvey, Surveyor
from trimscribe.exports.tables.workbook import build_sheet, refusal
from trimscribe.marked_yaml import LARGEST
from trimscribe.model.tables import CellKind, CellValue, Range, Sheet

_CONTAINER = b"\xd0\xcf\x11\xe0"


def old_workbook_sheets(data: bytes, name: str) -> tuple[tuple[Sheet, ...], tuple[Fault, ...]]:
    """All sheets of a workbook with their values."""
    if len(data) > LARGEST:
        return (), (too_large(name),)
    try:
        if not data.startswith(_CONTAINER):
            raise RefusedError("workbook-broken")
        book = _opened(data)
        if book.nsheets > MOST_SHEETS:
            return (), (too_many("sheets", MOST_SHEETS, Mark(name)),)
        surveyor = Surveyor()
        return tuple(_sheet(book, index, surveyor, name) for index in range(book.nsheets)), ()
    except RefusedError as error:
        return (), (refusal(error, name),)


def _opened(data: bytes) -> xlrd.book.Book:
    try:
        return xlrd.open_workbook(
            file_contents=data,
            logfile=io.StringIO(),
            formatting_info=True,
            on_demand=True,
            ragged_rows=True,
        )
    except Exception as error:  # a damaged file makes the library raise whatever there is
        locked = isinstance(error, XLRDError) and "encrypted" in str(error)
        raise RefusedError("workbook-locked" if locked else "workbook-broken") from error


def _sheet(book: xlrd.book.Book, index: int, surveyor: Surveyor, name: str) -> Sheet:
    try:
        sheet = book.sheet_by_index(index)
        survey = surveyor.sheet(sheet.name)
        values = dict(_cells(book, sheet, survey, surveyor))
        for top, below, left, right in sheet.merged_cells:
            survey.merged.append(Range(top + 1, left + 1, below, right))
        book.unload_sheet(index)
    except RefusedError:
        raise
    except Exception as error:  # as above
        raise RefusedError("workbook-broken") from error
    return build_sheet(name, survey, values, hidden=bool(sheet.visibility))


def _cells(
    book: xlrd.book.Book, sheet: xlrd.sheet.Sheet, survey: SheetSurvey, surveyor: Surveyor
) -> Mapping[tuple[int, int], CellValue]:
    values: dict[tuple[int, int], CellValue] = {}
    for row in range(sheet.nrows):
        for column, cell in enumerate(sheet.row(row)):
            if cell.ctype in (xlrd.XL_CELL_EMPTY, xlrd.XL_CELL_BLANK) or cell.value == "":
                continue
            place = (row + 1, column + 1)
            surveyor.count(*place)
            if cell.ctype == xlrd.XL_CELL_ERROR:
                survey.kinds[place] = CellKind.ERROR
            elif cell.ctype == xlrd.XL_CELL_BOOLEAN:
                values[place] = bool(cell.value)
            elif cell.ctype == xlrd.XL_CELL_DATE:
                values[place] = _date(float(cell.value), book)
            else:
                values[place] = cell.value
                if cell.ctype == xlrd.XL_CELL_NUMBER and _shows_percent(book, cell.xf_index):
                    survey.kinds[place] = CellKind.PERCENT
    return values


def _date(value: float, book: xlrd.book.Book) -> CellValue:
    found = xlrd.xldate_as_datetime(value, book.datemode)
    return found.date() if found.time() == dt.time() else found


def _shows_percent(book: xlrd.book.Book, style: int | None) -> bool:
    if style is None:
        return False
    return "%" in book.format_map[book.xf_list[style].format_key].format_str
