"""Columns of lengths of a whole file: what each is, by its words and by arithmetic."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from statistics import median

from trimscribe.exports.guessing.columns import UnderstoodTable, ValueCells
from trimscribe.exports.guessing.texts import TextMeaning
from trimscribe.exports.mapping.cells import number_in
from trimscribe.exports.mapping.normalise import Specified
from trimscribe.exports.mapping.plan import Numbers
from trimscribe.model.tables import Cell, column_letters
from trimscribe.model.wing import BRAKE_MAIN

FACTORS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
_EQUAL_MM = 0.06  # rounded to a tenth
_OFF = 0.15  # of a length: further off, a number is not a length of this line
_EVEN = 0.03  # of a length: how far the ratios of one column to the line set may scatter
_SMALL_MM = 250.0  # the largest deviation, tolerance or difference that is taken for one
_LEAST = 0.7  # of the numbers of a column
_FEW = 3  # different numbers of a column of remarks, such as years
LENGTHS_MM = (1200.0, 15000.0)  # without a line set; common practice, no source
_LETTERS = {"stabilo": ("s", "st", "t"), "brake": ("f", "k", "br", "h", "g")}
_ALIKE = 0.04  # of a length: how near a row must be to the group that it may be


@dataclass(frozen=True)
class LabelledNumber:
    """One number and the line that it is about."""

    cell: Cell
    said: TextMeaning
    value: float


@dataclass(frozen=True)
class NumberColumn:
    """One column of numbers of one table; `role` is what it was found to be, `why` for people."""

    table: int
    value: ValueCells
    said: TextMeaning
    entries: tuple[LabelledNumber, ...]
    role: str = ""
    why: str = ""
    when_answered: bool = False

    @property
    def called(self) -> str:
        """The column as people find it."""
        heading = " ".join(self.value.heading.split())
        letters = column_letters(self.value.column)
        return f"column {letters} “{heading}”" if heading else f"column {letters}"

    def keyed(self) -> dict[tuple[str, int], float]:
        """The first number of each line, by row and point, in the file's unit."""
        found: dict[tuple[str, int], float] = {}
        for one in self.entries:
            found.setdefault((one.said.row, one.said.point), one.value)
        return found


def sources_of(tables: Sequence[UnderstoodTable], numbers: Numbers) -> Iterator[NumberColumn]:
    """Every column of numbers with what its words say."""
    for index, table in enumerate(tables):
        named = any(value.said.row for value in table.values) and not any(
            said.row for said in table.rows.values()
        )
        for value in table.values:
            said = value.said
            if named and not said.row and len(said.unknown) == 1 and not said.role:
                said = replace(said, row=said.unknown[0])
            said = said.under(replace(table.said, role=""))
            entries = []
            for cell in value.cells:
                row = table.rows.get(cell.row)
                if row is None:
                    continue
                number = number_in(cell, table.block.sheet, numbers)
                whole = row.under(said)
                if whole.row == BRAKE_MAIN:
                    whole = replace(whole, point=1)
                # Of a label and a heading that name different lines, neither is believed.
                clash = any(
                    getattr(row, part)
                    and getattr(said, part)
                    and getattr(row, part) != getattr(said, part)
                    for part in ("row", "side", "when")
                    if getattr(value.said, part)
                )
                if isinstance(number, Decimal) and not clash:
                    entries.append(LabelledNumber(cell, whole, float(number)))
            role = said.role or table.said.role
            if role == "planned" and said.when != "after":  # a total that was worked out
                role = ""
            yield NumberColumn(index, value, replace(said, role=role), tuple(entries))


def _wanted(one: LabelledNumber, lengths: Specified, tip: bool) -> float | None:
    row = lengths.get(one.said.row, ())[:: -1 if tip else 1]
    return row[one.said.point - 1] if 1 <= one.said.point <= len(row) else None


def _compared(
    source: NumberColumn, lengths: Specified, *, tip: bool = False
) -> list[tuple[float, float]]:
    return [(one.value, mm) for one in source.entries if (mm := _wanted(one, lengths, tip))]


def _fits(pairs: Sequence[tuple[float, float]], factor: float) -> bool:
    """Whether most numbers are lengths near those of the line set, in this unit."""
    ratios = [value * factor / mm for value, mm in pairs]
    if not ratios:
        return False
    middle = median(ratios)
    near = [r for r in ratios if abs(r - middle) <= _EVEN]
    return abs(middle - 1) <= _OFF and len(near) >= _LEAST * len(ratios)


def _may_be_lengths(source: NumberColumn, lengths: Specified, factor: float) -> bool:
    """Whether the numbers of known rows, where there are any, are near the line set."""
    pairs = _compared(source, lengths)
    return not pairs or _fits(pairs, factor) or _fits(_compared(source, lengths, tip=True), factor)


def unit_of(sources: Sequence[NumberColumn], lengths: Specified) -> str:
    """The unit in which most numbers are lengths of the line set; empty where none is."""
    votes: Counter[str] = Counter()
    for source in sources:
        for tip in (False, True):
            pairs = _compared(source, lengths, tip=tip)
            for unit, factor in FACTORS.items():
                if len(pairs) > 1 and _fits(pairs, factor):
                    votes[unit] += len(pairs)
    return votes.most_common(1)[0][0] if votes else ""


