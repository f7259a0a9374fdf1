"""Only what was changed is measured again: carrying the rest over (our own study, section 2)."""

import math
from statistics import median

import numpy as np
import scipy
from plain_cells import ROW_CHANGE, SIDE_CHANGE, U_REPEAT, rows_of
from plain_completion import error_covariance, slope_weights

SHIFT_LIMIT = 6.0  # mm, of delta
CONTROL_SPREAD = 3.13  # mm, sd of one control's change: hypot(sqrt2 u_rep, 1.0, .99)
CONTROL_LIMIT = 10.3  # mm from the controls' median, 3.3 times their spread
LOAD_SHARE = 0.1
CONTROLS_PER_SIDE = 3
KNOWN_SESSION = 3.0  # mm, default u_delta without controls


def changes(before, after, where):
    """After minus before, mm, of the given indices."""
    return [after[i].mm - before[i].mm for i in where]


def delta(before, after, controls):
    """What all readings of the second measuring have in common, from lines that did not move."""
    found = changes(before, after, controls)
    return sum(found) / len(found)


def u_delta(count, rows, repeat=U_REPEAT):
    """u of delta from K controls in q rows that hold unmoved lines.

    u^2 = 2 u_rep^2/K + 1.0/min(q,K) + .98/min(2q,K)
    """
    return math.sqrt(
        2 * repeat**2 / count + ROW_CHANGE / min(rows, count) + SIDE_CHANGE / min(2 * rows, count)
    )


def merge(before, after, moved, shift):
    """(cells, carried): moved lines as measured again less delta, others from before.

    `carried` holds the indices that are marked "carried over, not measured again".
    """
    found, carried = [], []
    for i, (old, new) in enumerate(zip(before, after, strict=True)):
        if i in moved:
            found.append(old._replace(mm=None if new.mm is None else new.mm - shift))
        else:
            found.append(old)
            carried.append(i)
    return found, carried


def merged_covariance(cells, moved, u_shift, error=None):
    """M of the merged set: M, delta's between all pairs of moved lines, the occasion's per moved
    row and per moved row and side, mm2."""
    base = error_covariance(cells) if error is None else error
    is_moved = np.array([float(i in moved) for i in range(len(cells))])
    both = np.outer(is_moved, is_moved)
    row = np.array([[float(a.row == b.row) for b in cells] for a in cells])
    side = np.array([[float(a.side == b.side) for b in cells] for a in cells])
    return base + both * (u_shift**2 + ROW_CHANGE * row + SIDE_CHANGE * row * side)


def u_slope_change(cells, moved, u_shift, repeat=U_REPEAT, weights=None):
    """u of the change of the slope (or of another linear target), per m where it is the slope.

    u^2 = 2 u_rep^2 sum w^2 + sum_r 1.0 W_r^2 + sum_rs .98 W_rs^2 + u_delta^2 (sum w)^2, moved
    lines only.
    """
    weights = slope_weights(cells) if weights is None else weights
    by_row, by_side = {}, {}
    for i in moved:
        c = cells[i]
        by_row[c.row] = by_row.get(c.row, 0.0) + weights[i]
        by_side[c.row, c.side] = by_side.get((c.row, c.side), 0.0) + weights[i]
    return math.sqrt(
        2 * repeat**2 * sum(weights[i] ** 2 for i in moved)
        + ROW_CHANGE * sum(w * w for w in by_row.values())
        + SIDE_CHANGE * sum(w * w for w in by_side.values())
        + u_shift**2 * sum(weights[i] for i in moved) ** 2
    )


def tie_fails(found):
    """Which of the three tests says "measure all again", of the controls' changes in mm.

    The sum of squares is taken about the mean, so with K - 1 degrees of freedom.
    """
    mean = sum(found) / len(found)
    middle = median(found)
    failed = []
    if abs(mean) > SHIFT_LIMIT:
        failed.append("shift")
    if any(abs(z - middle) > CONTROL_LIMIT for z in found):
        failed.append("control")
    squares = sum((z - mean) ** 2 for z in found) / CONTROL_SPREAD**2
    if len(found) > 1 and squares > scipy.stats.chi2.ppf(0.99, len(found) - 1):
        failed.append("spread")
    return failed


def controls_suffice(cells, controls, moved):
    """Controls as the study wants them: unmoved, three per side, in two rows where two rows have
    unmoved lines, none on a main line that was changed."""
    changed = {(cells[i].row, cells[i].side, cells[i].main) for i in moved}
    own = [cells[i] for i in controls]
    if any((c.row, c.side, c.main) in changed for c in own):
        return False
    if any(sum(c.side == s for c in own) < CONTROLS_PER_SIDE for s in ("left", "right")):
        return False
    still = [
        row
        for row in rows_of(cells)
        if any(c.row == row and (row, c.side, c.main) not in changed for c in cells)
    ]
    return len({c.row for c in own}) >= min(2, len(still))


def comparable(before, after):
    """Same instrument, method and end points, load within 10 %: a condition, not a test.

    Both are mappings with instrument, method, ends and load_n.
    """
    same = all(before[k] == after[k] for k in ("instrument", "method", "ends"))
    return same and abs(after["load_n"] - before["load_n"]) <= LOAD_SHARE * before["load_n"]


def without_controls(comparable_measurings, same_day, session=KNOWN_SESSION):
    """u_delta without controls, mm; None: not assessed (another day, instrument or load)."""
    return session if comparable_measurings and same_day else None
