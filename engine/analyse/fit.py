"""A straight line through deviations over the chord, and what its slope means as an angle.

Everything here is linear in the deviations, so each result carries the weights it was made with,
and its uncertainty follows from them.
"""

import math
from dataclasses import dataclass

import numpy as np

from trimscribe.analyse.line_table import Bools, Floats, Ints, LineTable
from trimscribe.analyse.uncertainty import Spread
from trimscribe.model.findings import WhyNot

__all__ = ["Fit", "angle_deg", "angle_u_deg", "fit", "slope_weights", "weighted_u"]

_SAME_CHORD_M = 0.01  # rows nearer than this stand at one chord position


@dataclass(frozen=True, eq=False)
class Fit:
    """Least squares over the used points: slope in mm per metre of chord, + = rear lines long.

    `slope_weights` and `mean_weights` cover the whole table and are 0 at points not used.
    """

    slope: float
    mean_mm: float
    centre_m: float
    slope_weights: Floats
    mean_weights: Floats
    row: Ints

    def at(self, chord_m: float) -> float:
        """Deviation in mm of the fitted line set at a chord position in metres."""
        return self.mean_mm + self.slope * (chord_m - self.centre_m)

    def slope_u(self, spread: Spread) -> float:
        """Standard uncertainty of the slope in mm/m."""
        return weighted_u(self.slope_weights, self.row, spread)

    def at_u(self, chord_m: float, spread: Spread) -> float:
        """Standard uncertainty in mm of `at`."""
        weights = self.mean_weights + self.slope_weights * (chord_m - self.centre_m)
        return weighted_u(weights, self.row, spread)


def slope_weights(chord_m: Floats) -> Floats:
    """Weights w with slope = sum(w d): (x - mean x) / Sxx; the positions must differ."""
    arm = chord_m - chord_m.mean()
    return np.asarray(arm / (arm @ arm))


def weighted_u(weights: Floats, row: Ints, spread: Spread) -> float:
    """Standard uncertainty of sum(w d) when each line errs alone and each row errs as a whole.

    For rows of equal count at one chord position each, the slope's is
    sqrt(u_line²/n + u_row²) / sqrt(Sxx of the rows).
    """
    per_row = np.bincount(row, weights=weights)
    alone = spread.line_mm**2 * float(weights @ weights)
    shared = spread.row_mm**2 * float(per_row @ per_row)
    return math.sqrt(alone + shared)


def angle_deg(slope: float, lean_deg: float = 0.0) -> float:
    """Pitch angle in degrees of a slope in mm/m, + = nose up: front lines long or rear short.

    `lean_deg` is the spanwise lean of the lines from the chord's normal.
    """
    tangent = slope / 1000.0 / math.cos(math.radians(lean_deg))
    return 0.0 - math.degrees(math.atan(tangent))  # 0.0 minus, so that no slope is 0, not -0


def angle_u_deg(slope_u: float, lean_deg: float = 0.0) -> float:
    """Standard uncertainty in degrees from that of the slope in mm/m."""
    return -angle_deg(slope_u, lean_deg)


def fit(table: LineTable, scope: Bools, stations: Bools, min_share: float) -> Fit | WhyNot:
    """Fit the points of `scope` at the given whole `stations`, or say why not.

    Not assessed when the table is blocked, nothing was measured, the specification lacks chord
    positions, fewer than two rows stand at different ones, or fewer than `min_share` of the
    scope's points stand at whole stations.
    """
    if table.blocked:
        return table.blocked
    if not (scope & table.measured).any():
        return WhyNot.NOT_MEASURED
    if np.isnan(table.chord_m[scope]).any():
        return WhyNot.NO_CHORD
    used = scope & stations
    if _rows_apart(table, scope) < _SAME_CHORD_M:
        return WhyNot.TOO_FEW_ROWS
    if used.sum() < min_share * scope.sum():
        return WhyNot.TOO_FEW_STATIONS
    if _rows_apart(table, used) < _SAME_CHORD_M:
        return WhyNot.TOO_FEW_ROWS
    chord, deviation = table.chord_m[used], table.deviation_mm[used]
    slope, mean = np.zeros(len(used)), np.zeros(len(used))
    slope[used], mean[used] = slope_weights(chord), 1.0 / used.sum()
    return Fit(
        slope=float(slope[used] @ deviation),
        mean_mm=float(deviation.mean()),
        centre_m=float(chord.mean()),
        slope_weights=slope,
        mean_weights=mean,
        row=table.row,
    )


def _rows_apart(table: LineTable, points: Bools) -> float:
    """Metres between the foremost and the rearmost row of these points."""
    means = [table.chord_m[points & (table.row == r)].mean() for r in np.unique(table.row[points])]
    return float(np.ptp(means)) if means else 0.0
