"""Right minus left, from lines that were measured on both sides."""

import math
from dataclasses import replace

import numpy as np

from trimscribe.analyse.angles import AngleGauge
from trimscribe.analyse.effects import judge, not_assessed
from trimscribe.analyse.fit import angle_u_deg, weighted_u
from trimscribe.analyse.line_table import Bools, LineTable
from trimscribe.analyse.uncertainty import Spread
from trimscribe.model.findings import Effect, Symmetry, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Side

__all__ = ["angle_difference", "mean_difference_u", "symmetry_of"]


def symmetry_of(gauge: AngleGauge, thresholds: Thresholds) -> Symmetry:
    """Differences between the sides of one measuring.

    The specification's rounding is the same on both sides and cancels, and so does what all lines
    share; of a row's error only the part of one side is left.
    """
    spread = replace(gauge.spread.between_equal_lines, row_mm=thresholds.u_row_side_mm)
    table = gauge.table
    left = table.row[: table.pairs]
    return Symmetry(
        angle=angle_difference(replace(gauge, spread=spread), thresholds),
        rows={
            name: _mean(table, left == index, spread, thresholds)
            for index, name in enumerate(table.row_names)
        },
        all_lines=_mean(table, np.ones(table.pairs, dtype=np.bool_), spread, thresholds),
    )


def angle_difference(gauge: AngleGauge, thresholds: Thresholds) -> Effect:
    """Angle of the right half minus that of the left, over stations whole on both, in degrees."""
    left = gauge.angle(Side.LEFT, paired=True)
    right = gauge.angle(Side.RIGHT, paired=True)
    if isinstance(left, WhyNot):
        return not_assessed(left, thresholds.left_right_deg, "deg")
    if isinstance(right, WhyNot):
        return not_assessed(right, thresholds.left_right_deg, "deg")
    weights = right.weights - left.weights
    u = weighted_u(weights, gauge.table, gauge.spread, sides_apart=True)
    u = angle_u_deg(u, gauge.lean_deg)
    return judge(right.deg - left.deg, u, thresholds.left_right_deg, "deg")


def mean_difference_u(count: int, spread: Spread) -> float:
    """Standard uncertainty in mm of a right-minus-left mean over `count` pairs of lines."""
    return math.sqrt(2.0) * math.hypot(spread.line_mm / math.sqrt(count), spread.row_mm)


def _mean(table: LineTable, chosen: Bools, spread: Spread, thresholds: Thresholds) -> Effect:
    """Mean of right minus left in mm over the chosen pairs."""
    left, right = np.split(table.deviation_mm, 2)
    difference = (right - left)[chosen]
    known = difference[~np.isnan(difference)]
    why = table.blocked
    if not why and known.size == 0:
        why = WhyNot.NOT_MEASURED
    if not why and known.size < thresholds.min_station_share * difference.size:
        why = WhyNot.TOO_FEW_STATIONS
    if why:
        return not_assessed(why, thresholds.left_right_mm, "mm")
    u = mean_difference_u(known.size, spread)
    return judge(float(known.mean()), u, thresholds.left_right_mm, "mm")
