"""Right minus left, from what was measured of both sides."""

import numpy as np

from trimscribe.analyse.angles import Angle, PitchEstimator
from trimscribe.analyse.effects import assess_effect, not_assessed
from trimscribe.analyse.line_table import Bools, Floats
from trimscribe.analyse.turn import turn_of
from trimscribe.model.findings import Effect, Symmetry, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Side


def symmetry_of(pitch: PitchEstimator, thresholds: Thresholds) -> Symmetry:
    """Differences between the sides of one measuring.

    The specification's rounding is the same on both sides and cancels, and so does what all lines
    share; of a row's error only the part of one side is left.
    """
    table = pitch.table
    angle, lines = side_difference(pitch), _mean(pitch, table.on())
    return Symmetry(
        angle=_judged_angle(angle, thresholds),
        rows={
            name: _judged_mean(_mean(pitch, table.in_row(name)), thresholds)
            for name in table.row_names
        },
        all_lines=_judged_mean(lines, thresholds),
        turn=turn_of(pitch, angle, lines, thresholds),
    )


def side_difference(pitch: PitchEstimator) -> Angle | WhyNot:
    """Angle of the right half minus that of the left, each by its own least squares."""
    right, left = pitch.by_side[Side.RIGHT], pitch.by_side[Side.LEFT]
    if isinstance(right, WhyNot):
        return right
    if isinstance(left, WhyNot):
        return left
    target = right.target - left.target
    found = pitch.of(target, pitch.sides)
    if isinstance(found, WhyNot):
        return found
    return Angle(right.deg - left.deg, found.u_deg, found.slope, target)


def _mean(pitch: PitchEstimator, chosen: Bools) -> tuple[float, float, Floats] | WhyNot:
    """Right minus left mean in mm over the chosen lines, with its uncertainty and weights."""
    table = pitch.table
    if table.blocked:
        return table.blocked
    right = chosen & table.right
    left = chosen & ~table.right
    if not ((table.measured & right).any() and (table.measured & left).any()):
        return WhyNot.NOT_MEASURED
    target = np.asarray(right / right.sum() - left / left.sum())
    found = pitch.estimator.estimate(target, pitch.sides)
    return found if isinstance(found, WhyNot) else (found.value, found.u, target)


def _judged_angle(angle: Angle | WhyNot, thresholds: Thresholds) -> Effect:
    if isinstance(angle, WhyNot):
        return not_assessed(angle, thresholds.left_right_deg, "deg")
    return assess_effect(angle.deg, angle.u_deg, thresholds.left_right_deg, "deg")


def _judged_mean(found: tuple[float, float, Floats] | WhyNot, thresholds: Thresholds) -> Effect:
    if isinstance(found, WhyNot):
        return not_assessed(found, thresholds.left_right_mm, "mm")
    value, u, _ = found
    return assess_effect(value, u, thresholds.left_right_mm, "mm")
