"""Lists that were written from the tip to the centre instead of from the centre outwards."""

import math
from collections.abc import Iterator

import numpy as np

from trimscribe.analyse.line_table import Bools, LineTable
from trimscribe.analyse.uncertainty import Floats
from trimscribe.model.findings import Doubt, DoubtKind

_LIKELIER = 4.0  # logarithm of how many times likelier a list must be backwards than not
_ENOUGH = 3  # lengths of a list that can tell its direction
_USUAL_MM = 3.0  # how far lines of one list are usually off from each other, on average


def reversed_lists(sheet: LineTable, least_mm: float) -> tuple[list[Doubt], LineTable]:
    """Lists that fit far better from the tip to the centre; the sheet without them.

    One doubt for a whole measuring or side when all its rows are so. Lines that are off from each
    other by no more than `least_mm` on average are in order.
    """
    backwards = _backwards(sheet, least_mm)
    doubts = list(_doubts(sheet, backwards)) if backwards.any() else []
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


def _doubts(sheet: LineTable, backwards: Bools) -> Iterator[Doubt]:
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
