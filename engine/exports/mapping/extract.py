"""An export and its map: from bytes to values, by the importer that knows such files.

Table by table and cell by cell: what each cell is, and which line it is about.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import TypeVar

from trimscribe.contracts import ImportedLength, Importer, TableImporter
from trimscribe.errors import Fault, Mark
from trimscribe.exports.mapping.cells import LeftEmpty, number_in, odd_kind
from trimscribe.exports.mapping.find import FoundTable, find, sheet_of
from trimscribe.exports.mapping.forms import folded
from trimscribe.exports.mapping.lines import skipped, take_lines
from trimscribe.exports.mapping.normalise import Specified, normalise
from trimscribe.exports.mapping.plan import ImportMap, TablePlan
from trimscribe.exports.mapping.result import (
    Extracted,
    Imported,
    LeftOut,
    LineReading,
    Outcome,
    RecordField,
)
from trimscribe.hints import suggest
from trimscribe.model.tables import Cell, Sheet, TableFormat
from trimscribe.model.wing import Side
from trimscribe.registry import Registry
from trimscribe.schemas.import_map import FIELDS

_MOST_FAULTS = 200  # of one export; more would only hide the first

AnyImporter = TypeVar("AnyImporter", bound=Importer)
AnyPart = TypeVar("AnyPart")


def importers_for(
    importers: Sequence[AnyImporter], name: str, mark: Mark, kind: str = ""
) -> list[AnyImporter] | Fault:
    """The importer of that `kind`, else all that read files with this ending, in their order.

    Those that somebody installed come before the built-in ones.
    """
    found = [
        importer
        for importer in sorted(importers, key=_is_built_in)
        if (importer.name == kind if kind else name.lower().endswith(tuple(importer.suffixes)))
    ]
    if found:
        return found
    if kind:
        message = f"There is no importer “{kind}” that a map can use."
        return Fault("no-importer", message, mark, suggest(kind, [one.name for one in importers]))
    suffixes = ", ".join(suffix for importer in importers for suffix in importer.suffixes)
    return Fault(
        "no-importer",
        f"No importer reads a file such as “{name}”.",
        mark,
        f"Files that can be read end in {suffixes}.",
    )


def _is_built_in(importer: Importer) -> bool:
    return type(importer).__module__.partition(".")[0] == "trimscribe"


def read_lengths(
    registry: Registry, data: bytes, name: str, mark: Mark
) -> tuple[Sequence[ImportedLength], tuple[Fault, ...]]:
    """The lengths of an export that says itself what they are; `mark` is where it is named."""
    found = importers_for(list(registry.all("importers")), name, mark)
    return _first_answer(found, lambda one: one.read(data, name), name, mark)


def _first_answer(
    found: Sequence[AnyImporter] | Fault,
    ask: Callable[[AnyImporter], tuple[Sequence[AnyPart], tuple[Fault, ...]] | None],
    name: str,
    mark: Mark,
) -> tuple[Sequence[AnyPart], tuple[Fault, ...]]:
    """What the first importer says that does not decline the file by None."""
    if isinstance(found, Fault):
        return (), (found,)
    for importer in found:
        answer = ask(importer)
        if answer is not None:
            return answer[0], answer[1] if _is_built_in(importer) else _named(importer, answer[1])
    tried = ", ".join(f"“{one.name}”" for one in found)
    return (), (Fault("no-importer", f"“{name}” is not a file that {tried} can read.", mark),)


def _named(importer: Importer, faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
    """The faults, the first with the importer that took the file, which nobody asked for it."""
    whose = f"It was read by the importer “{importer.name}”, which another package adds."
    return (*(replace(f, hint=f"{f.hint} {whose}".strip()) for f in faults[:1]), *faults[1:])


def sheets_of(
    registry: Registry, data: bytes, name: str, table_format: TableFormat, mark: Mark
) -> tuple[Sequence[Sheet], tuple[Fault, ...]]:
    """The cells of an export; `mark` is where the file is named."""
    every = list(registry.all("importers"))
    able = [one for one in every if isinstance(one, TableImporter)]
    found = importers_for(able, name, mark, table_format.kind)
    readers = importers_for(every, name, mark)
    if isinstance(found, Fault) and not isinstance(readers, Fault) and not table_format.kind:
        message = f"The importer “{readers[0].name}” reads “{name}” by itself, without a map."
        return (), (Fault("no-importer", message, mark, "Name the export alone, as `file`."),)
    sheets, faults = _first_answer(
        found, lambda one: one.tables(data, name, table_format), name, mark
    )
    return [sheet for sheet in sheets if sheet.cells], faults


def import_export(
    registry: Registry,
    data: bytes,
    name: str,
    plan: ImportMap,
    mark: Mark,
    *,
    measuring: str = "",
    specified: Specified | None = None,
) -> Imported:
    """All values of one export and every fault; `name` is the file as typed.

    `measuring` is where lengths belong that do not say it, else the map's own word holds.
    """
    sheets, faults = sheets_of(registry, data, name, plan.table_format, mark)
    if not sheets:
        empty = Fault("empty-file", "There is nothing in this file.", Mark(name))
        return Imported(faults=faults or (empty,))
    imported = normalise(_take(sheets, plan), plan, measuring or plan.measuring, specified or {})
    return Imported(imported.values, imported.left_out, (*faults, *imported.faults))


def lengths_of(
    imported: Imported, measuring: str, name: str
) -> tuple[tuple[ImportedLength, ...], tuple[Fault, ...]]:
    """The lengths of one measuring, and the faults; that there are none is one."""
    lengths = tuple(
        ImportedLength(
            side=Side(str(value.path[1])),
            group=str(value.path[2]),
            point=int(value.path[3]),
            length_mm=float(value.value),
            mark=value.cells[0].mark,
        )
        for value in imported.values
        if value.path[0] == measuring
    )
    if lengths or imported.faults:
        return lengths, imported.faults
    return (), (
        Fault(
            "no-values",
            f"With this map the file gives no lengths for `{measuring}`.",
            Mark(name),
            "`trimscribe import --dry-run` shows what becomes of every cell.",
        ),
    )


def _take(sheets: Sequence[Sheet], plan: ImportMap) -> Extracted:
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
        tuple(dict.fromkeys(one for one in outcomes if isinstance(one, Fault)))[:_MOST_FAULTS],
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
    if fault := odd_kind(cell):
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
