"""Tables of a map, made of what was understood: where they are, their labels, their lengths."""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from trimscribe.exports.guessing.blocks import Block
from trimscribe.exports.guessing.columns import UnderstoodTable
from trimscribe.exports.guessing.sources import NumberColumn
from trimscribe.exports.guessing.understand import Understood
from trimscribe.exports.mapping.forms import folded
from trimscribe.model.tables import column_letters
from trimscribe.model.wing import BRAKE_MAIN

_MOST_FORMS = 12


def map_tables(
    result: Understood, *, several_sheets: bool, gives: str = ""
) -> list[dict[str, Any]]:
    """The tables of the map, in the order of the file."""
    by_table: dict[int, list[NumberColumn]] = {}
    for source in result.sources:
        by_table.setdefault(source.table, []).append(source)
    return [
        _table(result, number, sources, several_sheets=several_sheets, gives=gives)
        for number, sources in sorted(by_table.items())
    ]


def _table(
    result: Understood,
    number: int,
    sources: Sequence[NumberColumn],
    *,
    several_sheets: bool,
    gives: str,
) -> dict[str, Any]:
    table = result.tables[number]
    block = table.block
    found: dict[str, Any] = {"gives": gives} if gives else {}
    if several_sheets and block.sheet.name:
        found["sheet"] = block.sheet.name
    others = [t.block for t in result.tables if t.block.sheet is block.sheet and t is not table]
    where = _where(block, others, table)
    found |= where
    names = not block.inherited and bool(block.header)
    if names and len(block.header) > 1:
        found["header"] = list(block.header)
    values = [_value(source, block, result, named=names, gives=gives) for source in sources]
    common = _common(values)
    found |= common
    labels = [
        {**_place(label.column, block, named=names), "form": _forms(label.forms)}
        | ({"fill": True} if label.fill else {})
        for label in table.labels
    ]
    values = [{k: v for k, v in value.items() if k not in common} for value in values]
    if names and not any("column" in one for one in (*labels, *values)) and "header" not in found:
        found["header"] = block.header[-1]
    if skip := _skipped(table, sources, result):
        found["skip"] = skip
    if labels:
        found["labels"] = labels
    found["values"] = values
    return found


def _forms(forms: Sequence[str]) -> str | list[str]:
    return forms[0] if len(forms) == 1 else list(forms[:_MOST_FORMS])


def _value(
    source: NumberColumn, block: Block, result: Understood, *, named: bool, gives: str
) -> dict[str, Any]:
    """A column with what its own words, titles and answers say of all its lengths."""
    found: dict[str, Any] = _place(source.value.column, block, named=named)
    table = result.tables[source.table]
    if not gives:
        for name in ("side", "when"):
            said = {getattr(entry.said, name) for entry in source.entries}
            labelled = any(getattr(row, name) for row in table.rows.values())
            if name == "when" and source.when_answered:
                continue  # the next file of this shape may be of another time
            if len(said) == 1 and not labelled and (one := said.pop()):
                found[name] = one
    if source.said.row and not any(row.row for row in table.rows.values()):
        found["row"] = source.said.row
    if source.said.point and not any(row.point for row in table.rows.values()):
        found["point"] = source.said.point
    return found


