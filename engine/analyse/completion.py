"""Estimates from the lines that were measured, also where some were not.

An estimate is a weighted sum over the whole table of deviations, such as a mean or a slope. Where
every line was measured that is all. Where some were not, each is predicted from those that were
by generalised least squares with a plane over the chord and a structure of what used line sets
look like (universal kriging; textbook). The structure only bridges gaps: a line that nobody
measured is not an average line, and the price for that is part of the uncertainty. Sizes of the
structure are judgement, named as such in the table of thresholds.
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from trimscribe.analyse.line_table import Bools, Floats, LineTable
from trimscribe.analyse.products import inner, product, solved, times
from trimscribe.analyse.uncertainty import ErrorModel, SharedEffects
from trimscribe.model.findings import WhyNot
from trimscribe.model.thresholds import Thresholds

SAME_CHORD_M = 0.01  # rows nearer than this are at one chord position
_DIGITS = 12  # of a weight: enough for any figure, and the same on every machine


@dataclass(frozen=True)
class Structure:
    """Standard deviations in mm of what true deviations of a used line set have in common."""

    row: float
    row_trend: float
    side: float
    row_side: float
    main: float
    main_side: float
    line: float

    @classmethod
    def of(cls, thresholds: Thresholds) -> "Structure":
        """The sizes that the table of thresholds holds."""
        return cls(
            thresholds.structure_row_mm,
            thresholds.structure_row_trend_mm,
            thresholds.structure_side_mm,
            thresholds.structure_row_side_mm,
            thresholds.structure_main_mm,
            thresholds.structure_main_side_mm,
            thresholds.structure_line_mm,
        )

    def effects(self, table: LineTable) -> SharedEffects:
        """What true deviations share but for the plane over the chord; each has `line` besides."""
        every = np.ones(len(table.row))
        squared = table.along**2
        counts = np.bincount(table.row)
        trend = 2.0 * (squared - (np.bincount(table.row, weights=squared) / counts)[table.row])
        return SharedEffects.of(
            [
                (self.row * every, table.row),
                (self.row_trend * trend, table.row),
                (np.where(table.right, self.side, -self.side), np.zeros_like(table.row)),
                (self.row_side * every, table.row_and_side),
                (self.main * every, table.main),
                (self.main_side * every, table.main_and_side),
            ]
        )


@dataclass(frozen=True, eq=False)
class Estimate:
    """A weighted sum in mm (or mm/m) with its standard uncertainty.

    `weights` cover the whole table and are 0 at lines that were not measured.
    """

    value: float
    u: float
    weights: Floats


@dataclass(frozen=True, eq=False)
class _Bridge:
    """What predicts the missing lines: `predictions` has a row for each, over the measured ones."""

    predictions: Floats
    missing: Bools


@dataclass(frozen=True, eq=False)
class Estimator:
    """Weighted sums over one table of deviations whose errors are known."""

    table: LineTable
    errors: ErrorModel
    structure: Structure

    def estimate(
        self, target: Floats, errors: ErrorModel | None = None, against_m: float = 0.0
    ) -> Estimate | WhyNot:
        """The sum of target × true deviation over the whole table.

        `errors` stands in for the table's where other parts of them cancel; `against_m` as in
        `ErrorModel.u`. TOO_FEW_ROWS when what was measured does not tell a plane, NO_CHORD when
        positions over the chord are missing.
        """
        errors = errors or self.errors
        if self.complete:
            value = inner(target, self.table.deviation_mm)
            return Estimate(value, errors.u(target, against_m), target)
        bridge = self.bridge
        if isinstance(bridge, WhyNot):
            return bridge
        weights = np.where(bridge.missing, 0.0, target)
        weights[~bridge.missing] += times(target[bridge.missing], bridge.predictions)
        return self.weighted(weights, target, errors, against_m)

    def weighted(
        self, weights: Floats, target: Floats, errors: ErrorModel, against_m: float = 0.0
    ) -> Estimate:
        """A sum over measured lines that stands for `target` over all of them.

        Its uncertainty takes in how far the lines that nobody measured may differ.
        """
        known = self.table.measured
        value = inner(weights[known], self.table.deviation_mm[known])
        apart = weights - target
        shared = self._structure.sums(apart)
        unknown = inner(shared, shared) + self.structure.line**2 * inner(apart, apart)
        return Estimate(value, math.sqrt(errors.u(weights, against_m) ** 2 + unknown), weights)

    @cached_property
    def complete(self) -> bool:
        """Every line of the table is known."""
        return bool(self.table.measured.all())

    @cached_property
    def bridge(self) -> _Bridge | WhyNot:
        """How missing lines are predicted, or why they cannot be."""
        table, known = self.table, self.table.measured
        if not known.any():
            return WhyNot.NOT_MEASURED
        if np.isnan(table.chord_m).any():
            return WhyNot.NO_CHORD
        if rows_apart_m(table, known) < SAME_CHORD_M:
            return WhyNot.TOO_FEW_ROWS
        own, shared = self.errors.effects
        shared = self._structure.and_of(shared)
        here, there = shared.at(known), shared.at(~known)
        plane = np.column_stack([np.ones(len(known)), table.chord_m])
        across = here.spread(there.columns().T)  # covariance of those measured with those not
        alone = own[known] + self.structure.line**2
        weighed = _inverse_times(alone, here, np.hstack([plane[known], across]))
        inverse_plane, smooth = weighed[:, :2], weighed[:, 2:].T
        fitted = solved(product(plane[known].T, inverse_plane), inverse_plane.T)
        predictions = smooth + product(plane[~known] - product(smooth, plane[known]), fitted)
        return _Bridge(np.round(predictions, _DIGITS), ~known)

    @cached_property
    def _structure(self) -> SharedEffects:
        return self.structure.effects(self.table)


def _inverse_times(own: Floats, shared: SharedEffects, columns: Floats) -> Floats:
    """The inverse of a covariance of deviations times (deviations, n).

    They vary by themselves, by `own` in mm², and by effects that they share. There are far fewer
    effects than deviations, so the inverse is taken by theirs (Woodbury's identity; textbook). Half
    of them are of one source, which has a form of its own.
    """
    finest, others = shared.finest_and_others()
    both = np.hstack([others.columns(), columns])
    by_finest = _by_one_source(own, finest, both)
    sums, count = others.sums(by_finest), others.count
    sizes = solved(np.eye(count) + sums[:, :count], sums[:, count:])
    return by_finest[:, count:] - _by_one_source(own, finest, others.spread(sizes))


def _by_one_source(own: Floats, source: SharedEffects, columns: Floats) -> Floats:
    """The same with one source, none of whose effects is felt where another is.

    Sherman and Morrison's formula for each of its groups (textbook).
    """
    weighed = columns / own[:, None]
    total = 1.0 + source.sums(source.u[0] / own)
    return weighed - source.spread(source.sums(weighed) / total[:, None]) / own[:, None]


def rows_apart_m(table: LineTable, points: Bools) -> float:
    """Metres between the foremost and the rearmost row of these points; 0 without any."""
    row = table.row[points]
    sums = np.bincount(row, weights=table.chord_m[points]).tolist()
    means = [of / n for of, n in zip(sums, np.bincount(row).tolist(), strict=True) if n]
    return max(means) - min(means) if means else 0.0
