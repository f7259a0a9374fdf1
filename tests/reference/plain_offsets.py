"""The common offset when only some lines were measured (our own study, sections 1 and 8)."""

import math

from plain_cells import SCALE, U_LINE, U_ROW, rows_of
from plain_completion import error_covariance, mean_weights, offset, target, true_covariance

SHARE_OF_LIMIT = 1 / 5  # u_o may be at most this share of the tolerance
SHARE_OF_ROW = 0.6


def offset_known(cells, tolerance):
    """Lines may be judged against each other: u_o <= T/5 (section 1)."""
    found = offset(cells)
    return found is not None and found[1] <= SHARE_OF_LIMIT * tolerance


def offset_known_simply(cells):
    """The same without matrices: every row on both sides, half of its points or more, one of each
    main line (section 1)."""
    for row in rows_of(cells):
        for side in ("left", "right"):
            own = [c for c in cells if (c.row, c.side) == (row, side)]
            known = [c for c in own if c.mm is not None]
            if 2 * len(known) < len(own) or {c.main for c in known} != {c.main for c in own}:
                return False
    return True


def row_offset_known(cells, row):
    """Offset of one row: at least 60 % of its points on each side (section 1)."""
    for side in ("left", "right"):
        own = [c.mm for c in cells if (c.row, c.side) == (row, side)]
        if sum(mm is not None for mm in own) < SHARE_OF_ROW * len(own):
            return False
    return True


def relative(cells, which):
    """(value, u) of one line's deviation less the common offset: V = unit - mean (section 1)."""
    weights = [-w for w in mean_weights(cells)]
    weights[which] += 1.0
    found = target(cells, weights, true_covariance(cells), error_covariance(cells))
    return found and found[:2]


def u_alone(length, line=U_LINE, row=U_ROW, scale=SCALE):
    """u of a line judged without an offset: reading, row and scale (sections 1 and 8)."""
    return math.hypot(line, row, scale * length / 1000)


def u_against_mean(n, rows, away=0.0, line=U_LINE, row=U_ROW, scale=SCALE):
    """u against the mean of n lines in rows alike; `away` is L - mean L in m (section 8)."""
    return math.sqrt(line**2 * (1 - 1 / n) + row**2 * (1 - 1 / rows) + (scale * away) ** 2)


def u_against_median(n, rows, away=0.0, line=U_LINE, row=U_ROW, scale=SCALE):
    """u against the median: a median of n errs by pi/2 of a mean's variance (section 8)."""
    own = line**2 * (1 - (2 - math.pi / 2) / n)
    return math.sqrt(own + row**2 * (1 - 1 / rows) + (scale * away) ** 2)


def u_against_own_row(n, line=U_LINE):
    """u against the mean of the line's own row of n lines (section 8)."""
    return line * math.sqrt(1 - 1 / n)


def u_against_other_row(n, line=U_LINE, row=U_ROW):
    """u against the mean of another row of n lines (section 8)."""
    return math.sqrt(line**2 * (1 + 1 / n) + 2 * row**2)
