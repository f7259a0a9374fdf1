"""A straight line through deviations over the chord, and what its slope means as an angle.

Everything here is linear in the deviations: a fit is a set of weights over the whole table, and
`completion` says what their sum is worth.
"""

import math
from dataclasses import dataclass

import numpy as np

from trimscribe.analyse.completion import SAME_CHORD_M, rows_apart_m
from trimscribe.analyse.line_table import Bools, Floats, LineTable
from trimscribe.analyse.products import inner
from trimscribe.model.findings import WhyNot


@dataclass(frozen=True, eq=False)
class Plane:
    """Least squares over the points of a scope: weights of the slope and the mean.

    The slope is in mm per metre of chord, + = rear lines long. Weights cover the whole table and
    are 0 outside the scope.
    """

    slope: Floats
    mean: Floats
    centre_m: float

    def at(self, chord_m: float) -> Floats:
        """Weights of the fitted deviation at a chord position in metres."""
        return np.asarray(self.mean + self.slope * (chord_m - self.centre_m))


def plane_weights(table: LineTable, scope: Bools) -> Plane | WhyNot:
    """The fit over all points of `scope`, or why there is none.

    For rows of equal count at one chord position each, the slope's uncertainty is
    sqrt(u_line²/n + u_row²) / sqrt(Sxx of the rows).
    """
    if table.blocked:
        return table.blocked
    if not (scope & table.measured).any():
        return WhyNot.NOT_MEASURED
    chord = table.chord_m[scope]
    if np.isnan(chord).any():
        return WhyNot.NO_CHORD
    if rows_apart_m(table, scope) < SAME_CHORD_M:
        return WhyNot.TOO_FEW_ROWS
    slope, mean = np.zeros(len(scope)), np.zeros(len(scope))
    slope[scope], mean[scope] = slope_weights(chord), 1.0 / len(chord)
    return Plane(slope, mean, float(chord.mean()))


def slope_weights(chord_m: Floats) -> Floats:
    """Weights w with slope = sum(w d): (x - mean x) / Sxx; the positions must differ."""
    arm = chord_m - chord_m.mean()
    return np.asarray(arm / inner(arm, arm))


def angle_deg(slope: float, lean_deg: float = 0.0) -> float:
    """Pitch angle in degrees of a slope in mm/m, + = nose up: front lines long or rear short.

    `lean_deg` is the spanwise lean of the lines from the chord's normal.
    """
    tangent = slope / 1000.0 / math.cos(math.radians(lean_deg))
    return 0.0 - math.degrees(math.atan(tangent))  # 0.0 minus, so that no slope is 0, not -0


def angle_u_deg(slope_u: float, lean_deg: float = 0.0) -> float:
    """Standard uncertainty in degrees from that of the slope in mm/m."""
    return -angle_deg(slope_u, lean_deg)
