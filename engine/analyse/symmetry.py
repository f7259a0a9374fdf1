"""The two halves of the wing against each other: right minus left, and the turn that they make.

    turn = a Da - b Dl   in deg/s, + = to the right

Da is the angle of the right half less that of the left in degrees, Dl how much longer the right
lines are in mm. A wing turns to the half that is more nose up, and to the side whose lines are all
short. How the two weigh against each other (`turn_deg_s_per_deg`, `turn_deg_s_per_mm`) is the
uncertain part: where they point to opposite sides, a side is named only if it holds for half and
for twice the ratio.
"""

import math

import numpy as np

from trimscribe.analyse.judging import assess_effect, expectation, not_assessed
from trimscribe.analyse.line_table import Bools, Floats
from trimscribe.analyse.pitch import Angle, PitchEstimator, effect_of
from trimscribe.model.findings import Effect, Expectation, Symmetry, Turn, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Side

_UNIT = "deg/s"
_NAMED = 3.0  # standard uncertainties from which a side is named
_ORDER = (Expectation.NONE, Expectation.POSSIBLE, Expectation.EXPECTED)


def symmetry_of(pitch: PitchEstimator, thresholds: Thresholds) -> Symmetry:
    """Differences between the sides of one measuring.

    The specification's rounding is the same on both sides and cancels, and so does what all lines
    share; of a row's error only the part of one side is left.
    """
    table = pitch.table
    angle, lines = _angle(pitch), _mean(pitch, table.on())
    effects = effect_of(angle, thresholds.left_right_deg), _judged_mean(lines, thresholds)
    return Symmetry(
        angle=effects[0],
        rows={
            name: _judged_mean(_mean(pitch, table.in_row(name)), thresholds)
            for name in table.row_names
        },
        all_lines=effects[1],
        turn=_turn(pitch, angle, lines, effects, thresholds),
    )


def _angle(pitch: PitchEstimator) -> Angle | WhyNot:
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


def _judged_mean(found: tuple[float, float, Floats] | WhyNot, thresholds: Thresholds) -> Effect:
    if isinstance(found, WhyNot):
        return not_assessed(found, thresholds.left_right_mm, "mm")
    value, u, _ = found
    return assess_effect(value, u, thresholds.left_right_mm, "mm")


def _turn(
    pitch: PitchEstimator,
    angle: Angle | WhyNot,
    lines: tuple[float, float, Floats] | WhyNot,
    effects: tuple[Effect, Effect],
    thresholds: Thresholds,
) -> Turn:
    """From the difference of both halves' angles, and of their lengths in mm with its weights.

    `effects` are these two by themselves.
    """
    if isinstance(angle, WhyNot):
        return _not_assessed(angle, thresholds)
    if isinstance(lines, WhyNot):
        return _not_assessed(lines, thresholds)
    mm, u_mm, mm_weights = lines
    by_length = thresholds.turn_deg_s_per_mm
    rates = {
        factor: _rate(pitch, angle, mm, mm_weights, factor * by_length, thresholds)
        for factor in (1.0 / thresholds.turn_ratio, 1.0, thresholds.turn_ratio)
    }
    value, u = rates[1.0]
    rate = assess_effect(value, u, thresholds.turn_deg_s, _UNIT)
    judged = (*effects, rate)
    if any(effect.value is None for effect in judged):
        return _not_assessed(WhyNot.TOO_UNCERTAIN, thresholds)
    strongest = max((effect.expectation for effect in judged), key=_ORDER.index)
    opposed = angle.deg * mm > 0.0 and _clear(angle.deg, angle.u_deg) and _clear(mm, u_mm)
    if opposed and strongest is not Expectation.NONE:
        weakest = min(
            (expectation(y, u_y, thresholds.turn_deg_s) for y, u_y in rates.values()),
            key=_ORDER.index,
        )
        strongest = max(Expectation.POSSIBLE, weakest, key=_ORDER.index)
    return Turn(rate, strongest, _side(rates, angle, (mm, u_mm)), opposed)


def _rate(
    pitch: PitchEstimator,
    angle: Angle,
    mm: float,
    mm_weights: Floats,
    per_mm: float,
    thresholds: Thresholds,
) -> tuple[float, float]:
    """The turn in deg/s with its uncertainty, from the lines' weights in both terms."""
    per_deg = thresholds.turn_deg_s_per_deg
    # Degrees nose up per mm/m of slope, for weights: small angles are straight lines.
    per_slope = -math.degrees(1.0 / 1000.0 / math.cos(math.radians(pitch.lean_deg)))
    target = per_deg * per_slope * angle.target - per_mm * mm_weights
    found = pitch.estimator.estimate(target, pitch.sides)
    u = found.u if not isinstance(found, WhyNot) else 0.0
    return per_deg * angle.deg - per_mm * mm, u


def _clear(value: float, u: float, bar: float = 2.0) -> bool:
    return abs(value) > bar * u


def _side(
    rates: dict[float, tuple[float, float]], angle: Angle, lengths: tuple[float, float]
) -> Side | None:
    """Where all ratios agree, and at least one of both differences or their sum is beyond 3 u.

    `lengths` is their difference in mm with its uncertainty. Three tests at 2 u would name a side
    on one perfect wing in ten.
    """
    values = [value for value, _ in rates.values()]
    value, u = rates[1.0]
    if not (min(values) > 0.0 or max(values) < 0.0):
        return None
    sign = math.copysign(1.0, value)
    mm, u_mm = lengths
    settled = (
        (_clear(angle.deg, angle.u_deg, _NAMED) and angle.deg * sign > 0.0)
        or (_clear(mm, u_mm, _NAMED) and -mm * sign > 0.0)
        or _clear(value, u, _NAMED)
    )
    if not settled:
        return None
    return Side.RIGHT if sign > 0 else Side.LEFT


def _not_assessed(why: WhyNot, thresholds: Thresholds) -> Turn:
    rate: Effect = not_assessed(why, thresholds.turn_deg_s, _UNIT)
    return Turn(rate, Expectation.NOT_ASSESSED)