def classified(
    sources: Sequence[NumberColumn], lengths: Specified, unit: str, *, means: bool = True
) -> list[NumberColumn]:
    """Every column with its role; those that are `lengths` are measurings.

    Without `means` none is one by its numbers: of three sizes the middle one may look so.
    """
    factor = FACTORS[unit or "mm"]
    found = [_by_itself(source, lengths, factor) for source in sources]
    found = [_mean(source, found, factor) if means else source for source in found]
    return [_measured_mean(source, found) for source in found]


def _by_itself(source: NumberColumn, lengths: Specified, factor: float) -> NumberColumn:
    words = source.said.role
    if len(source.entries) < 1:
        return replace(source, role="foreign", why="no label names a line of the wing")
    pairs = _compared(source, lengths)
    offs = [abs(value * factor - mm) for value, mm in pairs]
    if len(offs) > 2 and all(off <= _EQUAL_MM for off in offs):
        return replace(source, role="specified", why="equal to the line set, line for line")
    values = [one.value * factor for one in source.entries]
    small = max(map(abs, values)) <= _SMALL_MM
    if pairs:
        are_lengths = _fits(pairs, factor) or _fits(_compared(source, lengths, tip=True), factor)
    else:
        low, high = LENGTHS_MM
        are_lengths = low <= median(map(abs, values)) <= high
    if words == "remark" and are_lengths and len({*values}) > _FEW:
        words = ""  # lengths with their loop, or as a result
    if words in ("mean", "sum") and are_lengths:
        return replace(source, role="mean", why="its heading says so")
    if words in ("deviation", "difference", "tolerance", "sum", "remark", "planned"):
        return replace(source, role=words, why="its heading says so")
    if words == "specified":
        why = "its heading says so"
        if offs and are_lengths:
            differing = sum(off > _EQUAL_MM for off in offs)
            why += f"; {differing} of {len(offs)} differ from the line set"
        return replace(source, role="specified" if are_lengths else "other", why=why)
    if are_lengths:
        return replace(source, role="lengths")
    if small:
        return replace(source, role="small", why="numbers too small for lengths")
    return replace(source, role="other", why="numbers that are not lengths of these lines")


def _mean(source: NumberColumn, found: Sequence[NumberColumn], factor: float) -> NumberColumn:
    """A column that is the mean of two others of its table, number by number."""
    if source.role != "lengths" or source.said.side:
        return source
    own = {cell.row: one.value for one in source.entries for cell in (one.cell,)}
    others = [
        {one.cell.row: one.value for one in other.entries}
        for other in found
        if other.table == source.table and other is not source and other.role == "lengths"
    ]
    for n, first in enumerate(others):
        for second in others[n + 1 :]:
            shared = own.keys() & first.keys() & second.keys()
            if (
                len(shared) > 2
                and all(
                    abs(own[row] - (first[row] + second[row]) / 2) * factor <= _EQUAL_MM
                    for row in shared
                )
                and any(first[row] != second[row] for row in shared)
            ):
                return replace(source, role="mean", why="the mean of two others, number by number")
    return source


def _measured_mean(source: NumberColumn, found: Sequence[NumberColumn]) -> NumberColumn:
    """A mean without its readings, or a total without others, is what was measured."""
    if source.role != "mean" or any(
        other.table == source.table and other.role == "lengths" for other in found
    ):
        return source
    return replace(
        source, role="lengths", why="a mean or total, and no other lengths are beside it"
    )


def group_names(sources: Sequence[NumberColumn], lengths: Specified, unit: str) -> dict[str, str]:
    """Rows that the line set has not, each with the group whose lengths it has."""
    factor = FACTORS[unit or "mm"]
    values: dict[str, dict[int, list[float]]] = {}
    for source in sources:
        near = _may_be_lengths(source, lengths, factor)
        if source.said.role in ("", "measured", "specified", "reading", "mean", "deviation"):
            for one in source.entries:
                if one.said.row:
                    points = values.setdefault(one.said.row, {}).setdefault(one.said.point, [])
                    points += [one.value * factor] if near else []
    known = {name.casefold(): name for name in lengths}
    names = {row: known[row.casefold()] for row in values if row.casefold() in known}
    free = [name for name in lengths if name not in names.values()]
    strange = [row for row in values if row not in names]
    for row in strange:
        fits = sorted(
            (off, name) for name in free if (off := _off(values[row], lengths[name])) < _ALIKE
        )
        if fits and (len(fits) == 1 or fits[1][0] > 3 * fits[0][0] + 0.002):
            names[row] = fits[0][1]
        elif not fits and (name := _by_letter(row, values[row], lengths, free)):
            names[row] = name
    taken = Counter(names.values())
    return {
        row: name
        for row, name in names.items()
        if taken[name] == 1 or row.casefold() == name.casefold()
    }


def _by_letter(
    row: str, points: Mapping[int, object], lengths: Specified, free: Sequence[str]
) -> str:
    """A group by its usual letter where the count of points is its own (common practice)."""
    usual = {name for name, letters in _LETTERS.items() if row.casefold() in letters}
    fits = [name for name in free if name in usual and max(points) == len(lengths[name])]
    return fits[0] if len(fits) == 1 else ""


def _off(points: Mapping[int, Sequence[float]], row: Sequence[float | None]) -> float:
    """How far a row lies from a group, as a share of its lengths; much where points lack."""
    if any(point > len(row) for point in points) or not any(points):
        if set(points) == {0} and len(row) == 1:
            points = {1: points[0]}
        else:
            return 1.0
    offs = [
        abs(value - mm) / mm
        for point, values in points.items()
        if point and (mm := row[point - 1])
        for value in values
    ]
    return median(offs) if offs else 1.0