def _common(values: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """What is said of all columns is said once."""
    first = values[0]
    return {
        key: first[key]
        for key in ("side", "when", "row")
        if key in first and all(value.get(key) == first[key] for value in values)
    }


def _place(column: int, block: Block, *, named: bool) -> dict[str, Any]:
    text = " ".join(block.headings.get(column, "").split())
    once = [folded(one) for one in block.headings.values()].count(folded(text)) == 1
    return {"column": text} if named and text and once else {"at": column_letters(column)}


def _where(block: Block, others: Sequence[Block], table: UnderstoodTable) -> dict[str, Any]:
    """How the table is found: by its headings alone, by texts around it, or by its cells."""
    sheet = block.sheet
    last = max(row for row, _ in sheet.cells)
    beside = any(set(o.rows) & set(block.rows) for o in others)
    bottom = _bottom(block, table)
    cells = {
        "cells": f"{column_letters(block.columns[0])}{block.top}:"
        f"{column_letters(block.columns[-1])}{bottom}"
    }
    if beside or block.inherited or bottom != block.rows[-1]:
        return cells
    found: dict[str, Any] = {}
    same = [o for o in others if o.header and not o.inherited and o.top < block.top
            and _texts(o) & _texts(block)]  # fmt: skip
    if same or (not block.header and block.top > min(row for row, _ in sheet.cells)):
        title = next((c for c in reversed(block.titles) if _once(sheet, c.text, c.row, last)), None)
        if title is None or title.row >= block.top:
            return cells
        found["below"] = title.text
    rest = [row for row, _ in sheet.cells if row > block.rows[-1]]
    numbers_below = any(o.rows[0] > block.rows[-1] for o in others)
    if rest and numbers_below:
        row = min(rest)
        first = next(cell for (r, _), cell in sorted(sheet.cells.items()) if r == row)
        start = next((c.row for c in block.titles if c.text == found.get("below")), 0)
        if not _once(sheet, first.text, row, row, start):
            return cells
        found["until"] = first.text
    return found


def _bottom(block: Block, table: UnderstoodTable) -> int:
    """The last row that names a line: sums without a label below it are left out."""
    named = [
        row
        for row in block.rows
        if row in table.rows and (table.rows[row].row or table.rows[row].point)
    ]
    noted = [row for row in block.rows if row in table.skipped]
    unnamed = [row for row in block.rows if row in table.rows and row not in named]
    if not unnamed or not named or min(unnamed) < max(named):
        return block.rows[-1]
    return max(named + [row for row in noted if row < min(unnamed)])


def _texts(block: Block) -> set[str]:
    return {folded(text) for text in block.headings.values()}


def _once(sheet: Any, text: str, row: int, last: int, start: int = 0) -> bool:
    """Whether a text is in no other row from `start` to `last` than this one."""
    return bool(text.strip()) and all(
        r == row or folded(cell.text) != folded(text)
        for (r, _), cell in sheet.cells.items()
        if start < r <= last
    )


def _skipped(
    table: UnderstoodTable, sources: Sequence[NumberColumn], result: Understood
) -> list[str]:
    """Labels of rows that are left out: sums, notes, lines that nobody wants."""
    columns = {label.column for label in table.labels}
    texts = [cell.text for cell in table.skipped.values() if cell.column in columns]
    label = next(iter(sorted(columns)), 0)
    taken = {entry.cell.row for source in sources for entry in source.entries}
    for row, said in table.rows.items():
        strange = said.row in result.unused_rows or not (said.row or said.point)
        if strange and row not in taken and (cell := table.block.sheet.at(row, label)):
            texts.append(cell.text)
    return list(dict.fromkeys(texts))


def map_words(result: Understood) -> dict[str, dict[str, list[str]]]:
    """The words of the labels, by what they mean, and rows by the group that they are."""
    found: dict[str, dict[str, list[str]]] = {"side": {}, "row": {}, "when": {}}
    used = {source.table for source in result.sources}
    present: Counter[str] = Counter(
        entry.said.row for source in result.sources for entry in source.entries
    )
    for number in sorted(used):
        for (kind, name), texts in result.tables[number].words.items():
            target = result.rows.get(name, name) if kind == "row" else name
            if kind == "row" and target not in present:
                continue
            if kind == "row" and target.isalpha() and len(target) == 1:
                texts = {t for t in texts if t.casefold() != target.casefold()}
            words = found[kind].setdefault(target, [])
            words += [text for text in sorted(texts) if text not in words]
        for said in result.tables[number].rows.values():
            target = result.rows.get(said.row, said.row)
            if said.row and target in present and target != said.row and target != said.row.upper():
                words = found["row"].setdefault(target, [])
                if said.row not in words and said.row not in (BRAKE_MAIN, "stabilo", "brake"):
                    words.append(said.row)
    return {
        kind: {n: w for n, w in names.items() if w}
        for kind, names in found.items()
        if any(names.values())
    }
