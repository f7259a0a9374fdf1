"""Columns that were pasted instead of measured, and one length written several times."""

import math
from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations

import numpy as np

from trimscribe.analyse.line_table import SIDES, Bools, Floats, LineTable
from trimscribe.model.findings import Doubt, DoubtKind

_TOO_OFTEN = 5e-4  # a column is doubtful when chance alone makes it less often than this
_BY_CHANCE_ROWS = 0.07  # that two rows, of different lengths, happen to agree at a point
_CANNOT_TELL = 0.5  # when equal values are this likely, they say nothing
_FEWEST = 5  # equal values
_RUN = 4  # equal lengths one after the other, over specified lengths that differ by
_RUN_MM = 10.0


def copies(sheet: LineTable, earlier: LineTable | None, u_mm: float) -> Iterator[Doubt]:
    """Left like right, row like row, after like before, and the same length again and again.

    `u_mm` is the uncertainty of one reading: two of them agree by chance when it is small against
    the step that lengths are written in.
    """
    chance = math.erf(_step(sheet.length) / (4.0 * u_mm))
    if chance <= _CANNOT_TELL:
        yield from _sides(sheet, chance)
    yield from _rows(sheet)
    if earlier is not None:
        yield from _times(sheet, earlier)
    yield from _runs(sheet)


def _step(lengths: Floats) -> float:
    """The step in mm that all lengths are written in."""
    known = lengths[~np.isnan(lengths)]
    steps = (10.0, 5.0, 1.0, 0.5)
    return next((step for step in steps if not np.any(np.mod(known, step))), 0.1)


@lru_cache
def needed_equal(count: int, chance: float) -> int:
    """How many of `count` pairs must be equal to be more than chance."""
    tail = 0.0
    for k in range(count, -1, -1):
        tail += math.comb(count, k) * chance**k * (1.0 - chance) ** (count - k)
        if tail > _TOO_OFTEN:
            return max(k + 1, _FEWEST)
    return _FEWEST


def _sides(sheet: LineTable, chance: float) -> Iterator[Doubt]:
    left, right = sheet.length
    for group in range(len(sheet.groups)):
        equal = _equal(left[group], right[group])
        pairs = int((~np.isnan(left[group] + right[group])).sum())
        if equal >= needed_equal(pairs, chance):
            yield Doubt(
                DoubtKind.SIDES_EQUAL, f"{sheet.when}.{sheet.groups[group]}", sheet.first(1, group),
                sheet.keys(sheet.marked(slice(None), group)), other=SIDES[0].value, count=equal,
            )  # fmt: skip


def _rows(sheet: LineTable) -> Iterator[Doubt]:
    rows = [int(g) for g in np.flatnonzero(sheet.is_row)]
    for side in range(len(SIDES)):
        for one, other in combinations(rows, 2):
            first, second = sheet.length[side, one], sheet.length[side, other]
            differ = sheet.specified[one] != sheet.specified[other]
            equal = _equal(first[differ], second[differ])
            pairs = int((~np.isnan(first + second) & differ).sum())
            if equal >= needed_equal(pairs, _BY_CHANCE_ROWS):
                yield Doubt(
                    DoubtKind.ROWS_EQUAL, sheet.row_name(side, other), sheet.first(side, other),
                    sheet.keys(sheet.marked(side, other)) + sheet.keys(sheet.marked(side, one)),
                    other=sheet.groups[one], count=equal,
                )  # fmt: skip


def _times(sheet: LineTable, earlier: LineTable) -> Iterator[Doubt]:
    for side in range(len(SIDES)):
        for group in range(len(sheet.groups)):
            if pairs := pasted(sheet.length[side, group], earlier.length[side, group]):
                yield Doubt(
                    DoubtKind.TIMES_EQUAL, sheet.row_name(side, group), sheet.first(side, group),
                    sheet.keys(sheet.marked(side, group)), other=earlier.when, count=pairs,
                )  # fmt: skip


def pasted(now: Floats, then: Floats) -> int:
    """How many lengths a column has, if all are as before; some benches repeat most of them."""
    pairs = int((~np.isnan(now + then)).sum())
    return pairs if pairs > _FEWEST and _equal(now, then) == pairs else 0


def _equal(one: Floats, other: Floats) -> int:
    return int((one == other).sum())  # NaN equals nothing


def _runs(sheet: LineTable) -> Iterator[Doubt]:
    same = sheet.length[:, :, 1:] == sheet.length[:, :, :-1]
    for side, group in np.argwhere(same.any(axis=2)).tolist():
        for start, count in _stretches(same[side, group]):
            run = slice(start, start + count)
            specified = sheet.specified[group, run]
            if count >= _RUN and float(np.ptp(specified)) >= _RUN_MM:
                yield Doubt(
                    DoubtKind.REPEATED, sheet.name(side, group, start),
                    sheet.at(side, group, start), sheet.keys(sheet.marked(side, group, run)),
                    found=float(sheet.length[side, group, start]), count=count,
                )  # fmt: skip


def _stretches(same: Bools) -> Iterator[tuple[int, int]]:
    """Where equal values begin, and how many there are."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], same.astype(np.int8), [0]])))
    for start, end in edges.reshape(-1, 2).tolist():
        yield start, end - start + 1
