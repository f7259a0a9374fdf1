"""One error model and one estimator for lines that were not measured (our own study, section 0).

Method: generalised least squares and kriging with a trend (universal kriging); textbook, see
test_conclusions_textbook.py for the comparison with general libraries. Matrices are the rule here.
"""

import math
from typing import NamedTuple

import numpy as np
from plain_cells import SCALE, U_LINE, U_ROW, degrees, measured, rows_of, small_degrees

LEAST_CHORD = 0.01  # m between the means of two measured rows


class Structure(NamedTuple):
    """Spread of true deviations, judgement; used only to bridge what was not measured."""

    row: float = 4.0
    trend: float = 4.0  # of a row: times 2 (t^2 - mean t^2)
    side: float = 1.5  # on all lines, + on one side and - on the other
    row_side: float = 2.0
    main: float = 2.0  # a main line on both sides
    main_side: float = 2.0
    line: float = 1.5

    def times(self, factor):
        """All of it stronger or weaker."""
        return Structure(*(factor * part for part in self))


def alike(cells, key):
    """1 where two cells share a key, else 0."""
    numbers = {}
    keys = np.array([numbers.setdefault(key(c), len(numbers)) for c in cells])
    return np.where(keys[:, None] == keys, 1.0, 0.0)


def true_covariance(cells, structure=None):
    """C: covariance of true deviations in mm2."""
    s = structure or Structure()
    shares = {}
    for c in cells:
        shares.setdefault(c.row, []).append(c.share**2)
    mean = {row: sum(own) / len(own) for row, own in shares.items()}
    bend = np.array([2 * (c.share**2 - mean[c.row]) for c in cells])
    sign = np.array([1.0 if c.side == "right" else -1.0 for c in cells])
    row = alike(cells, lambda c: c.row)
    return (
        s.row**2 * row
        + s.trend**2 * row * np.outer(bend, bend)
        + s.side**2 * np.outer(sign, sign)
        + s.row_side**2 * alike(cells, lambda c: (c.row, c.side))
        + s.main**2 * alike(cells, lambda c: (c.row, c.main))
        + s.main_side**2 * alike(cells, lambda c: (c.row, c.main, c.side))
        + s.line**2 * np.eye(len(cells))
    )


def error_covariance(cells, line=U_LINE, row=U_ROW, scale=SCALE, row_side=0.0):
    """M: covariance of reading errors in mm2; `row_side` where sides err by themselves."""
    metres = np.array([c.length / 1000 for c in cells])
    return (
        line**2 * np.eye(len(cells))
        + row**2 * alike(cells, lambda c: c.row)
        + row_side**2 * alike(cells, lambda c: (c.row, c.side))
        + scale**2 * np.outer(metres, metres)
    )


def identifiable(cells):
    """At least two measured rows whose mean chord positions differ by 0.01 m."""
    means = []
    for row in rows_of(cells):
        x = [c.x for c in cells if c.row == row and c.mm is not None]
        if x:
            means.append(sum(x) / len(x))
    return len(means) >= 2 and max(means) - min(means) >= LEAST_CHORD


def prediction(cells, truth=None, error=None):
    """P: what the readings make of each missing cell; None where not identifiable.

    b = (X'S^-1 X)^-1 X'S^-1 y over what was measured, X = [1, x]; y_m = X_m b + S_mk S_kk^-1
    (y_k - X_k b) = P y_k.
    """
    if not identifiable(cells):
        return None
    total = true_covariance(cells) if truth is None else truth
    total = total + (error_covariance(cells) if error is None else error)
    known = measured(cells)
    missing = [i for i in range(len(cells)) if i not in set(known)]
    trend = np.array([[1.0, c.x] for c in cells])
    inverse = np.linalg.inv(total[np.ix_(known, known)])
    plane = np.linalg.inv(trend[known].T @ inverse @ trend[known]) @ trend[known].T @ inverse
    carry = total[np.ix_(missing, known)] @ inverse
    return trend[missing] @ plane + carry @ (np.eye(len(known)) - trend[known] @ plane)


def complete(cells, truth=None, error=None):
    """Deviations of the whole table, gaps filled; None where not identifiable."""
    found = prediction(cells, truth, error)
    if found is None:
        return None
    known = measured(cells)
    values = found @ np.array([cells[i].mm for i in known])
    filled = iter(float(v) for v in values)
    return [c.mm if c.mm is not None else next(filled) for c in cells]


def target(cells, weights, truth=None, error=None):
    """(value, u, weights of the readings) of a linear target of the whole table.

    A = V_k + V_m P; u^2 = A S_kk A' - 2 A C[k,:] V' + V C V'. Nothing missing: u^2 = V M V', where
    the true deviations cancel. None where not identifiable.
    """
    truth = true_covariance(cells) if truth is None else truth
    error = error_covariance(cells) if error is None else error
    known = measured(cells)
    readings = np.array([cells[i].mm for i in known])
    v = np.asarray(weights, float)
    if len(known) == len(cells):
        return float(v @ readings), math.sqrt(float(v @ error @ v)), v
    found = prediction(cells, truth, error)
    if found is None:
        return None
    missing = [i for i in range(len(cells)) if i not in set(known)]
    a = v[known] + v[missing] @ found
    total = (truth + error)[np.ix_(known, known)]
    variance = a @ total @ a - 2 * a @ truth[known, :] @ v + v @ truth @ v
    return float(a @ readings), math.sqrt(max(float(variance), 0.0)), a


def mean_weights(cells):
    """V of the common offset."""
    return [1 / len(cells)] * len(cells)


def slope_weights(cells):
    """V of the slope over the whole table: (x - xb) / Sxx."""
    middle = sum(c.x for c in cells) / len(cells)
    sxx = sum((c.x - middle) ** 2 for c in cells)
    return [(c.x - middle) / sxx for c in cells]


def side_weights(cells):
    """V of the mean of the right side minus the mean of the left."""
    count = {s: sum(c.side == s for c in cells) for s in ("left", "right")}
    return [(1 if c.side == "right" else -1) / count[c.side] for c in cells]


def side_slope_weights(cells):
    """V of the slope of the right side minus the slope of the left."""
    found = [0.0] * len(cells)
    for side, sign in (("left", -1), ("right", 1)):
        own = [i for i, c in enumerate(cells) if c.side == side]
        for i, w in zip(own, slope_weights([cells[i] for i in own]), strict=True):
            found[i] = sign * w
    return found


def offset(cells, truth=None, error=None):
    """(o, u_o): the mean of the whole table in mm; None where not identifiable."""
    found = target(cells, mean_weights(cells), truth, error)
    return found and found[:2]


def angle(cells, truth=None, error=None):
    """(angle, u): of the whole table in degrees; None where not identifiable."""
    found = target(cells, slope_weights(cells), truth, error)
    return found and (degrees(found[0]), small_degrees(found[1]))
