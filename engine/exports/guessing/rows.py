"""What an export calls the rows of the wing, found by their lengths."""

from collections import Counter
from collections.abc import Mapping, Sequence
from statistics import median

from trimscribe.exports.guessing.sources import FACTORS, GroupLengths, NumberColumn, may_be_lengths

_LETTERS = {"stabilo": ("s", "st", "t"), "brake": ("f", "k", "br", "h", "g")}
_ALIKE = 0.04  # of a length: how near a row must be to the group that it may be


def group_names(
    sources: Sequence[NumberColumn], lengths: GroupLengths, unit: str
) -> dict[str, str]:
    """Rows that the line set has not, each with the group whose lengths it has."""
    factor = FACTORS[unit or "mm"]
    values: dict[str, dict[int, list[float]]] = {}
    for source in sources:
        near = may_be_lengths(source, lengths, factor)
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
    row: str, points: Mapping[int, object], lengths: GroupLengths, free: Sequence[str]
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
