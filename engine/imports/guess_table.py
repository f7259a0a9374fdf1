"""Which rows and columns of a sheet hold lengths, guessed by trying what maps could say of them."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from trimscribe.imports.guess_blocks import blocks, first_of_two
from trimscribe.imports.guess_words import words_in
from trimscribe.model.tables import Cell, Sheet, column_letters
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, STABILO
from trimscribe.read.maps.find import headings_in
from trimscribe.read.maps.forms import Form, folded, form

__all__ = ["TableGuess", "guess_tables"]

# From the most that a label can say to the least.
_LABELS = (
    "{row} {point} {side}", "{side} {row} {point}", "{side}-{row}-{point}", "{row}-{point}-{side}",
    "{row} {point}", "{row}-{point}", "{point}", "{side}", "{when}", "{row}",
)  # fmt: skip
_HEADINGS = (
    "{when} {side}", "{side} {when}", "{row} {side}", "{side} {row}", "{side} {reading}",
    "{row} {point}", "{side}", "{when}", "{row}", "P{point}", "{point}",
)  # fmt: skip
_MOST_HEADERS = 25  # rows that are tried as headings
_MOST_POINTS = 40  # a number above is no point of a row
_NUMBER = re.compile(r"[-+]?\d[\d.,'’ \u00a0\u2009\u202f]*(?:\s*(?:mm|cm|m|in))?", re.ASCII)
_SHARE = 0.8  # of the cells of a column that have one form


@dataclass(frozen=True)
class TableGuess:
    """One candidate: tables as a map has them, and the words that they need."""

    tables: tuple[Mapping[str, Any], ...]
    words: Mapping[str, Mapping[str, list[str]]]
    readings: bool = False


def guess_tables(sheet: Sheet, *, named: bool) -> Iterator[TableGuess]:
    """Every candidate for one sheet, with different rows taken as headings."""
    texts = [cell.text for cell in sheet.cells.values() if isinstance(cell.value, str)]
    words = words_in(texts)
    rows = sorted({row for row, _ in sheet.cells})
    for header in [(), *((row,) for row in rows[:_MOST_HEADERS])]:
        yield from _candidates(sheet, header, words, named)
    for upper, lower in pairwise(rows[: _MOST_HEADERS + 1]):
        yield from _candidates(sheet, (upper, lower), words, named)


def _candidates(
    sheet: Sheet, header: tuple[int, ...], words: dict[str, dict[str, list[str]]], named: bool
) -> Iterator[TableGuess]:
    lookup = _lookup(words)
    columns = _columns(sheet, header)
    labels, values = {}, {}
    for column, cells in columns.items():
        if forms := _label_forms(cells, lookup):
            labels[column] = forms
        elif _is_values(cells):
            values[column] = cells
    if not values:
        return
    headings = {n: text for n, text in _headings(sheet, header).items() if n in columns}
    first = min(values)
    # Labels stand before the numbers; what stands behind is a remark or a date.
    labels = {column: forms for column, forms in labels.items() if column < first}
    table: dict[str, Any] = {"sheet": sheet.name} if named else {}
    if len(header) > 1:
        table["header"] = list(header)
    table["labels"] = [
        _label(column, forms, headings, len(columns[column]) < len(columns[first]))
        for column, forms in labels.items()
    ]
    numbered = {cell.row for cell in values[first] if _NUMBER.fullmatch(cell.text)}
    words = words | _alone(columns, labels, numbered, lookup)
    if len(values) == 1:
        yield TableGuess((table | {"values": [_place(first, headings)]},), words)
    found = [headings[column] for column in values if column in headings]
    for text in _HEADINGS if len(found) == len(values) else ():
        fits = form(text, lookup)
        if all(map(fits.match, found)):
            whole = table | {"values": [{"form": text}]}
            tables = blocks(sheet, header, whole, lookup["side"])
            yield TableGuess(tables, words, "{reading}" in text)


def _label(
    column: int, forms: list[str], headings: Mapping[int, str], gaps: bool
) -> dict[str, Any]:
    """A label column; where it has gaps, a label may hold for the rows below it."""
    said: dict[str, Any] = _place(column, headings)
    said["form"] = forms[0] if len(forms) == 1 else forms
    return said | ({"fill": True} if gaps and len(forms) == 1 else {})


def _alone(
    columns: Mapping[int, Sequence[Cell]],
    labels: Mapping[int, list[str]],
    numbered: set[int],
    lookup: dict[str, dict[str, str]],
) -> dict[str, dict[str, list[str]]]:
    """One row without points among rows with points: the main brake line (common practice)."""
    for column, forms in labels.items():
        if len(forms) > 1:
            whole, alone = (form(text, lookup) for text in forms)
            cells = [cell for cell in columns[column] if cell.row in numbered]
            texts = [cell.text for cell in cells if not whole.match(cell.text)]
            rows = {parts.row for text in texts if (parts := alone.match(text))}
            if len(rows) == 1 and rows != {BRAKE_MAIN}:
                return {"row": {BRAKE_MAIN: [*rows]}}
    return {}


def _lookup(words: Mapping[str, Mapping[str, list[str]]]) -> dict[str, dict[str, str]]:
    lookup: dict[str, dict[str, str]] = {
        "side": {"left": "left", "right": "right"},
        "when": {"before": "before", "after": "after"},
        "row": {name: name for name in (STABILO, BRAKE, BRAKE_MAIN)},
        "loop": {},
    }
    for kind, names in words.items():
        for name, given in names.items():
            lookup[kind] |= {folded(word): name for word in given}
    return lookup


def _columns(sheet: Sheet, header: tuple[int, ...]) -> dict[int, list[Cell]]:
    """Cells of each column below the headings; of two blocks side by side those of the first."""
    own = first_of_two(sheet, header[0]) if len(header) == 1 else ()
    columns: dict[int, list[Cell]] = {}
    for (row, column), cell in sorted(sheet.cells.items()):
        if (not header or row > header[-1]) and (not own or column in own):
            columns.setdefault(column, []).append(cell)
    return dict(sorted(columns.items()))


def _label_forms(cells: Sequence[Cell], lookup: dict[str, dict[str, str]]) -> list[str]:
    """The form that most cells have, and one without a point for lines that stand alone."""
    texts = [cell.text for cell in cells]
    for text in _LABELS:
        fits = form(text, lookup)
        matched = [label for label in texts if _fits(fits, label)]
        if len(matched) < _SHARE * len(texts):
            continue
        if text == "{point}" and not _are_points(matched):
            continue
        if text == "{row}" and len({folded(label) for label in matched}) > _MOST_POINTS:
            continue
        alone = text.replace("{point}", "").replace("--", "-").strip(" -")
        rest = [label for label in texts if label not in matched]
        if alone != text and alone and any(_fits(form(alone, lookup), label) for label in rest):
            return [text, " ".join(alone.split())]
        return [text]
    return []


def _fits(fits: Form, label: str) -> bool:
    return fits.match(label) is not None


def _are_points(labels: Sequence[str]) -> bool:
    """Small whole numbers that are not all the same."""
    numbers = [int(label) for label in labels]
    return min(numbers) >= 1 and max(numbers) <= _MOST_POINTS and len(set(numbers)) > 1


def _is_values(cells: Sequence[Cell]) -> bool:
    """Numbers that are neither all the same nor a count of the rows."""
    numbers = [cell for cell in cells if _NUMBER.fullmatch(cell.text)]
    texts = [cell.text for cell in numbers]
    counting = texts == [str(n) for n in range(1, len(texts) + 1)]
    return len(numbers) >= 0.5 * len(cells) and len(set(texts)) > 1 and not counting


def _headings(sheet: Sheet, header: tuple[int, ...]) -> dict[int, str]:
    """Headings as a map finds them: an upper one also over the empty cells to its right."""
    columns = range(1, max(column for _, column in sheet.cells) + 1)
    return dict(headings_in(sheet, header, columns)) if header else {}


def _place(column: int, headings: Mapping[int, str]) -> dict[str, str]:
    text = headings.get(column, "")
    once = [folded(one) for one in headings.values()].count(folded(text)) == 1
    return {"column": text} if text and once else {"at": column_letters(column)}
