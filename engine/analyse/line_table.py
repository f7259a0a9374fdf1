"""A measurement as arrays: every row point of both sides, in one fixed order."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trimscribe.analyse.uncertainty import Floats, Ints
from trimscribe.model.findings import WhyNot
from trimscribe.model.wing import Band, Point, Side, Specification

__all__ = ["Bools", "Floats", "Ints", "LineTable", "band_of", "line_table"]

Bools = NDArray[np.bool_]
Key = tuple[Side, Point]

_BANDS = tuple(Band)


@dataclass(frozen=True, eq=False)
class LineTable:
    """Row points as columns: the left side first, rows front to rear, centre to tip.

    The right half repeats the left half's layout, so a pair is `pairs` places apart.
    `line_keys` names each column by its side and point. `row` counts into `row_names`, `band` into
    `Band`, `main` counts the main lines of each row (a point that no main line of the cascade
    carries is one of its own); `right` is False for the left side. `along` is the share of the half
    span of each point within its row: (number - 1/2) / count. `chord_m` (metres) and `deviation_mm`
    (measured minus specified) hold NaN where unknown.
    `blocked` says why no angle may be taken from the whole table, such as a wrong load.
    """

    row_names: tuple[str, ...]
    line_keys: tuple[Key, ...]
    right: Bools
    row: Ints
    number: Ints
    main: Ints
    band: Ints
    along: Floats
    chord_m: Floats
    specified_mm: Floats
    deviation_mm: Floats
    blocked: WhyNot = WhyNot.ASSESSED

    @cached_property
    def length_m(self) -> Floats:
        """Specified lengths in metres."""
        return np.asarray(self.specified_mm / 1000.0)

    @property
    def pairs(self) -> int:
        """How many points each side has."""
        return len(self.row) // 2

    @cached_property
    def measured(self) -> Bools:
        """Where a length is known."""
        return np.asarray(~np.isnan(self.deviation_mm))

    @cached_property
    def row_and_side(self) -> Ints:
        """Counts the rows of the left side, then those of the right."""
        return np.asarray(self.row + len(self.row_names) * self.right)

    @cached_property
    def main_and_side(self) -> Ints:
        """Counts the main lines of the left side, then those of the right."""
        return np.asarray(self.main + (int(self.main.max(initial=-1)) + 1) * self.right)

    def on(self, side: Side | None = None, band: Band | None = None) -> Bools:
        """Points of one side and band; None means all of them."""
        chosen = np.ones(len(self.row), dtype=np.bool_)
        if side is not None:
            chosen &= self.right == (side is Side.RIGHT)
        if band is not None:
            chosen &= self.band == _BANDS.index(band)
        return chosen

    def in_row(self, name: str) -> Bools:
        """Points of one row."""
        return np.asarray(self.row == self.row_names.index(name))

    def with_lengths(self, lengths_mm: Mapping[Key, float], blocked: WhyNot) -> "LineTable":
        """The same lines as measured another time."""
        found = [lengths_mm.get(key, math.nan) for key in self.line_keys]
        deviations = np.array(found, dtype=np.float64) - self.specified_mm
        return replace(self, deviation_mm=deviations, blocked=blocked)


def band_of(number: int, count: int) -> Band:
    """The band of point `number` (from 1, centre) in a row of `count` points.

    A point's share of the half span is (number - 1) / (count - 1): 0 at the centre, 1 at the tip.
    The centre is below a third, the middle up to two thirds. Each row is shared out by its own
    count; a row of one point lies in the centre.
    """
    thirds = 3 * (number - 1)
    if count == 1 or thirds < count - 1:
        return Band.CENTRE
    return Band.MIDDLE if thirds <= 2 * (count - 1) else Band.TIP


def line_table(
    specification: Specification,
    lengths_mm: Mapping[Key, float],
    blocked: WhyNot = WhyNot.ASSESSED,
) -> LineTable:
    """The row points of a measurement; points not measured hold NaN."""
    rows = specification.rows
    points: list[Point] = []
    row: list[int] = []
    bands: list[int] = []
    along: list[float] = []
    chord_m: list[float] = []
    specified_mm: list[float] = []
    for index, group in enumerate(rows):
        count = len(group.lengths_mm)
        points += group.points
        row += [index] * count
        along += [(number - 0.5) / count for number in range(1, count + 1)]
        bands += [_BANDS.index(band_of(number, count)) for number in range(1, count + 1)]
        chord_m += _chord(group.chord_m, count)
        specified_mm += group.lengths_mm
    layout = LineTable(
        row_names=tuple(group.name for group in rows),
        line_keys=tuple((side, point) for side in Side for point in points),
        right=np.repeat(np.array([False, True]), len(points)),
        row=_both_sides(np.array(row, dtype=np.int64)),
        number=_both_sides(np.array([point.number for point in points], dtype=np.int64)),
        main=_both_sides(_main_lines(specification, points)),
        band=_both_sides(np.array(bands, dtype=np.int64)),
        along=np.tile(np.array(along, dtype=np.float64), 2),
        chord_m=np.tile(np.array(chord_m, dtype=np.float64), 2),
        specified_mm=np.tile(np.array(specified_mm, dtype=np.float64), 2),
        deviation_mm=np.full(2 * len(points), np.nan),
    )
    return layout.with_lengths(lengths_mm, blocked)


def _both_sides(values: Ints) -> Ints:
    return np.tile(values, 2)


def _main_lines(specification: Specification, points: list[Point]) -> Ints:
    """Of each point, which main line of its row carries it, counted over all rows."""
    carried_by = {
        point: line.name
        for line in specification.cascade
        if line.parent is None
        for point in line.points
    }
    seen: dict[tuple[str, str], int] = {}
    return np.array(
        [
            seen.setdefault((point.group, carried_by.get(point, f"{point} alone")), len(seen))
            for point in points
        ],
        dtype=np.int64,
    )


def _chord(chord_m: tuple[float, ...], count: int) -> tuple[float, ...]:
    return chord_m or (float("nan"),) * count
