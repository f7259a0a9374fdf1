"""A map file against its schema, then as data; all faults at once."""

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from trimscribe.errors import Fault, any_error, suggest
from trimscribe.exports.mapping.forms import PARTS, Form, FormError, Parts, folded, form
from trimscribe.exports.mapping.plan import (
    ColumnRef,
    FieldColumn,
    ImportMap,
    LabelColumn,
    Numbers,
    TablePlan,
    ValueColumn,
)
from trimscribe.marked_yaml import ValuePath, load
from trimscribe.model.tables import TableFormat, column_of, range_of
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, STABILO, Side
from trimscribe.schemas.faults import FaultList, ValidValues, check
from trimscribe.schemas.import_map import FIELDS, ImportMapFileSchema

# What a map writes as a word, so that nobody has to quote a sign.
SIGNS = {
    "comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "colon": ":", "blanks": "blanks",
    "point": ".", "apostrophe": "'", "none": "", "double": '"', "single": "'",
}  # fmt: skip
_FACTORS = {"mm": "1", "cm": "10", "m": "1000", "in": "25.4"}  # the inch by definition


def load_map(data: bytes, file: str) -> tuple[ImportMap | None, tuple[Fault, ...]]:
    """The map, or None and all its faults; `file` is the path as typed."""
    loaded = load(data, file)
    faults = FaultList()
    faults.add(*loaded.faults)
    if loaded.data is None:
        return None, tuple(faults.sorted([file]))
    faults.end_round()
    values, found = check(ImportMapFileSchema(), loaded)
    faults.add(*found)
    faults.end_round()
    plan = _Maker(ValidValues(values, loaded), faults).plan(file)
    reported = tuple(faults.sorted([file]))
    return (None if any_error(reported) else plan), reported


