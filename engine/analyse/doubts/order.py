"""Lengths that stand in another's place: whole rows, or two neighbours of one row."""

from itertools import combinations

import numpy as np

from trimscribe.analyse.doubts.lengths import expected_deviation
from trimscribe.analyse.doubts.sheet import SIDES, Sheet, median
from trimscribe.analyse.uncertainty import Floats
from trimscribe.model.findings import Doubt, DoubtKind

__all__ = ["swapped_neighbours", "swapped_rows"]

# How much better the lengths must fit the specification when swapped back.
_ROWS = 0.6
_NEIGHBOURS = 0.4
_LEAST_MM = 8.0  # rows that fit this well, on average, need no other explanation
_ENOUGH = 3  # points that two rows must share to be compared


def swapped_rows(sheet: Sheet) -> tuple[list[Doubt], Sheet]:
    """Two rows of one side whose lengths fit each other's specification; the sheet without them."""
    doubts: list[Doubt] = []
    cells = np.zeros_like(sheet.length, dtype=np.bool_)
    rows = np.flatnonzero(sheet.is_row).tolist()
    for side in range(len(SIDES)):
        apart = _distances(sheet, side)
        as_is = np.diag(apart)[:, None] + np.diag(apart)
        fit = np.ones_like(apart)
        np.divide(apart + apart.T, as_is, out=fit, where=as_is > 2.0 * _LEAST_MM)
        pairs = sorted((fit[a, b], rows[a], rows[b]) for a, b in combinations(range(len(rows)), 2))
        taken: set[int] = set()
        for share, one, other in pairs:
            if not share < _ROWS or taken & {one, other}:
                continue
            taken |= {one, other}
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


def _distances(sheet: Sheet, side: int) -> Floats:
    """Mean distance of each row's lengths from each row's specification, in mm.

    From the median deviation of the side; NaN where rows have too few points in common.
    """
    length, specified = sheet.length[side, sheet.is_row], sheet.specified[sheet.is_row]
    middle = median((length - specified).reshape(-1, 1))[0]
    apart = np.abs(length[:, None] - specified[None] - middle)
    shared = (~np.isnan(apart)).sum(axis=2)
    total = np.where(np.isnan(apart), 0.0, apart).sum(axis=2)
    return np.asarray(np.where(shared < _ENOUGH, np.nan, total / np.maximum(shared, 1)))


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
