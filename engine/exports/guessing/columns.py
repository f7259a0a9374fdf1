"""What each column of a block is: labels of lines, lengths, or something that is passed over."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from trimscribe.exports.guessing.blocks import Block, is_number, is_unit
from trimscribe.exports.guessing.labels import SHARE, Label, label_of
from trimscribe.exports.guessing.texts import MOST_POINTS, Context, MeaningKey, TextMeaning, said_by
from trimscribe.model.tables import Cell


@dataclass(frozen=True)
class ValueCells:
    """A column of numbers, and what its heading says."""

    column: int
    heading: str
    said: TextMeaning
    cells: tuple[Cell, ...]
    odd: tuple[Cell, ...] = ()


@dataclass(frozen=True)
class UnderstoodTable:
    """A block understood: what its titles say, its labels by row, its columns of numbers.

    `skipped` are the rows whose labels name no line; `readings` says that a column counts
    readings, `tip` that points are said to count from the tip.
    """

    block: Block
    said: TextMeaning
    labels: tuple[Label, ...]
    rows: dict[int, TextMeaning]
    skipped: dict[int, Cell]
    values: tuple[ValueCells, ...]
    tip: bool = False
    readings: bool = False
    words: dict[tuple[str, str], set[str]] = field(default_factory=dict)

    @property
    def place(self) -> str:
        """Where it is, for people: the sheet and the rows."""
        sheet = f"sheet “{self.block.sheet.name}”, " if self.block.sheet.name else ""
        return f"{sheet}rows {self.block.rows[0]}–{self.block.rows[-1]}"


def table_of(block: Block, context: Context) -> UnderstoodTable:
    """Understand a block."""
    outer = _titles(block, context)
    labels: list[Label] = []
    running: list[int] = []
    values: list[ValueCells] = []
    tip = False
    for column in block.columns:
        cells = block.cells(column)
        heading = said_by(block.headings.get(column, ""), context)
        if not cells:
            continue
        if _counts_rows(cells):
            running.append(column)
        elif _may_be_label(cells, values, labels, context) and (
            label := label_of(block, column, cells, heading, context)
        ):
            labels.append(label)
            if not heading.unknown:  # a corner that says when or where holds for the table
                outer = TextMeaning(side=heading.side, when=heading.when).under(outer)
            tip |= "tip" in heading.heads
        elif (numbers := [cell for cell in cells if is_number(cell)]) and (
            len(numbers) >= 0.3 * len(cells) or heading.when or heading.side
        ):
            odd = tuple(c for c in cells if c not in numbers and not is_unit(c))
            text = block.headings.get(column, "")
            values.append(ValueCells(column, text, heading, tuple(numbers), odd))
    labels = [one for one in labels if not _of_limits(one, labels, context)]
    labels = [one for one in labels if not _same_word(one, labels, context)]
    labels, dropped = _without_running(labels)
    running += dropped
    readings = any(
        said_by(block.headings.get(column, ""), context).role == "reading" for column in running
    )
    values = [_pointed(_sided(value, labels, context), values) for value in values]
    if values and all(value.said.point for value in values):  # a number beside counts the rows
        labels = [one for one in labels if one.forms != ("{point}",)]
    told = [cell.row for value in values for cell in (*value.cells, *value.odd)]
    rows, skipped = _rows(block, labels, told)
    words: dict[tuple[str, str], set[str]] = {}
    for label in labels:
        for key, texts in label.words.items():
            words.setdefault(key, set()).update(texts)
    return UnderstoodTable(
        block=block,
        said=outer,
        labels=tuple(labels),
        rows=rows,
        skipped=skipped,
        values=tuple(values),
        tip=tip,
        readings=readings,
        words=words,
    )


def _counts_rows(cells: Sequence[Cell]) -> bool:
    """Every row counted, further than points go."""
    count = len(cells)
    return count > MOST_POINTS and [c.text for c in cells] == [str(n) for n in range(1, count + 1)]


def _may_be_label(
    cells: Sequence[Cell], values: Sequence[ValueCells], labels: Sequence[Label], context: Context
) -> bool:
    """Labels are before the numbers; behind them are texts that say what nothing before says.

    That is the row, or the side or time of most rows: without it both sides look like readings.
    """
    if not values:
        return True
    if any(map(is_number, cells)):
        return False
    before = [said for label in labels for said in label.said.values()]
    if not any(said.row for said in before):
        return True
    rows = {cell.row for value in values for cell in value.cells}
    plainly = replace(context, last=False, paired=False)  # in and out may say: within its limit
    texts = [said_by(cell.text, plainly, label=True) for cell in cells if cell.row in rows]
    texts = [said for said in texts if not (said.row or said.unknown)]
    return any(
        sum(bool(getattr(said, part)) for said in texts) >= SHARE * len(rows)
        and not any(getattr(said, part) for said in before)
        and len({getattr(value.said, part) for value in values} - {""}) < 2
        for part in ("side", "when")
    )


def _of_limits(label: Label, labels: Sequence[Label], context: Context) -> bool:
    """`in` and `out` of which each line has one alone may say whether it is within its limit."""
    words = {
        w.casefold() for (kind, _), said in label.words.items() if kind == "when" for w in said
    }
    if not words or not words <= context.words.last.keys():
        return False
    times: dict[tuple[MeaningKey, ...], set[str]] = {}
    for row, said in label.said.items():
        line = tuple(one.said[row].key for one in labels if one is not label and row in one.said)
        times.setdefault(line, set()).add(said.when)
    return all(len(found) == 1 for found in times.values())


def _sided(value: ValueCells, labels: Sequence[Label], context: Context) -> ValueCells:
    """A heading `L` beside labels that tell both sides is no side: it may stand for length."""
    sides = {said.side for label in labels for said in label.said.values()}
    if (
        not {"left", "right"} <= sides
        or said_by(value.heading, replace(context, initials=None)).side
    ):
        return value
    return replace(value, said=replace(value.said, side=""))


def _titles(block: Block, context: Context) -> TextMeaning:
    """What sheet and titles say, the nearest first; a title with strange words says nothing."""
    said = TextMeaning()
    below = _captions_below(block, context)
    for n, cell in enumerate(reversed((*block.outer, *block.titles))):
        found = _clear(cell.text, context)
        if below:
            found = replace(found, side="", when="")
        said = said.under(found if n < len(block.titles) else replace(found, row="", point=0))
    return said.under(_clear(block.sheet.name, context))


def _captions_below(block: Block, context: Context) -> bool:
    """A side or time is the last of a sheet, under all numbers: so titles are under their tables.

    Over an empty table it would have headings below it.
    """
    last, *above = sorted(block.sheet.cells.values(), key=lambda cell: -cell.row)
    alone = not is_number(last) and (not above or above[0].row < last.row)
    said = _clear(last.text, context)
    return alone and bool(said.side or said.when)


def _clear(text: str, context: Context) -> TextMeaning:
    """What a title says where all its words are known."""
    said = said_by(text, context)
    if said.two_things or said.unknown or len(text) > 80:
        return TextMeaning()
    return replace(said, point=0, role=said.role if said.role in ("specified", "planned") else "")


def _same_word(label: Label, labels: Sequence[Label], context: Context) -> bool:
    """One word that is no known row, beside names of lines: who measured, or which wing it is."""
    rows = {said.row for said in label.said.values()}
    if len(rows) != 1 or any(s.point or s.side or s.when for s in label.said.values()):
        return False
    known = {*context.rows.values(), *(n for k, n in context.words.phrases.values() if k == "row")}
    return not rows & known and any(
        all(said.row and said.point for said in other.said.values())
        for other in labels
        if other is not label
    )


def _without_running(labels: Sequence[Label]) -> tuple[list[Label], list[int]]:
    """A number beside a name that has its point already only counts the rows, or readings."""
    full = [
        one
        for one in labels
        if sum(s.point > 0 for s in one.said.values()) and any(s.row for s in one.said.values())
    ]
    kept, running = [], []
    for label in labels:
        only_points = all(not (s.row or s.side or s.when) for s in label.said.values())
        if (full and only_points and label not in full) or (
            full and label is not full[0] and any(s.point for s in label.said.values())
        ):
            running.append(label.column)
        else:
            kept.append(label)
    points = [
        one for one in kept if all(not (s.row or s.side or s.when) for s in one.said.values())
    ]
    if len(points) > 1:  # a running number first, then the point
        best = min(points, key=lambda one: (max(s.point for s in one.said.values()), -one.column))
        running += [one.column for one in points if one is not best]
        kept = [one for one in kept if one not in points or one is best]
    return kept, running


def _pointed(value: ValueCells, values: Sequence[ValueCells]) -> ValueCells:
    """Headings that count points: 1, 2, 3 … or P1, P2 …, or name lines: A1, A2 …"""
    numbers = [one.said.numbers for one in values]
    counting = [n[0] for n in numbers if len(n) == 1]
    if len(counting) < 3 or len(counting) != len(values) or not value.said.numbers:
        return value
    if value.said.role == "reading" or len(set(counting)) < 3:
        return value
    unknown = {one.said.unknown for one in values}
    said = replace(value.said, point=value.said.numbers[0] or 0)
    if len(value.said.unknown) == 1 and not said.row and len(unknown) > 1:
        said = replace(said, row=value.said.unknown[0])
    return replace(value, said=said)


def _rows(
    block: Block, labels: Sequence[Label], wanted: Sequence[int]
) -> tuple[dict[int, TextMeaning], dict[int, Cell]]:
    """What the labels of each row say together, and the rows whose labels name no line."""
    rows: dict[int, TextMeaning] = {}
    skipped: dict[int, Cell] = {}
    above: dict[int, TextMeaning] = {}
    for row in sorted(set(wanted)):
        said = TextMeaning()
        for label in labels:
            one = label.said.get(row)
            cell = block.sheet.at(row, label.column)
            if one is None and cell is None and label.fill:
                one = above.get(label.column)
            elif one is None and cell and cell.row != row:
                one = label.said.get(cell.row)  # merged over several rows
            if one is None and cell is not None:
                skipped[row] = cell
                break
            if one is None:
                continue
            above[label.column] = one
            said = said.under(one)
        else:
            rows[row] = said
    return rows, skipped
