"""Speed ranges, rounded outwards (our own study, section 11; coefficients: model, section 2)."""

import math

LEAST, MOST = 0.030, 0.057  # of the speed, per degree
VALID = 2.0  # degrees


def computed(angle, u, speed):
    """(low, high) in the unit of `speed`, before rounding; U = 2u."""
    low = LEAST * max(abs(angle) - 2 * u, 0.0) * speed
    return low, MOST * (abs(angle) + 2 * u) * speed


def printed(angle, u, speed, beyond=None):
    """(low, high) as printed; low 0 is "up to"; beyond two degrees high is None: "at least".

    `beyond` says so for a change, where the angle before or after is what counts.
    """
    if abs(angle) > VALID if beyond is None else beyond:
        return math.floor(2 * LEAST * min(abs(angle) - 2 * u, VALID) * speed) / 2, None
    low, high = computed(angle, u, speed)
    return math.floor(2 * low + 1e-9) / 2, math.ceil(2 * high - 1e-9) / 2


def change_beyond(before, after):
    """A change counts as beyond where before or after is."""
    return max(abs(before), abs(after)) > VALID
