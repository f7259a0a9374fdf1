"""What a map takes out of the sheets of an export, table by table and cell by cell.

In a table of lengths labels and headings say which line a cell is about; in one of records each
row is a record.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from trimscribe.errors import Fault, suggest
from trimscribe.exports.mapping.cells import LeftEmpty, number_in, odd_kind, unlike_number
from trimscribe.exports.mapping.find import FoundTable, find, sheet_of
from trimscribe.exports.mapping.forms import Form, Parts, folded
from trimscribe.exports.mapping.plan import ImportMap, LabelColumn, TablePlan
from trimscribe.model.tables import Cell, Sheet
from trimscribe.model.wing import BRAKE_MAIN
from trimscribe.schemas.import_map import FIELDS

_MOST_FAULTS = 200  # of one export; more would only hide the first
NOTE = "a note: no line is named"
_SKIPPED = "skipped by the map"
_EMPTY = "not measured, as the map reads it"
IN_NO_COLUMN = "in no column that the map names"
OUTSIDE = "outside every table of the map"
IN_NO_SHEET = "in a sheet that the map does not name"
_SAYS = {"row": "row", "point": "point", "side": "side", "when": "time"}
_NUMBERS = {"change_mm", "take_up_mm", "value", "tear_mm"}
_LOOPS = {"loop", "loop_before", "loop_after"}


@dataclass(frozen=True)
class LineReading:
    """A number of one line as the export has it, in mm: a length or a deviation."""

    gives: str
    parts: Parts
    value: Decimal
    cell: Cell


@dataclass(frozen=True)
class RecordField:
    """One field of a record; those of one record come from the same row of the same table."""

    gives: str
    row: tuple[int, int]
    field: str
    value: str | float
    cell: Cell | None


@dataclass(frozen=True)
class LeftOut:
    """A cell that became no value, and why: a heading, a label, a note, nothing measured …"""

    cell: Cell
    reason: str


Outcome = LineReading | RecordField | LeftOut | Fault


@dataclass(frozen=True)
class Extracted:
    """What the tables of a map took out of the sheets."""

    readings: tuple[LineReading, ...] = ()
    records: tuple[RecordField, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    faults: tuple[Fault, ...] = ()


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
        (cell, OUTSIDE if sheet.name in used else IN_NO_SHEET)
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
        yield from _records(found, table, plan, index)
    else:
        yield from _Lines(found, table, plan).take()
    for (row, column), cell in found.sheet.cells.items():
        if row in found.rows and column in found.columns:
            yield LeftOut(cell, IN_NO_COLUMN)


def _skipped(cells: Sequence[Cell], table: TablePlan) -> bool:
    """Whether the map leaves a row out by one of its labels; `*` stands for anything."""
    patterns = [".*".join(map(re.escape, folded(text).split("*"))) for text in table.skip]
    return any(re.fullmatch(pattern, folded(cell.text)) for cell in cells for pattern in patterns)


class _Lines:
    """Goes through one table of lengths."""

    def __init__(self, found: FoundTable, table: TablePlan, plan: ImportMap) -> None:
        self.found, self.table, self.plan = found, table, plan
        self.labels = [(found.column(label.place), label) for label in table.labels]
        self.values = list(self._value_columns())
        self.above: dict[int, Cell] = {}

    def _value_columns(self) -> Iterator[tuple[int, Parts | str]]:
        """Number of each column with lengths, and what its heading and the map say together."""
        taken = {column for column, _ in self.labels}
        for value in self.table.values:
            if not value.forms:
                yield self.found.column(value.place), value.parts
                continue
            for column, heading in self.found.headings.items():
                parts = _matched(heading, value.forms)
                if parts and column not in taken:
                    taken.add(column)
                    yield column, parts.also(value.parts)

    def take(self) -> Iterator[Outcome]:
        sheet = self.found.sheet
        for row in self.found.rows:
            labels = [(label, self._label(row, column, label)) for column, label in self.labels]
            cells = [cell for _, cell in labels if cell]
            values = [
                (cell, parts)
                for column, parts in self.values
                if (cell := sheet.cells.get((row, column)))
            ]
            if _skipped(cells, self.table):
                for cell in (*cells, *(cell for cell, _ in values)):
                    yield LeftOut(cell, _SKIPPED)
                continue
            for label, cell in labels:
                if cell:
                    named = values or _matched(cell.text, label.forms)
                    yield LeftOut(cell, "label" if named else NOTE)
            if values:
                yield from self._row(labels, values)

    def _label(self, row: int, column: int, label: LabelColumn) -> Cell | None:
        cell = self.found.sheet.at(row, column)
        if cell is None and label.fill:
            return self.above.get(column)
        if cell:
            self.above[column] = cell
        return cell

    def _row(
        self,
        labels: Sequence[tuple[LabelColumn, Cell | None]],
        values: Sequence[tuple[Cell, Parts | str]],
    ) -> Iterator[Outcome]:
        known = self._known(labels, values[0][0])
        if isinstance(known, Fault) and all(
            unlike_number(cell, self.plan.numbers) for cell, _ in values
        ):
            for cell, _ in values:
                yield LeftOut(cell, NOTE)
            return
        if isinstance(known, Fault):
            yield known
            for cell, _ in values:
                yield LeftOut(cell, f"its label is faulty: {known.code}")
            return
        for cell, parts in values:
            yield from self._value(cell, known.also(parts) if isinstance(parts, Parts) else parts)

    def _known(
        self, labels: Sequence[tuple[LabelColumn, Cell | None]], first: Cell
    ) -> Parts | Fault:
        """What the map and the labels of a row say together, or the first label that is wrong."""
        known = self.table.parts
        for label, cell in labels:
            if cell is None and known.row == BRAKE_MAIN and _only_points(label.forms):
                continue  # the main brake line has no point
            if cell is None:
                return first.fault(
                    "label-missing",
                    "This row has a number, but nothing says which line it is about.",
                    "Fill the label in, set `fill: true` if empty labels repeat the one above, or "
                    "end the table above this row (`until`, `cells`).",
                )
            if fault := odd_kind(cell):
                return fault
            parts = _matched(cell.text, label.forms)
            if parts is None:
                forms = " or ".join(f"“{form.text}”" for form in label.forms)
                return cell.fault(
                    "label-not-understood",
                    f"“{cell.text[:40]}” has not the form {forms}.",
                    "Add its form or its word to the map, or leave such rows out (`skip`).",
                )
            merged = known.also(parts)
            if isinstance(merged, str):
                return _disagree(cell, merged)
            known = merged
        return known

    def _value(self, cell: Cell, parts: Parts | str) -> Iterator[Outcome]:
        number = number_in(cell, self.found.sheet, self.plan.numbers)
        unclear = _disagree(cell, parts) if isinstance(parts, str) else self._unsaid(cell, parts)
        fault = unclear or (number if isinstance(number, Fault) else None)
        if isinstance(number, LeftEmpty):
            yield LeftOut(cell, _EMPTY)
        elif unclear and unlike_number(cell, self.plan.numbers):
            yield LeftOut(cell, NOTE)
        elif fault:
            yield fault
            yield LeftOut(cell, f"faulty: {fault.code}")
        elif isinstance(number, Decimal) and isinstance(parts, Parts):
            yield LineReading(self.table.gives, parts, number, cell)

    def _unsaid(self, cell: Cell, parts: Parts) -> Fault | None:
        """What neither map nor labels nor heading say of a line."""
        missing = [
            name
            for name in ("side", "row", "point")
            if not getattr(parts, name)
            and not (name == "side" and self.table.gives == "specification")
            and not (name == "point" and parts.row == BRAKE_MAIN)
        ]
        if not missing:
            return None
        return cell.fault(
            "line-not-clear",
            f"Nothing says which {' and '.join(missing)} this length is of.",
            f"Say it in the map: as `{missing[0]}` of the table or column, or in the form of a "
            "label or heading.",
        )


def _only_points(forms: Sequence[Form]) -> bool:
    return all("{point}" in form.text and form.text.count("{") == 1 for form in forms)


def _disagree(cell: Cell, part: str) -> Fault:
    return cell.fault(
        "labels-disagree",
        f"Two labels of this length name different {_SAYS.get(part, part)}s.",
        "Take the part out of one of the forms in the map, with {any} in its place.",
    )


def _matched(text: str, forms: Sequence[Form]) -> Parts | None:
    return next((parts for form in forms if (parts := form.match(text))), None)


def _records(found: FoundTable, table: TablePlan, plan: ImportMap, index: int) -> Iterator[Outcome]:
    """What became of the cells of the table; a row without any of the columns is not a record."""
    columns = [(found.column(one.place), one) for one in table.columns if not one.always]
    for row in found.rows:
        cells = {
            one.field: cell for column, one in columns if (cell := found.sheet.at(row, column))
        }
        if _skipped(list(cells.values()), table):
            yield from (LeftOut(cell, _SKIPPED) for cell in cells.values())
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
        yield LeftOut(cell, _EMPTY)
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