class _Maker:
    """Turns checked values into data; whatever does not fit together is reported."""

    def __init__(self, written: ValidValues, faults: FaultList) -> None:
        self.written, self.faults = written, faults
        self.words = self._words()

    def plan(self, file: str) -> ImportMap:
        self._questions()
        get = self.written.get
        return ImportMap(
            file=file,
            table_format=_table_format(self.written.part("format")),
            numbers=self._numbers(self.written.part("numbers")),
            words=self.words,
            measuring=get("measuring") or "",
            from_tip=get("points_from") == "tip",
            readings=get("readings") or "one",
            widest_mm=get("widest_mm"),
            tables=tuple(
                self._table(index, table or {})
                for index, table in enumerate(self.written.entries("tables"))
            ),
        )

    def _questions(self) -> None:
        """Nothing is read by a map while what only a person can know is open."""
        for index, question in enumerate(self.written.entries("questions")):
            if question:
                answers = ", ".join(question.get("answers") or ())
                self.faults.error(
                    "question-open",
                    f"`{question['id']}` is not answered: {question['asks']} ({answers})",
                    self.written.mark("questions", index),
                    f'Propose the map again with --answer "{question["id"]}=…", or settle it '
                    "in the map and delete the question.",
                )

    def _words(self) -> dict[str, dict[str, str]]:
        """Words of the export to names; a name is a word of its own. One word means one thing."""
        own = {
            "side": [side.value for side in Side],
            "when": ["before", "after"],
            "row": [STABILO, BRAKE, BRAKE_MAIN],
        }
        words: dict[str, dict[str, str]] = {}
        for kind in ("side", "row", "when", "loop"):
            known = words[kind] = {name: name for name in own.get(kind, ())}
            for name, given in self.written.part("words", kind).items():
                for word in (name, *(given or ())):
                    other = known.setdefault(folded(word), name)
                    if other != name:
                        self.faults.error(
                            "word-means-two-things",
                            f"“{word}” means both {other} and {name}.",
                            self.written.mark("words", kind, name),
                            "Keep one of the two, or tell them apart by the form of the label.",
                        )
        return words

    def _numbers(self, values: Mapping[str, Any]) -> Numbers:
        decimal = SIGNS[values.get("decimal") or "point"]
        thousands = SIGNS[values.get("thousands") or "none"]
        if decimal == thousands:
            self.faults.error(
                "signs-alike",
                "Decimals and thousands are separated by the same character.",
                self.written.mark("numbers", "thousands"),
                "Leave `thousands` out if there are none.",
            )
        unit = values.get("unit") or "mm"
        return Numbers(
            decimal=decimal,
            thousands=thousands,
            unit=unit,
            factor=Decimal(_FACTORS[unit]),
            deviation=values.get("means") == "deviation",
            sign=-1 if values.get("longer") == "minus" else 1,
            add_mm={n: Decimal(str(v)) for n, v in (values.get("add_mm") or {}).items()},
            empty=frozenset(map(folded, values.get("empty") or ())),
        )

    def _table(self, index: int, table: Mapping[str, Any]) -> TablePlan:
        place = ("tables", index)
        gives = table.get("gives") or "lengths"
        cells = table.get("cells")
        block = range_of(cells) if cells else None
        if cells and block is None:
            self.faults.error(
                "cells-upside-down",
                f"“{cells}” does not go from the upper left to the lower right cell.",
                self.written.mark(*place, "cells"),
            )
        self._check_kind(index, gives, table)
        return TablePlan(
            gives=gives,
            sheet=table.get("sheet") or "",
            below=table.get("below") or "",
            until=table.get("until") or "",
            cells=block,
            header=tuple(table.get("header") or ()),
            skip=tuple(table.get("skip") or ()),
            parts=_parts(table),
            labels=tuple(self._labels(index)),
            values=tuple(self._values(index)),
            columns=tuple(self._fields(index, table.get("gives") or "")),
            mark=self.written.mark(*place),
        )

    def _check_kind(self, index: int, gives: str, table: Mapping[str, Any]) -> None:
        """A table has columns of the kind that it gives, and no others."""
        wanted = "columns" if gives in FIELDS else "values"
        others = ("labels", "values") if gives in FIELDS else ("columns",)
        if not table.get(wanted) and not self.written.has("tables", index, wanted):
            self.faults.error(
                "missing-key",
                f"`{self.written.shown('tables', index, wanted)}` is missing; a table that gives "
                f"{gives} needs it.",
                self.written.mark("tables", index),
                f"List its columns under `{wanted}`.",
            )
        for key in others:
            if table.get(key):
                self.faults.error(
                    "columns-do-not-fit",
                    f"A table that gives {gives} has no `{key}`.",
                    self.written.key("tables", index, key),
                    f"Its columns are under `{wanted}`.",
                )

    def _columns(self, index: int, key: str) -> Iterator[tuple[ValuePath, Mapping[str, Any]]]:
        for number, column in enumerate(self.written.entries("tables", index, key)):
            if column:
                yield ("tables", index, key, number), column

    def _labels(self, index: int) -> Iterator[LabelColumn]:
        for path, column in self._columns(index, "labels"):
            mark, fills = self.written.mark(*path), bool(column.get("fill"))
            yield LabelColumn(_place(column), self._forms(column, path), fills, mark)

    def _values(self, index: int) -> Iterator[ValueColumn]:
        for path, column in self._columns(index, "values"):
            forms, mark = self._forms(column, path), self.written.mark(*path)
            yield ValueColumn(_place(column), forms, _parts(column), mark)

    def _fields(self, index: int, gives: str) -> Iterator[FieldColumn]:
        known = FIELDS.get(gives, ())
        for path, column in self._columns(index, "columns"):
            name = column.get("field") or ""
            if name and known and name not in known:
                self.faults.error(
                    "unknown-field",
                    f"{gives.capitalize()} have no field `{name}`.",
                    self.written.mark(*path, "field"),
                    suggest(name, known),
                )
            mark = self.written.mark(*path)
            yield FieldColumn(_place(column), name, column.get("always") or "", mark)

    def _forms(self, column: Mapping[str, Any], path: ValuePath) -> tuple[Form, ...]:
        forms = []
        for text in column.get("form") or ():
            try:
                forms.append(form(text, self.words))
            except FormError as error:
                self.faults.error(
                    "form-not-clear",
                    f"“{text}” is not a form of a label. {error.message}",
                    self.written.mark(*path, "form"),
                    suggest(error.word, PARTS),
                )
        return tuple(forms)


def _place(column: Mapping[str, Any]) -> ColumnRef:
    return ColumnRef(folded(column.get("column") or ""), column_of(column.get("at") or ""))


def _parts(values: Mapping[str, Any]) -> Parts:
    side = values.get("side")
    return Parts(
        row=values.get("row") or "",
        point=values.get("point") or 0,
        side=Side(side) if side else None,
        when=values.get("when") or "",
    )


def _table_format(values: Mapping[str, Any]) -> TableFormat:
    return TableFormat(
        kind=values.get("kind") or "",
        encoding=values.get("encoding") or "utf-8",
        delimiter=SIGNS[values.get("delimiter") or "comma"],
        quote=SIGNS[values.get("quote") or "double"],
        records=re.sub(r"\s*\.\s*", ".", (values.get("records") or "").strip()),
    )
