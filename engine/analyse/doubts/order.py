"""Lengths that are in another's place: turned lists, swapped rows, swapped neighbours.

A list may have been written from the tip to the centre instead of from the centre outwards.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import combinations

import numpy as np

from trimscribe.analyse.doubts.lengths import expected_deviation, median
from trimscribe.analyse.line_table import Bools, Floats, Ints, LineTable
from trimscribe.analyse.products import product, solved
from trimscribe.model.findings import Doubt, DoubtKind

_USUAL_MM = 3.0  # how far lines of one list are usually off from each other, on average
_NEIGHBOURS = 0.4  # how much better two neighbours must fit when swapped back
_BY_CHANCE = 7.0 * 1.4826  # both errors added; in standard deviations, from the median error
# How far lines are usually off, as standard deviations in mm: a row as a whole, one side of it,
# lines near each other, one reading. A wing that is off by more is measured by its own scatter.
_ROW, _SIDE, _NEAR, _READING = 20.0, 3.0, 3.0, 1.5
_ALIKE = 0.6  # how alike two neighbours are off, as a correlation
_LIKELIER = 4.0  # logarithm of how many times likelier turned lists, swapped rows must be
_ENOUGH = 3  # lengths of a list that can tell its direction; of two rows, to compare them by
_CLEARLY = 1.0  # how much more, as a logarithm, than on the other side
_WHERE: tuple[tuple[int, ...], ...] = ((0,), (1,), (0, 1))  # sides where rows may be swapped
_ONE_OFF = 3.0  # logarithm of how much rarer a row that is off by any amount is than one in place
_OPPOSITE: Mapping[tuple[int, ...], tuple[int, ...]] = {(0,): (1,), (1,): (0,)}


def reversed_lists(sheet: LineTable, least_mm: float) -> tuple[list[Doubt], LineTable]:
    """Lists that fit far better from the tip to the centre; the sheet without them.

    One doubt for a whole measuring or side when all its rows are so. Lines that are off from each
    other by no more than `least_mm` on average are in order.
    """
    backwards = _backwards(sheet, least_mm)
    doubts = list(_backwards_doubts(sheet, backwards)) if backwards.any() else []
    return doubts, sheet.without(backwards[:, :, None]) if doubts else sheet


def _backwards(sheet: LineTable, least_mm: float) -> Bools:
    """By side and group, whether its list runs backwards."""
    found = np.zeros(sheet.length.shape[:2], dtype=np.bool_)
    for side, group in np.argwhere(_tells(sheet) & (_reach(sheet) > least_mm)).tolist():
        specified = sheet.specified[group]
        wanted = specified[~np.isnan(specified)]
        lengths = sheet.length[side, group, : len(wanted)]
        written, turned = _scatter(lengths - wanted), _scatter(lengths[::-1] - wanted)
        gain = (~np.isnan(lengths)).sum() * math.log(written / turned)
        found[side, group] = written > least_mm and gain > _LIKELIER
    return found


def _reach(sheet: LineTable) -> Floats:
    """By side and group, the most that two lines are off from each other in mm; 0 for none."""
    unknown = np.isnan(sheet.deviation)
    highest = np.where(unknown, -np.inf, sheet.deviation).max(axis=2)
    lowest = np.where(unknown, np.inf, sheet.deviation).min(axis=2)
    return np.asarray(np.maximum(highest - lowest, 0.0))


def _tells(sheet: LineTable) -> Bools:
    """By side and group, whether enough of its list is known to tell its direction."""
    return np.asarray((~np.isnan(sheet.deviation)).sum(axis=2) >= _ENOUGH)


def _scatter(deviation: Floats) -> float:
    """How far lines of one list are off from each other: one slip among them weighs little."""
    known = deviation[~np.isnan(deviation)]
    return max(_USUAL_MM, float(np.abs(known - np.median(known)).mean()))


def _backwards_doubts(sheet: LineTable, backwards: Bools) -> Iterator[Doubt]:
    """What is backwards, reported as widely as it holds."""
    rows, row_cells = _tells(sheet) & sheet.is_row, sheet.is_row[:, None]
    if _all(backwards[rows]):
        keys, count = sheet.keys(row_cells), int(backwards.sum())
        yield Doubt(DoubtKind.REVERSED, sheet.when, (sheet.when,), keys, count=count)
        return
    for side, lists in enumerate(backwards):
        if _all(lists[rows[side]]):
            keys = sheet.keys(row_cells & sheet.marked(side))
            yield Doubt(DoubtKind.REVERSED, *sheet.side(side), keys, count=int(lists.sum()))
            continue
        for group in np.flatnonzero(lists).tolist():
            name, at = sheet.row_name(side, group), sheet.first(side, group)
            keys = sheet.keys(sheet.marked(side, group))
            yield Doubt(DoubtKind.REVERSED, name, at, keys, count=1)


def _all(rows: Bools) -> bool:
    return rows.size > 1 and bool(rows.all())


def shifted_lists(sheet: LineTable, least_mm: float) -> tuple[list[Doubt], LineTable]:
    """Lists that fit far better one point further in or out, from some point on; the sheet without.

    So it is where a reading was left out, or written twice, and all that follow went to the wrong
    line. The doubt counts the lengths that are, from the point in `at` on.
    """
    doubts: list[Doubt] = []
    cells = np.zeros_like(sheet.length, dtype=np.bool_)
    for side, group in np.argwhere(_tells(sheet) & (_reach(sheet) > least_mm)).tolist():
        lengths, specified = sheet.length[side, group], sheet.specified[group]
        written = _stepped(lengths - specified)
        gain, _, start, by = max(
            (*_likelier(lengths, specified, start, by, written), start, by)
            for by in (1, -1)
            for start in range(max(0, -by), len(lengths) - 1)
        )
        if _scatter(lengths - specified) <= least_mm or gain <= _LIKELIER:
            continue
        cells[side, group] = True
        start += int(np.argmax(~np.isnan(lengths[start:])))  # the first of them that was measured
        meant = f"{sheet.groups[group]}{start + by + 1}"
        count = int((~np.isnan(_moved(lengths, specified, start, by)[start:])).sum())
        doubts.append(
            Doubt(
                DoubtKind.SHIFTED,
                sheet.row_name(side, group),
                sheet.at(side, group, start),
                sheet.keys(sheet.marked(side, group)),
                found=float(lengths[start]),
                other=meant,
                count=count,
            )
        )
    return doubts, sheet.without(cells) if doubts else sheet


def _moved(lengths: Floats, specified: Floats, start: int, by: int) -> Floats:
    """Deviations of a list whose lengths from `start` on are those of the point `by` further on."""
    wanted = specified.copy()
    there = np.full_like(specified, np.nan)
    if by > 0:
        there[:-1] = specified[1:]
    else:
        there[1:] = specified[:-1]
    wanted[start:] = there[start:]
    return np.asarray(lengths - wanted)


def _stepped(deviation: Floats) -> float:
    """The scatter of a list in place whose outer or inner part may be off by one amount."""
    tried = [_scatter(deviation)]
    for start in range(1, len(deviation)):
        parts = (deviation[:start], deviation[start:])
        level = [part - float(median(part[:, None])[0]) for part in parts]
        tried.append(_scatter(np.concatenate(level)))
    return min(tried)


def _likelier(
    lengths: Floats, specified: Floats, start: int, by: int, written: float
) -> tuple[float, float]:
    """Logarithm of how much likelier a list is shifted so than in place; each start is one try.

    Beside it how far lines are off from each other then, with its sign turned: of starts that are
    as likely, the one with less is the place.
    """
    deviation = _moved(lengths, specified, start, by)
    known = deviation[~np.isnan(deviation)]
    if (~np.isnan(deviation[start:])).sum() < _ENOUGH:
        return -math.inf, 0.0
    gain = known.size * math.log(written / _scatter(deviation)) - math.log(2 * len(lengths))
    return float(gain), -float(np.abs(known - np.median(known)).mean())


def swapped_rows(sheet: LineTable) -> tuple[list[Doubt], LineTable]:
    """Two rows whose lengths are likelier by far in each other's place; the sheet without them."""
    doubts: list[Doubt] = []
    cells = np.zeros_like(sheet.length, dtype=np.bool_)
    rows = np.flatnonzero(sheet.is_row).tolist()
    off = sheet.length - float(median(sheet.deviation[:, sheet.is_row].reshape(-1, 1))[0])
    found = sorted(
        (-gain, one, other, sides)
        for one, other in combinations(rows, 2)
        for gain, sides in _gains(off, sheet.specified, one, other)
        if gain > _LIKELIER
    )
    taken: set[int] = set()
    for _, one, other, sides in found:
        if taken & {one, other}:
            continue
        taken |= {one, other}
        for side in sides:
            here = sheet.marked(side, [one, other])
            cells |= here
            doubts.append(
                Doubt(
                    DoubtKind.ROWS_SWAPPED,
                    sheet.row_name(side, one),
                    sheet.first(side, one),
                    sheet.keys(here),
                    other=sheet.groups[other],
                )
            )
    return doubts, sheet.without(cells) if doubts else sheet


