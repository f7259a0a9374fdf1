"""A straight line through deviations over the chord, and what its slope means as an angle.

Everything here is linear in the deviations, so each result carries the weights it was made with,
and its uncertainty follows from them.
"""

import math
from dataclasses import dataclass

import numpy as np

from trimscribe.analyse.line_table import Bools, Floats, LineTable
from trimscribe.analyse.uncertainty import Spread, combined_u
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
    table: LineTable

    def at(self, chord_m: float) -> float:
        """Deviation in mm of the fitted line set at a chord position in metres."""
        return self.mean_mm + self.slope * (chord_m - self.centre_m)

    def slope_u(self, spread: Spread) -> float:
        """Standard uncertainty of the slope in mm/m."""
        return weighted_u(self.slope_weights, self.table, spread)

    def at_u(self, chord_m: float, spread: Spread, against_m: float = 0.0) -> float:
        """Standard uncertainty in mm of `at`, or of its difference from a line so many m long."""
        weights = self.mean_weights + self.slope_weights * (chord_m - self.centre_m)
        return weighted_u(weights, self.table, spread, against_m)


def slope_weights(chord_m: Floats) -> Floats:
    """Weights w with slope = sum(w d): (x - mean x) / Sxx; the positions must differ."""
    arm = chord_m - chord_m.mean()
    return np.asarray(arm / (arm @ arm))


def weighted_u(
    weights: Floats,
    table: LineTable,
    spread: Spread,
    against_m: float = 0.0,
    *,
    sides_apart: bool = False,
) -> float:
    """Standard uncertainty of sum(w d): lines err alone, a row as a whole, all in proportion.

    For rows of equal count at one chord position each, the slope's is
    sqrt(u_line²/n + u_row²) / sqrt(Sxx of the rows). What all lines share shows only in so far as
    the weighted lengths don't cancel, less `against_m` for a line set against them.
    """
    scale = spread.scale_mm_per_m * (float(weights @ table.length_m) - against_m)
    return math.hypot(combined_u(weights, table.errors(spread, sides_apart=sides_apart)), scale)


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
    few = used.sum() < min_share * scope.sum()
    if few or _rows_apart(table, used) < _SAME_CHORD_M:
        # Of both reasons the one that no further measuring would mend.
        rows = _rows_apart(table, scope) < _SAME_CHORD_M
        return WhyNot.TOO_FEW_STATIONS if few and not rows else WhyNot.TOO_FEW_ROWS
    chord, deviation = table.chord_m[used], table.deviation_mm[used]
    slope, mean = np.zeros(len(used)), np.zeros(len(used))
    slope[used], mean[used] = slope_weights(chord), 1.0 / used.sum()
    return Fit(
        slope=float(slope[used] @ deviation),
        mean_mm=float(deviation.mean()),
        centre_m=float(chord.mean()),
        slope_weights=slope,
        mean_weights=mean,
        table=table,
    )


def _rows_apart(table: LineTable, points: Bools) -> float:
    """Metres between the foremost and the rearmost row of these points."""
    counts = np.bincount(table.row[points])
    sums = np.bincount(table.row[points], weights=table.chord_m[points])
    means = sums[counts > 0] / counts[counts > 0]
    return float(np.ptp(means)) if means.size else 0.0
