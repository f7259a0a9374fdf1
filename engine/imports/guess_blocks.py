"""The same block of a sheet several times: one below the other, or side by side."""

from collections.abc import Mapping
from typing import Any

from trimscribe.model.tables import Sheet, column_letters
from trimscribe.read.maps.forms import folded

__all__ = ["blocks", "first_of_two"]

Table = dict[str, Any]


def blocks(
    sheet: Sheet, header: tuple[int, ...], table: Table, sides: Mapping[str, str]
) -> tuple[Table, ...]:
    """One table for each time that the headings stand there; `sides` are words of the export."""
    if len(header) != 1:
        return (table,)
    return (
        _beside(sheet, header[0], table, sides)
        or _stacked(sheet, header[0], table, sides)
        or (table,)
    )


def _stacked(
    sheet: Sheet, header: int, table: Table, sides: Mapping[str, str]
) -> tuple[Table, ...]:
    """Blocks one below the other, each under a text that names its side."""
    own = _texts(sheet, header)
    again = [row for row in sorted({r for r, _ in sheet.cells}) if _texts(sheet, row) == own]
    titles = [_title(sheet, row) for row in again]
    if len(again) < 2 or not all(titles):
        return ()
    tables = []
    for number, title in enumerate(titles):
        end = {"until": titles[number + 1]} if number + 1 < len(titles) else {}
        side = _side(title, sides)
        tables.append(({"side": side} if side else {}) | {"below": title} | end | table)
    return tuple(tables)


def first_of_two(sheet: Sheet, header: int) -> tuple[int, ...]:
    """The columns of the first of two blocks with the same headings; empty where there is one."""
    columns = sorted(column for row, column in sheet.cells if row == header)
    half = len(columns) // 2
    texts = [sheet.cells[header, column].text for column in columns]
    return tuple(columns[:half]) if half > 1 and texts[:half] == texts[half:] else ()


def _beside(sheet: Sheet, header: int, table: Table, sides: Mapping[str, str]) -> tuple[Table, ...]:
    """Two blocks with the same headings; without a word for its side the first is the left."""
    first = first_of_two(sheet, header)
    if not first:
        return ()
    columns = sorted(column for row, column in sheet.cells if row == header)
    bottom = max(row for row, _ in sheet.cells)
    tables = []
    for own, default in ((first, "left"), (columns[len(first) :], "right")):
        cells = f"{column_letters(own[0])}{header}:{column_letters(own[-1])}{bottom}"
        above = [sheet.cells.get((header - 1, column)) for column in own]
        side = next((s for cell in above if cell and (s := _side(cell.text, sides))), default)
        tables.append({"cells": cells, "side": side, **table})
    return tuple(tables)


def _side(text: str, sides: Mapping[str, str]) -> str:
    return next((sides[word] for word in folded(text).split() if word in sides), "")


def _texts(sheet: Sheet, row: int) -> list[str]:
    return [cell.text for (at, _), cell in sorted(sheet.cells.items()) if at == row]


def _title(sheet: Sheet, header: int) -> str:
    """The text alone in the nearest row above that holds anything."""
    rows = [row for row, _ in sheet.cells if row < header]
    texts = _texts(sheet, max(rows)) if rows else []
    return texts[0] if len(texts) == 1 else ""
