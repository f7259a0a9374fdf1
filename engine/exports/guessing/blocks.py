"""Where tables are in a sheet: rows of numbers, the headings and titles over them, side by side."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from trimscribe.exports.guessing.texts import Context, said_by
from trimscribe.exports.mapping.find import headings_in
from trimscribe.exports.mapping.forms import folded
from trimscribe.model.tables import Cell, CellKind, Sheet

_NUMBER = re.compile(
    r"[-+−]?\d[\d.,'’ \u00a0\u2009\u202f]*(?:\s*(?:mm|cm|m|in))?|[-+−]?[.,]\d+", re.ASCII
)
_UNIT = re.compile(r"[\[(]?\s*(?:mm|cm|m|in|inch|\"|s|n|%)\.?\s*[\])]?", re.IGNORECASE)
_MOST_HEADERS = 4


def is_number(cell: Cell) -> bool:
    """Whether a cell holds a number, as such or as text."""
    if cell.kind is not CellKind.PLAIN or isinstance(cell.value, bool):
        return False
    return isinstance(cell.value, int | float) or bool(_NUMBER.fullmatch(cell.text))


def is_unit(cell: Cell) -> bool:
    """Whether a cell holds nothing but a unit."""
    return bool(_UNIT.fullmatch(cell.text))


@dataclass(frozen=True)
class Block:
    """One table: the rows with its numbers, its columns, and what is written over it.

    `header` are the rows of its headings; `inherited` where they are those of the block above.
    `titles` are texts over it, the nearest last, `outer` those of blocks above.
    """

    sheet: Sheet
    rows: tuple[int, ...]
    columns: tuple[int, ...]
    header: tuple[int, ...] = ()
    inherited: bool = False
    titles: tuple[Cell, ...] = ()
    outer: tuple[Cell, ...] = ()
    headings: dict[int, str] = field(default_factory=dict, compare=False)

    @property
    def top(self) -> int:
        """The first row that belongs to it, headings included."""
        return self.rows[0] if self.inherited or not self.header else self.header[0]

    def cells(self, column: int) -> list[Cell]:
        """The cells of a column below the headings."""
        found = self.sheet.cells
        return [found[row, column] for row in self.rows if (row, column) in found]


def blocks_of(sheet: Sheet, context: Context) -> list[Block]:
    """Every block of numbers of a sheet, from above and from the left."""
    found: list[Block] = []
    above: list[Cell] = []
    for texts, rows in _runs(sheet, context):
        columns = tuple(sorted({c for r, c in sheet.cells if r in {*texts, *rows}}))
        parts = list(_split(sheet, texts, rows, columns))
        whole = []
        for part in parts:
            block = _headed(sheet, texts, rows, part, len(parts) > 1, context)
            if not block.header and found:
                block = _inherit(block, found)
            whole.append(replace(block, outer=tuple(above)))
        found += whole
        above += [cell for block in whole for cell in block.titles if cell not in above]
    return found


def _runs(sheet: Sheet, context: Context) -> Iterator[tuple[list[int], list[int]]]:
    """Rows of texts and the rows of numbers below them."""
    texts: list[int] = []
    numbers: list[int] = []
    by_row: dict[int, list[Cell]] = {}
    for (row, _), cell in sorted(sheet.cells.items()):
        by_row.setdefault(row, []).append(cell)
    order = list(by_row)
    for at, row in enumerate(order):
        cells = by_row[row]
        below = by_row[order[at + 1]] if at + 1 < len(order) else []
        if _is_data(cells, context) and not _counts_points(cells, below):
            numbers.append(row)
            continue
        if numbers and all(map(is_unit, cells)):
            numbers.append(row)
            continue
        if numbers:
            yield texts, numbers
            texts, numbers = [], []
        texts.append(row)
    if numbers:
        yield texts, numbers


def _is_data(cells: Sequence[Cell], context: Context) -> bool:
    if any(map(is_number, cells)):
        return True
    # A line of the wing without a single number: nothing was measured.
    said = said_by(cells[0].text, context, label=True)
    others = cells[1:]
    return bool(said.row and said.point and others) and all(len(c.text) < 5 for c in others)


def _counts_points(cells: Sequence[Cell], below: Sequence[Cell]) -> bool:
    """A row of headings 1, 2, 3 … over lengths."""
    numbers = [cell.text for cell in cells if is_number(cell)]
    if len(numbers) < 3 or not all(text.isdecimal() for text in numbers):
        return False
    counted = [int(text) for text in numbers]
    return (
        counted == list(range(counted[0], counted[0] + len(counted)))
        and counted[0] in (0, 1)
        and any((is_number(c) and not c.text.isdecimal()) or len(c.text) > 2 for c in below[1:])
    )


def _split(
    sheet: Sheet, texts: Sequence[int], rows: Sequence[int], columns: Sequence[int]
) -> Iterator[tuple[int, ...]]:
    """Columns of tables side by side: repeated headings, or empty columns and labels again."""
    header = texts[-1] if texts else 0
    line = [(c, folded(sheet.cells[header, c].text)) for c in columns if (header, c) in sheet.cells]
    for count in (4, 3, 2):
        size, rest = divmod(len(line), count)
        if size > 1 and not rest and _repeats([text for _, text in line], size):
            starts = [line[n * size][0] for n in range(count)]
            if not all(_labelled(sheet, rows, (start, start + 1)) for start in starts):
                continue
            for n, start in enumerate(starts):
                end = starts[n + 1] if n + 1 < count else max(columns) + 1
                yield tuple(c for c in columns if start <= c < end)
            return
    groups: list[list[int]] = []
    for column in columns:
        if groups and column == groups[-1][-1] + 1:
            groups[-1].append(column)
        else:
            groups.append([column])
    joined: list[list[int]] = []
    for group in groups:
        if joined and not _labelled(sheet, rows, group):
            joined[-1] += group
        else:
            joined.append(group)
    yield from map(tuple, joined)


def _repeats(texts: Sequence[str], size: int) -> bool:
    """The same headings again, the first of which is over labels: not `L R L R`."""
    parts = [texts[n : n + size] for n in range(0, len(texts), size)]
    return all(part == parts[0] for part in parts) and len(set(parts[0])) == len(parts[0])


def _labelled(sheet: Sheet, rows: Sequence[int], columns: Sequence[int]) -> bool:
    """Whether the first column of a group has labels: texts, or points from 1."""
    cells = [sheet.cells[r, columns[0]] for r in rows if (r, columns[0]) in sheet.cells]
    if len(columns) < 2 or not cells:
        return False
    if all(not is_number(cell) for cell in cells):
        return True
    return [cell.text for cell in cells][:3] == ["1", "2", "3"]


def _headed(
    sheet: Sheet,
    texts: Sequence[int],
    rows: Sequence[int],
    columns: tuple[int, ...],
    beside: bool,
    context: Context,
) -> Block:
    """A block with its rows of headings and its titles."""
    header: list[int] = []
    for row in reversed(texts):
        cells = [sheet.cells[row, c] for c in columns if (row, c) in sheet.cells]
        if not cells:
            if header:
                break
            continue
        if header and row != header[0] - 1:
            break
        if not header and len(cells) == 1 and len(columns) > 2 and row != texts[0]:
            continue  # a title between the headings and the numbers
        if len(header) == _MOST_HEADERS or not _is_header(cells, header, columns, sheet, context):
            break
        header.insert(0, row)
    if header and rows[0] - header[-1] > 3:
        header = []
    titles = [
        cell
        for row in texts
        if row not in header
        for cell in _over(sheet, row, columns, beside, context)
    ]
    span = range(columns[0], columns[-1] + 1)
    headings = dict(headings_in(sheet, header, span)) if header else {}
    own = tuple(r for r in rows if any((r, c) in sheet.cells for c in columns))
    return Block(
        sheet, own or tuple(rows), columns, tuple(header), False, tuple(titles), (), headings
    )


def _is_header(
    cells: Sequence[Cell],
    below: Sequence[int],
    columns: Sequence[int],
    sheet: Sheet,
    context: Context,
) -> bool:
    """A row of headings: over several columns; above another one it must say something there."""
    if not below:
        return len(cells) > 1 or len(columns) <= 2 or cells[0].column != columns[0]
    reported = [
        cell for cell in cells if cell.column > columns[0] or sheet.merged_at(cell.row, cell.column)
    ]
    saying = [cell for cell in reported if _says(cell, context)]
    return bool(saying) and len(saying) >= len(reported) / 2


def _says(cell: Cell, context: Context) -> bool:
    said = said_by(cell.text, context)
    return said.of_line or bool(said.role) or is_number(cell)


def _over(
    sheet: Sheet, row: int, columns: Sequence[int], beside: bool, context: Context
) -> Iterator[Cell]:
    """The titles of a row that are over a block: its own, or one that is over all blocks."""
    cells = [cell for (r, _), cell in sorted(sheet.cells.items()) if r == row]
    own = [cell for cell in cells if columns[0] <= cell.column <= columns[-1]]
    if beside and len(cells) > 1:
        yield from own
    else:
        # A side over one of two tables is not that of the other.
        yield from own or (c for c in cells[:1] if not (beside and said_by(c.text, context).side))


def _inherit(block: Block, found: Sequence[Block]) -> Block:
    """The headings of the nearest block above with the same columns."""
    for other in reversed(found):
        if other.header and set(block.columns) <= set(
            range(other.columns[0], other.columns[-1] + 1)
        ):
            return replace(
                block, header=other.header, inherited=True, headings=dict(other.headings)
            )
    return block
