"""Where a table is in a sheet: its rows, its headings, and the number of each column."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trimscribe.errors import Fault, suggest
from trimscribe.exports.mapping.forms import folded
from trimscribe.exports.mapping.plan import ColumnRef, TablePlan
from trimscribe.model.tables import Cell, Range, Sheet


@dataclass(frozen=True)
class FoundTable:
    """A table that was found: its rows below the headings, and the heading of each column."""

    sheet: Sheet
    rows: range
    columns: range
    headings: dict[int, str]
    header: tuple[int, ...]

    def column(self, place: ColumnRef) -> int:
        """The number of a column; the headings were checked before."""
        if place.column:
            return place.column
        return next(n for n, text in self.headings.items() if folded(text) == place.heading)


def sheet_of(sheets: Sequence[Sheet], plan: TablePlan) -> Sheet | Fault:
    """The sheet that a table names, by name or number; the first if it names none."""
    if not plan.sheet:
        return sheets[0]
    named = [sheet for sheet in sheets if folded(sheet.name) == folded(plan.sheet)]
    if named:
        return named[0]
    if plan.sheet.isdecimal() and 1 <= int(plan.sheet) <= len(sheets):
        return sheets[int(plan.sheet) - 1]
    names = [sheet.name for sheet in sheets if sheet.name]
    return Fault(
        "sheet-not-found",
        f"The file has no sheet “{plan.sheet}”, which the map names.",
        sheets[0].mark,
        suggest(plan.sheet, names) if names else "A text file has no sheets: leave `sheet` out.",
    )


def find(sheet: Sheet, plan: TablePlan) -> FoundTable | Fault:
    """Find one table, or say what is missing of it."""
    block = _block(sheet, plan)
    if isinstance(block, Fault):
        return block
    columns = range(block.left, block.right + 1)
    if not _needs_headings(plan):
        return FoundTable(sheet, range(block.top, block.bottom + 1), columns, {}, ())
    header = plan.header or _header(sheet, plan, block)
    headings = dict(headings_in(sheet, header, columns))
    if fault := _heading_fault(sheet, plan, headings, header):
        return fault
    below = max(header) + 1
    return FoundTable(sheet, range(below, block.bottom + 1), columns, headings, tuple(header))


def _block(sheet: Sheet, plan: TablePlan) -> Range | Fault:
    """The rows and columns that the table can be in."""
    bottom = max(row for row, _ in sheet.cells)
    right = max(column for _, column in sheet.cells)
    block = plan.cells or Range(1, 1, bottom, right)
    block = Range(block.top, block.left, min(block.bottom, bottom), min(block.right, right))
    top = block.top
    if plan.below:
        row = _row_with(sheet, plan.below, block, top)
        if row is None:
            return _text_missing(sheet, plan.below)
        top = row + 1
    end = block.bottom
    if plan.until:
        row = _row_with(sheet, plan.until, block, top)
        if row is None:
            return _text_missing(sheet, plan.until)
        end = row - 1
    return Range(top, block.left, end, block.right)


def _row_with(sheet: Sheet, text: str, block: Range, top: int) -> int | None:
    rows = [
        row
        for (row, column), cell in sheet.cells.items()
        if row >= top and block.holds(row, column) and folded(cell.text) == folded(text)
    ]
    return min(rows, default=None)


def _text_missing(sheet: Sheet, text: str) -> Fault:
    texts = [cell.text for cell in sheet.cells.values() if isinstance(cell.value, str)]
    return Fault(
        "table-not-found",
        f"No cell holds “{text}”, by which the map finds a table.",
        sheet.mark,
        suggest(text, texts, listed=False) or "Capitals and spaces do not matter, all else does.",
    )


def _needs_headings(plan: TablePlan) -> bool:
    by_form = any(column.forms for column in plan.values)
    return bool(plan.headings or by_form or plan.header)


def _header(sheet: Sheet, plan: TablePlan, block: Range) -> tuple[int, ...]:
    """The first row that holds all headings, else the one that holds most of them."""
    columns = range(block.left, block.right + 1)
    best, most = block.top, -1
    for row in sorted({row for row, _ in sheet.cells if block.top <= row <= block.bottom}):
        headings = dict(headings_in(sheet, (row,), columns))
        texts = {folded(text) for text in headings.values()}
        found = sum(heading in texts for heading in plan.headings) + sum(
            any(form.match(text) for text in headings.values() for form in column.forms)
            for column in plan.values
        )
        if found > most:
            best, most = row, found
    return (best,)


def headings_in(sheet: Sheet, header: Sequence[int], columns: range) -> Iterator[tuple[int, str]]:
    """The heading of each column: texts of all header rows, joined by blanks.

    In the upper rows a heading is over all columns that it is merged over, or, in a row
    without merged cells, over the empty ones to its right.
    """
    upper: dict[int, Cell] = {}
    for column in columns:
        texts: list[Cell] = []
        for row in header:
            cell = sheet.at(row, column)
            if row != header[-1] and not any(m.top <= row <= m.bottom for m in sheet.merged):
                cell = cell or upper.get(row)
                if cell:
                    upper[row] = cell
            if cell and cell not in texts:
                texts.append(cell)
        if texts:
            yield column, " ".join(cell.text for cell in texts)


def _heading_fault(
    sheet: Sheet, plan: TablePlan, headings: dict[int, str], header: Sequence[int]
) -> Fault | None:
    texts = [folded(text) for text in headings.values()]
    first = next((sheet.at(header[-1], column) for column in headings), None)
    mark = first.mark if first else sheet.mark
    for heading in plan.headings:
        if heading not in texts:
            return Fault(
                "table-not-found",
                f"There is no column “{heading}” among the headings in row {header[-1]}.",
                mark,
                suggest(heading, headings.values()) or "Say in the map where the headings are.",
            )
        if texts.count(heading) > 1:
            return Fault(
                "heading-twice",
                f"Two columns are called “{heading}”.",
                mark,
                "Name the columns by their letters (`at`), or the block by `cells`.",
            )
    for column in plan.values:
        if column.forms and not any(
            form.match(text) for text in headings.values() for form in column.forms
        ):
            forms = " or ".join(f"“{form.text}”" for form in column.forms)
            return Fault(
                "table-not-found",
                f"No heading in row {header[-1]} has the form {forms}.",
                mark,
                "Give other forms in the map, or say where the headings are (`header`).",
            )
    return None
