"""Turn tendency in one unit (our own study, section 5; coefficients: model, section 4).

Da = angle of the right half minus the left's in degrees, Dl = mean of right minus left in mm,
y = 2.28 Da - .0478 Dl in deg/s; + turns right.
"""

import math

import numpy as np
from plain_cells import ROW_CHANGE, U_REPEAT, small_degrees
from plain_completion import error_covariance, side_slope_weights, side_weights

PER_DEGREE = 2.28  # deg/s per degree
PER_MM = 0.0478  # deg/s per mm: .044 * 10.87 / 10
ANGLE_LIMIT = 0.4  # degrees
LENGTH_LIMIT = 10.0  # mm
TURN_LIMIT = 1.0  # deg/s
FACTORS = (0.5, 1.0, 2.0)  # the ratio of both coefficients is the uncertain part
ROW_SIDE = 1.0  # mm, rows err on each side by themselves
ORDER = ("none", "possible", "expected")
NAMED = 3  # u from which a side is named; 2 in the study, more for three tests (DEVELOPERS.md)


def rate(angle, length, factor=1.0):
    """y in deg/s, the length's coefficient times `factor`."""
    return PER_DEGREE * angle - factor * PER_MM * length


def expectation(value, u, limit):
    """none up to T - U, expected from T + U, else possible; U = 2u (model, section 6)."""
    if abs(value) <= limit - 2 * u:
        return "none"
    return "expected" if abs(value) >= limit + 2 * u else "possible"


def uncertainties(cells, change=False, row_side=ROW_SIDE, line=U_REPEAT):
    """(u of Da, u of Dl, function factor -> u of y) from the line weights of both terms.

    What both sides share (rows, scale, rounding of the specified lengths) cancels on an even wing.
    In a change both readings count; the study's figures follow with 1.0 mm2 per row and side.
    """
    if change:
        line, row_side = math.sqrt(2) * line, math.sqrt(ROW_CHANGE)
    error = error_covariance(cells, line, 0.0, 0.0, row_side)
    by_angle = -np.array(side_slope_weights(cells)) * small_degrees(1.0)
    by_length = np.array(side_weights(cells))

    def u(weights):
        return math.sqrt(float(weights @ error @ weights))

    def u_rate(factor=1.0):
        return u(PER_DEGREE * by_angle - factor * PER_MM * by_length)

    return u(by_angle), u(by_length), u_rate


def opposed(angle, length, u_angle, u_length):
    """Angle and length point to opposite sides, both beyond their 2u."""
    return angle * length > 0 and abs(angle) > 2 * u_angle and abs(length) > 2 * u_length


def turn_expectation(angle, length, u_angle, u_length, u_rate):
    """E: the strongest of the three; softened where angle and length are opposed."""
    found = max(
        expectation(angle, u_angle, ANGLE_LIMIT),
        expectation(length, u_length, LENGTH_LIMIT),
        expectation(rate(angle, length), u_rate(1.0), TURN_LIMIT),
        key=ORDER.index,
    )
    if found == "none" or not opposed(angle, length, u_angle, u_length):
        return found
    weakest = min(
        (expectation(rate(angle, length, f), u_rate(f), TURN_LIMIT) for f in FACTORS),
        key=ORDER.index,
    )
    return max("possible", weakest, key=ORDER.index)


def turn_side(angle, length, u_angle, u_length, u_rate):
    """Where all factors agree and one quantity is beyond its 2u: "right" or "left", else "open"."""
    for side, sign in (("right", 1), ("left", -1)):
        agree = all(sign * rate(angle, length, f) > 0 for f in FACTORS)
        clear = (
            sign * angle > NAMED * u_angle
            or -sign * length > NAMED * u_length
            or sign * rate(angle, length) > NAMED * u_rate(1.0)
        )
        if agree and clear:
            return side
    return "open"


def turn(angle, length, u_angle, u_length, u_rate):
    """(y, E, side). For a change: the changes of Da and Dl with a change's uncertainties."""
    given = (angle, length, u_angle, u_length, u_rate)
    return rate(angle, length), turn_expectation(*given), turn_side(*given)
