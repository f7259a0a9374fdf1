"""A table of lengths: labels and headings say which line, the cells hold numbers."""

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal

from trimscribe.errors import Fault
from trimscribe.exports.mapping.cells import LeftEmpty, number_in, odd_kind, unlike_number
from trimscribe.exports.mapping.find import FoundTable
from trimscribe.exports.mapping.forms import Form, Parts, folded
from trimscribe.exports.mapping.plan import ImportMap, LabelColumn, TablePlan
from trimscribe.exports.mapping.result import LeftOut, LineReading, Outcome
from trimscribe.model.tables import Cell
from trimscribe.model.wing import BRAKE_MAIN

_NOTE = "a note: no line is named"
_SAYS = {"row": "row", "point": "point", "side": "side", "when": "time"}


def take_lines(found: FoundTable, table: TablePlan, plan: ImportMap) -> Iterator[Outcome]:
    """What became of the cells of the table, row by row."""
    yield from _Lines(found, table, plan).take()


def skipped(cells: Sequence[Cell], table: TablePlan) -> bool:
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
            if skipped(cells, self.table):
                for cell in (*cells, *(cell for cell, _ in values)):
                    yield LeftOut(cell, "skipped by the map")
                continue
            for cell in cells:
                yield LeftOut(cell, "label")
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
                yield LeftOut(cell, _NOTE)
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
            yield LeftOut(cell, "not measured, as the map reads it")
        elif unclear and unlike_number(cell, self.plan.numbers):
            yield LeftOut(cell, _NOTE)
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