def _gains(
    length: Floats, specified: Floats, one: int, other: int
) -> Iterator[tuple[float, tuple[int, ...]]]:
    """How much likelier two rows are swapped, as a logarithm, with the sides where that is."""
    known = ~np.isnan(length[:, one] + length[:, other] + specified[one] + specified[other])
    sides, points = np.nonzero(known)
    swapped = np.stack([np.zeros_like(sides, dtype=np.bool_), sides == 0, sides == 1, sides >= 0])
    here, there = length[sides, one, points], length[sides, other, points]
    errors = np.stack(
        [
            np.where(swapped, there, here) - specified[one, points],
            np.where(swapped, here, there) - specified[other, points],
        ]
    )
    inverse = _inverse_covariance(known.tobytes(), known.shape[1])
    in_place, *rest = (_misfit(errors[:, way], inverse) for way in range(len(swapped)))
    gains = _logarithms(in_place, rest, sides)
    if max(gains.values(), default=0.0) <= _LIKELIER:
        return  # as nearly always: what else may explain the row need not be looked for
    in_place = min(in_place, _one_off(errors[:, 0], sides, inverse) + 2.0 * _ONE_OFF)
    gains = _logarithms(in_place, rest, sides)
    for where, gain in gains.items():
        # Rows that should be alike only tell that sides differ, not where they were swapped.
        opposite = gains.get(_OPPOSITE.get(where, ()), 0.0)
        if gain - opposite > _CLEARLY:
            yield gain, where


