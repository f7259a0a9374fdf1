"""A measurement as arrays: every row point of both sides, in one fixed order."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trimscribe.analyse.uncertainty import Floats, Ints, Shared, Spread
from trimscribe.model.findings import WhyNot
from trimscribe.model.job import Measurement
from trimscribe.model.wing import Band, Side, Specification

__all__ = ["Bools", "Floats", "Ints", "LineTable", "band_of", "line_table"]

Bools = NDArray[np.bool_]

_BANDS = tuple(Band)


@dataclass(frozen=True, eq=False)
class LineTable:
    """Row points as columns: the left side first, rows front to rear, centre to tip.

    The right half repeats the left half's layout, so a pair stands `pairs` places apart.
    `row` counts into `row_names`, `band` into `Band`, `right` is False for the left side.
    `chord_m` (metres) and `deviation_mm` (measured minus specified) hold NaN where unknown;
    `length_m` is the specified length.
    `blocked` says why no angle may be taken from the whole table, such as a wrong load.
    """

    row_names: tuple[str, ...]
    right: Bools
    row: Ints
    number: Ints
    band: Ints
    chord_m: Floats
    length_m: Floats
    deviation_mm: Floats
    blocked: WhyNot = WhyNot.ASSESSED

    def errors(self, spread: Spread, *, sides_apart: bool = False) -> tuple[Shared, ...]:
        """How deviations err together: each line alone, a row as a whole.

        `sides_apart` lets a row err on each side by itself.
        """
        row = self.row + len(self.row_names) * self.right if sides_apart else self.row
        lines = np.arange(len(self.row))
        return Shared(spread.line_mm, lines), Shared(spread.row_mm, row)

    @property
    def pairs(self) -> int:
        """How many points each side has."""
        return len(self.row) // 2

    @cached_property
    def measured(self) -> Bools:
        """Where a length was measured."""
        return np.asarray(~np.isnan(self.deviation_mm))

    @cached_property
    def whole(self) -> Bools:
        """Points of stations at which every row was measured.

        A station is one point number on one side. A station with a gap is left out of fits:
        otherwise a row's own shape along the span would read as pitch.
        """
        station = self.number * 2 + self.right
        return np.asarray(~np.isin(station, station[~self.measured]))

    @cached_property
    def paired(self) -> Bools:
        """Points of stations that are whole on both sides."""
        left, right = np.split(self.whole, 2)
        return np.tile(left & right, 2)

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


def band_of(number: int, count: int) -> Band:
    """The band of point `number` (from 1, centre) in a row of `count` points.

    A point's share of the half span is (number - 1) / (count - 1): 0 at the centre, 1 at the tip.
    Each row is shared out by its own count; a row of one point lies in the centre.
    """
    thirds = 3 * (number - 1)
    if count == 1 or thirds < count - 1:
        return Band.CENTRE
    return Band.MIDDLE if thirds < 2 * (count - 1) else Band.TIP


def line_table(
    specification: Specification, measurement: Measurement, blocked: WhyNot = WhyNot.ASSESSED
) -> LineTable:
    """The row points of a measurement; points not measured hold NaN."""
    rows = specification.rows
    left = [
        (index, point.number, band_of(point.number, len(row.lengths_mm)), chord, specified, point)
        for index, row in enumerate(rows)
        for point, specified, chord in zip(
            row.points, row.lengths_mm, _chord(row.chord_m, len(row.lengths_mm)), strict=True
        )
    ]
    deviations = [
        measurement.lengths_mm.get((side, point), np.nan) - specified
        for side in Side
        for *_, specified, point in left
    ]
    return LineTable(
        row_names=tuple(row.name for row in rows),
        right=np.repeat(np.array([False, True]), len(left)),
        row=np.tile(np.array([entry[0] for entry in left], dtype=np.int64), 2),
        number=np.tile(np.array([entry[1] for entry in left], dtype=np.int64), 2),
        band=np.tile(np.array([_BANDS.index(entry[2]) for entry in left], dtype=np.int64), 2),
        chord_m=np.tile(np.array([entry[3] for entry in left], dtype=np.float64), 2),
        length_m=np.tile(np.array([entry[4] for entry in left], dtype=np.float64) / 1000.0, 2),
        deviation_mm=np.array(deviations, dtype=np.float64),
        blocked=blocked,
    )


def _chord(chord_m: tuple[float, ...], count: int) -> tuple[float, ...]:
    return chord_m or (float("nan"),) * count
