"""A table of records, such as adjustments or readings of the cloth: one in each row."""

from collections.abc import Iterator

from trimscribe.errors import Fault
from trimscribe.exports.mapping.cells import LeftEmpty, label_fault, number_in
from trimscribe.exports.mapping.find import FoundTable
from trimscribe.exports.mapping.forms import folded
from trimscribe.exports.mapping.lines import skipped
from trimscribe.exports.mapping.plan import ImportMap, TablePlan
from trimscribe.exports.mapping.result import LeftOut, Outcome, RecordField
from trimscribe.hints import suggest
from trimscribe.model.tables import Cell

_NUMBERS = {"change_mm", "take_up_mm", "value", "tear_mm"}
_LOOPS = {"loop", "loop_before", "loop_after"}


def take_records(
    found: FoundTable, table: TablePlan, plan: ImportMap, index: int
) -> Iterator[Outcome]:
    """What became of the cells of the table; a row without any of the columns is not a record."""
    columns = [(found.column(one.place), one) for one in table.columns if not one.always]
    for row in found.rows:
        cells = {
            one.field: cell for column, one in columns if (cell := found.sheet.at(row, column))
        }
        if skipped(list(cells.values()), table):
            yield from (LeftOut(cell, "skipped by the map") for cell in cells.values())
        elif cells:
            for name, cell in cells.items():
                yield from _field(found, table, plan, (index, row), name, cell)
            for one in table.columns:
                if one.always:
                    yield RecordField(table.gives, (index, row), one.field, one.always, None)


def _field(
    found: FoundTable,
    table: TablePlan,
    plan: ImportMap,
    row: tuple[int, int],
    name: str,
    cell: Cell,
) -> Iterator[Outcome]:
    value = _value(found, plan, name, cell)
    if isinstance(value, Fault):
        yield value
        yield LeftOut(cell, f"faulty: {value.code}")
    elif value is None:
        yield LeftOut(cell, "not measured, as the map reads it")
    else:
        yield RecordField(table.gives, row, name, value, cell)


def _value(found: FoundTable, plan: ImportMap, name: str, cell: Cell) -> str | float | Fault | None:
    if name in _NUMBERS:
        number = number_in(cell, found.sheet, plan.numbers)
        if isinstance(number, LeftEmpty):
            return None
        return number if isinstance(number, Fault) else float(number)
    if fault := label_fault(cell):
        return fault
    word = folded(cell.text)
    if name in _LOOPS:
        return plan.words["loop"].get(word, cell.text)
    if name != "side" or word == "both":
        return cell.text if name != "side" else word
    side = plan.words["side"].get(word)
    if side is None:
        return cell.fault(
            "bad-side",
            f"“{cell.text[:40]}” is not a side that the map knows.",
            suggest(cell.text, plan.words["side"]),
        )
    return side
