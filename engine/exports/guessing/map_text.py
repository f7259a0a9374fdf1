"""A proposed map as commented text: its words and tables are made of what was understood."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from trimscribe.exports.editing.yaml_text import flow, scalar
from trimscribe.exports.files import as_typed
from trimscribe.exports.guessing.blocks import Block
from trimscribe.exports.guessing.columns import UnderstoodTable
from trimscribe.exports.guessing.guess_format import Guess
from trimscribe.exports.guessing.kept_maps import shape_of
from trimscribe.exports.guessing.sources import NumberColumn
from trimscribe.exports.guessing.understand import Understood
from trimscribe.exports.mapping.forms import folded
from trimscribe.model.tables import Sheet, column_letters
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, STABILO

_FORMAT = ("encoding", "delimiter", "records")
_NUMBERS = ("decimal", "thousands", "unit", "means", "longer", "add_mm")
_MOST_FORMS = 12
_HEAD = """\
# Proposed from {name}: a guess for you to correct. Every line says how sure it is and why.
# `trimscribe import {typed} --map THIS-FILE --dry-run` shows what becomes of every cell.
"""


def map_text(
    name: str,
    result: Understood,
    sheets: Sequence[Sheet],
    *,
    formats: Mapping[str, Guess],
    numbers: Mapping[str, Guess],
    left_out: Sequence[str],
    specified: bool,
) -> str:
    """The text of the map of the export `name`."""
    lines = [_HEAD.format(name=" ".join(name.split()), typed=as_typed(name)).rstrip("\n")]
    lines += [f"# Left out: {' '.join(one.split())}" for one in left_out]
    lines += ["trimscribe: 1", *_section("format", formats, _FORMAT)]
    lines += [*_section("numbers", numbers, _NUMBERS), *_empty(numbers, result.empty)]
    lines += _word_lines(_words(result))
    if result.readings:
        readings = f"readings: {result.readings}"
        lines.append(_said(readings, "likely", "lines are read several times", 0))
    if result.from_tip:
        why = "so lengths are nearer to the line set"
        lines.append(_said("points_from: tip", "likely", why, 0))
    if result.when:
        why = "as answered: the file does not say it"
        lines.append(_said(f"measuring: {result.when}", "sure", why, 0))
    if result.asked.used:
        lines.append(f"answers: {flow(dict(result.asked.used))}")
    lines += [*_questions(result), "tables:"]
    gives = "specification" if specified else ""
    for table in _tables(result, several_sheets=len(sheets) > 1, gives=gives):
        lines += _table_lines(table)
    lines.append("# By these headings the map is found again for the next file of this kind.")
    lines.append("shape:")
    lines += [f"  - {flow(one)}" for one in shape_of(sheets)]
    return "\n".join(lines) + "\n"


def _questions(result: Understood) -> Iterator[str]:
    if result.asked.open:
        yield "# Open questions: propose again with --answer ID=ANSWER, or settle each one below"
        yield "# and delete it here. A map with open questions does not import."
        yield "questions:"
        for one in result.asked.open:
            choices = [*one.choices, *([one.numbers] if one.number else [])]
            asks = " ".join(one.asks.split())
            yield f"  - {flow({'id': one.id, 'asks': asks, 'answers': choices})}"


def _section(key: str, guesses: Mapping[str, Guess], names: tuple[str, ...]) -> Iterator[str]:
    found = {name: guesses[name] for name in names if name in guesses}
    if found:
        yield f"{key}:"
        for name, guess in found.items():
            value = guess.value if name == "add_mm" else scalar(guess.value)
            yield _said(f"{name}: {value}", guess.sure, guess.why, 2)


def _empty(numbers: Mapping[str, Guess], empty: Mapping[str, Sequence[str]]) -> Iterator[str]:
    if empty:
        if not any(name in numbers for name in _NUMBERS):
            yield "numbers:"
        yield _said(f"empty: {flow(list(empty))}", "likely", "no lengths, so not measured", 2)


def _said(text: str, sure: str, why: str, indent: int) -> str:
    return f"{' ' * indent + text:30} # {sure}: {' '.join(why.split())}"


def _word_lines(words: Mapping[str, Mapping[str, Sequence[str]]]) -> Iterator[str]:
    if words:
        yield "words:"
    for kind, names in words.items():
        yield f"  {kind}:"
        for name, given in names.items():
            why = "by its lengths or its word" if kind == "row" else "so the export calls it"
            yield _said(f"{scalar(name)}: {flow(list(given))}", "likely", why, 4)


def _words(result: Understood) -> dict[str, dict[str, list[str]]]:
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
                if said.row not in words and said.row not in (STABILO, BRAKE, BRAKE_MAIN):
                    words.append(said.row)
    return {
        kind: {n: w for n, w in names.items() if w}
        for kind, names in found.items()
        if any(names.values())
    }


def _table_lines(table: Mapping[str, Any]) -> Iterator[str]:
    """A table with a line for each key, and one for each of its columns."""
    start = "  - "
    for key, value in table.items():
        if key in ("labels", "values"):
            yield f"{start}{key}:"
            yield from (f"      - {flow(column)}" for column in value)
        else:
            yield f"{start}{key}: {flow(value)}"
        start = "    "


def _tables(result: Understood, *, several_sheets: bool, gives: str) -> list[dict[str, Any]]:
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
    found |= _where(block, others, table)
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


def _once(sheet: Sheet, text: str, row: int, last: int, start: int = 0) -> bool:
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
