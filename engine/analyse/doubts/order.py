"""Lengths that stand in another's place: whole rows, or two neighbours of one row."""

from itertools import combinations

import numpy as np

from trimscribe.analyse.doubts.lengths import expected_deviation
from trimscribe.analyse.doubts.sheet import SIDES, Sheet, median
from trimscribe.analyse.line_table import Bools
from trimscribe.analyse.uncertainty import Floats
from trimscribe.model.findings import Doubt, DoubtKind

__all__ = ["swapped_neighbours", "swapped_rows"]

# How much better the lengths must fit the specification when swapped back.
_ROWS = 0.6
_NEIGHBOURS = 0.4
_LEAST_MM = 8.0  # rows that fit this well, on average, need no other explanation
_ENOUGH = 3  # points that two rows must share to be compared
# Rows swapped on one side differ there by the opposite of what they differ by on the other: how
# nearly, and how much they must differ by so that this is no chance.
_OPPOSITE = 0.5
_APART_MM = 4.0


def swapped_rows(sheet: Sheet) -> tuple[list[Doubt], Sheet]:
    """Two rows of one side whose lengths fit each other's specification; the sheet without them."""
    doubts: list[Doubt] = []
    cells = np.zeros_like(sheet.length, dtype=np.bool_)
    rows = np.flatnonzero(sheet.is_row).tolist()
    as_is, swapped = _misfits(sheet)
    fit = np.ones_like(as_is)
    np.divide(swapped, as_is, out=fit, where=as_is > 0.0)
    alone = (fit < _ROWS) & (as_is > 2.0 * _LEAST_MM)
    by_sides = (fit < 1.0) & (fit < fit[::-1]) & _opposite(sheet)
    for side in range(len(SIDES)):
        suspects = [(a, b) for a, b in combinations(range(len(rows)), 2)
                    if alone[side, a, b] or by_sides[side, a, b]]  # fmt: skip
        taken: set[int] = set()
        for a, b in sorted(suspects, key=lambda pair: (fit[side][pair], pair)):
            if taken & {a, b}:
                continue
            taken |= {a, b}
            one, other = rows[a], rows[b]
            cells[side, [one, other]] = True
            doubts.append(
                Doubt(
                    DoubtKind.ROWS_SWAPPED,
                    sheet.row_name(side, one),
                    sheet.first(side, one),
                    other=sheet.groups[other],
                )
            )
    return doubts, sheet.without(cells) if doubts else sheet


def _misfits(sheet: Sheet) -> tuple[Floats, Floats]:
    """How far two rows are from their specifications as they are, and swapped: (side, row, row).

    Mean distances in mm from the median deviation of the side, both rows summed; NaN where rows
    have too few points in common.
    """
    length, specified = sheet.length[:, sheet.is_row], sheet.specified[sheet.is_row]
    middle = median(np.moveaxis(length - specified, 0, 2).reshape(-1, len(SIDES)))
    apart = _mean(np.abs(length[:, :, None] - specified[None] - middle[:, None, None, None]))
    own = np.diagonal(apart, axis1=1, axis2=2)
    return own[:, :, None] + own[:, None, :], apart + apart.swapaxes(1, 2)


def _opposite(sheet: Sheet) -> Bools:
    """Whether two rows differ on one side by the opposite of what they do on the other."""
    length = sheet.length[:, sheet.is_row]
    left, right = length[:, :, None] - length[:, None, :]
    together = _mean(left * right)
    size = _mean((left**2 + right**2) / 2.0)
    return np.asarray((together < -_OPPOSITE * size) & (together < -(_APART_MM**2)))


def _mean(values: Floats) -> Floats:
    """The mean over points of what is known; NaN where that is too little."""
    known = (~np.isnan(values)).sum(axis=-1)
    total = np.where(np.isnan(values), 0.0, values).sum(axis=-1)
    return np.asarray(np.where(known < _ENOUGH, np.nan, total / np.maximum(known, 1)))


def swapped_neighbours(sheet: Sheet, least_mm: float) -> tuple[list[Doubt], Sheet]:
    """Two neighbours that fit in each other's place; the sheet without them."""
    expected = expected_deviation(sheet)
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
        cells[side, group, point : point + 2] = True
        doubts.append(
            Doubt(
                DoubtKind.NEIGHBOURS_SWAPPED,
                sheet.name(side, group, point),
                sheet.at(side, group, point),
                found=float(sheet.length[side, group, point]),
                expected=float(wanted[side, group, point]),
                suggested=float(sheet.length[side, group, point + 1]),
                other=f"{sheet.groups[group]}{point + 2}",
            )
        )
    return doubts, sheet.without(cells) if doubts else sheet
