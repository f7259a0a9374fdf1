"""Table by table and cell by cell: what each cell is, and which line it is about."""

from collections.abc import Iterator, Sequence

from trimscribe.errors import Fault
from trimscribe.exports.mapping.find import FoundTable, find, sheet_of
from trimscribe.exports.mapping.lines import take_lines
from trimscribe.exports.mapping.plan import ImportMap, TablePlan
from trimscribe.exports.mapping.records import take_records
from trimscribe.exports.mapping.result import Extracted, LeftOut, LineReading, Outcome, RecordField
from trimscribe.model.tables import Cell, Sheet
from trimscribe.schemas.import_map import FIELDS

__all__ = ["MOST_FAULTS", "take"]

MOST_FAULTS = 200  # of one export; more would only hide the first


def take(sheets: Sequence[Sheet], plan: ImportMap) -> Extracted:
    """Take what the map says out of the sheets; every cell of the sheets used is accounted for."""
    outcomes: list[Outcome] = []
    used: dict[str, Sheet] = {}
    for index, table in enumerate(plan.tables):
        sheet = sheet_of(sheets, table)
        if isinstance(sheet, Fault):
            outcomes.append(sheet)
            continue
        used[sheet.name] = sheet
        found = find(sheet, table)
        outcomes += [found] if isinstance(found, Fault) else _outcomes(found, table, plan, index)
    # A cell that two tables know is left out only where neither takes it.
    taken = {
        one.cell for one in outcomes if isinstance(one, LineReading | RecordField) and one.cell
    }
    left: dict[Cell, LeftOut] = {}
    for one in outcomes:
        if isinstance(one, LeftOut) and one.cell not in taken:
            left.setdefault(one.cell, one)
    cells = [
        (
            cell,
            "outside every table of the map"
            if sheet.name in used
            else "in a sheet that the map does not name",
        )
        for sheet in sheets
        for _, cell in sorted(sheet.cells.items())
    ]
    return Extracted(
        tuple(one for one in outcomes if isinstance(one, LineReading)),
        tuple(one for one in outcomes if isinstance(one, RecordField)),
        tuple(left.get(cell) or LeftOut(cell, why) for cell, why in cells if cell not in taken),
        tuple(dict.fromkeys(one for one in outcomes if isinstance(one, Fault)))[:MOST_FAULTS],
    )


def _outcomes(
    found: FoundTable, table: TablePlan, plan: ImportMap, index: int
) -> Iterator[Outcome]:
    for row in found.header:
        for column in found.columns:
            if cell := found.sheet.cells.get((row, column)):
                yield LeftOut(cell, "heading")
    if table.gives in FIELDS:
        yield from take_records(found, table, plan, index)
    else:
        yield from take_lines(found, table, plan)
    for (row, column), cell in found.sheet.cells.items():
        if row in found.rows and column in found.columns:
            yield LeftOut(cell, "in no column that the map names")
