"""Decimal commas between commas: `A1,6645,5,6645,8` cuts every length to whole numbers, unseen.

Nothing tells which commas part columns, so such a file is refused. It shows where a row has more
cells than there are headings, or else where whole numbers and single digits take turns.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from trimscribe.errors import Fault
from trimscribe.model.tables import Cell

_LENGTH = re.compile(r"[-+−]?\d{3,5}", re.ASCII)  # in mm, cm or inches, before the comma
_FRACTION = re.compile(r"\d{1,3}", re.ASCII)
_METRES = re.compile(r"[-+−]?\d{1,2}", re.ASCII)
_MILLIMETRES = re.compile(r"\d{3,4}", re.ASCII)  # behind it: also hundreds behind thousands
_SHORT = re.compile(r"\d{1,2}", re.ASCII)
_LEAST = 3  # rows; below, turns of long and short numbers are no pattern
_MOSTLY = 0.8  # of the rows without headings


def split_decimals(cells: Mapping[tuple[int, int], Cell]) -> Fault | None:
    """The first number whose decimals are in a cell of their own, else None."""
    headings, without, above = 0, list[list[Cell]](), dict[int, str]()
    for row in _rows(cells):
        kinds = {cell.column: _kind(cell) for cell in row}
        if "length" not in kinds.values():
            # A row that only lacks its lengths is like the row above in all else.
            if len(row) > 1 and not kinds.items() <= above.items():
                headings = row[-1].column
            continue
        above = kinds
        split = _split(row)
        if not headings:
            without.append(row)
        elif split and 0 < row[-1].column - headings <= len(split):
            return _fault(split[0], f"{headings} headings")
    turns = [found for row in without if (found := _turns(row))]
    if len(turns) >= _LEAST and len(turns) >= _MOSTLY * len(without):
        return _fault(turns[0][0], "no headings")
    return None


def _kind(cell: Cell) -> str:
    if _LENGTH.fullmatch(cell.text):
        return "length"
    return "number" if _SHORT.fullmatch(cell.text) else "word"


def _rows(cells: Mapping[tuple[int, int], Cell]) -> Iterator[list[Cell]]:
    """The cells of each row that has any."""
    rows: dict[int, list[Cell]] = {}
    for (row, _), cell in sorted(cells.items()):
        rows.setdefault(row, []).append(cell)
    yield from rows.values()


def _split(row: Sequence[Cell]) -> list[tuple[Cell, Cell]]:
    """Neighbours that can be what is before and behind a decimal comma, each cell in one pair."""
    return max(_pairs(row, _LENGTH, _FRACTION), _pairs(row, _METRES, _MILLIMETRES), key=len)


def _pairs(
    row: Sequence[Cell], whole: re.Pattern[str], fraction: re.Pattern[str]
) -> list[tuple[Cell, Cell]]:
    found: list[tuple[Cell, Cell]] = []
    for one, after in pairwise(row):
        free = not found or found[-1][1] is not one
        beside = after.column == one.column + 1
        if free and beside and whole.fullmatch(one.text) and fraction.fullmatch(after.text):
            found.append((one, after))
    return found


def _turns(row: Sequence[Cell]) -> list[tuple[Cell, Cell]]:
    """The pairs of a row that, behind its labels, is nothing else: 6645, 5, 6645, 8."""
    start = next(n for n, cell in enumerate(row) if _LENGTH.fullmatch(cell.text))
    numbers = row[start:]
    pairs = list(zip(numbers[::2], numbers[1::2], strict=False))
    whole = all(_LENGTH.fullmatch(a.text) and _SHORT.fullmatch(b.text) for a, b in pairs)
    return pairs if whole and len(numbers) == 2 * len(pairs) else []


def _fault(pair: tuple[Cell, Cell], headings: str) -> Fault:
    one, after = pair
    return one.fault(
        "decimals-between-commas",
        f"“{one.text},{after.text}” looks like one number, but commas part the columns too: there "
        f"are {headings} for this row.",
        "Export again with semicolons or tabs between the columns, or with decimal points. If "
        "these are two columns, give each a heading.",
    )