def _logarithms(
    in_place: float, swapped: Sequence[float], sides: Ints
) -> dict[tuple[int, ...], float]:
    """How much likelier each way of swapping is than both rows in place, by their misfits."""
    return {
        where: (in_place - rest) / 2.0 / max(1.0, rest / (2.0 * len(sides)))
        for where, rest in zip(_WHERE, swapped, strict=True)
        if all((sides == side).sum() >= _ENOUGH for side in where)
    }


def _one_off(errors: Floats, sides: Ints, inverse: Floats) -> float:
    """The least misfit of both rows in place, when one of them is off as a whole on some side."""
    tried = []
    for row in range(len(errors)):
        for where in _WHERE:
            here = np.isin(sides, where)
            if here.any():
                level = errors.copy()
                level[row, here] -= np.median(level[row, here])
                tried.append(_misfit(level, inverse))
    return min(tried, default=math.inf)


def _misfit(errors: Floats, inverse: Floats) -> float:
    """How badly the errors of both rows fit what rows scatter by."""
    return float((product(errors, inverse) * errors).sum())


@lru_cache(maxsize=64)
def _inverse_covariance(known: bytes, points: int) -> Floats:
    """Of how far lines of one row are off; `known` says of each side and point if it counts."""
    side, point = np.nonzero(np.frombuffer(known, dtype=np.bool_).reshape(-1, points))
    apart = np.abs(point[:, None] - point)
    same_side = side[:, None] == side
    near = np.where(same_side, _SIDE**2 + _NEAR**2 * _ALIKE**apart, 0.0)
    return solved(_ROW**2 + near + _READING**2 * np.eye(len(side)), np.eye(len(side)))


def swapped_neighbours(
    sheet: LineTable, least_mm: float, around: LineTable
) -> tuple[list[Doubt], LineTable]:
    """Two neighbours that fit in each other's place; the sheet without them.

    Together they must be further off than `least_mm`, and than two lines of this sheet ever are by
    chance: neighbours of nearly the same length fit in each other's place whenever both are off.
    `around` is the sheet with what was not measured again.
    """
    expected = expected_deviation(around)
    errors = np.abs(sheet.deviation - expected)
    known = errors[~np.isnan(errors)]
    least_mm = max(least_mm, _BY_CHANCE * float(np.median(known))) if known.size else least_mm
    wanted = sheet.specified + expected
    here, there = sheet.length[:, :, :-1], sheet.length[:, :, 1:]
    one, other = here - wanted[:, :, :-1], there - wanted[:, :, 1:]
    as_is = np.abs(one) + np.abs(other)
    swapped = np.abs(there - wanted[:, :, :-1]) + np.abs(here - wanted[:, :, 1:])
    found = (as_is > least_mm) & (swapped < _NEIGHBOURS * as_is) & (one * other < 0.0)
    doubts: list[Doubt] = []
    cells = np.zeros_like(sheet.length, dtype=np.bool_)
    for side, group, point in np.argwhere(found).tolist():
        if cells[side, group, point]:
            continue
        both = sheet.marked(side, group, slice(point, point + 2))
        cells |= both
        doubts.append(
            Doubt(
                DoubtKind.NEIGHBOURS_SWAPPED,
                sheet.name(side, group, point),
                sheet.at(side, group, point),
                sheet.keys(both),
                found=float(sheet.length[side, group, point]),
                expected=float(wanted[side, group, point]),
                suggested=float(sheet.length[side, group, point + 1]),
                other=f"{sheet.groups[group]}{point + 2}",
            )
        )
    return doubts, sheet.without(cells) if doubts else sheet
