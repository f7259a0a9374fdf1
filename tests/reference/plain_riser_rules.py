"""Risers that the specified lengths do not include (our own study, section 6)."""

import math

from plain_cells import U_REPEAT, U_ROW, small_degrees
from plain_completion import error_covariance, slope_weights, target
from plain_turn import ROW_SIDE, uncertainties

RISER_U = 1.0  # mm, of one measured riser
RISER_LIMIT = 5.0  # mm, rectangular, where risers were not measured


def effective(cells, rho, included=False):
    """Cells with the riser's deviation added, for angle, symmetry, d_TE and handling's offset.

    `rho` maps (side, row) to riser measured minus specified at trim in mm. Specified lengths that
    include the risers: nothing is added. Verdicts of lines never use it.
    """
    if included:
        return list(cells)
    return [c._replace(mm=None if c.mm is None else c.mm + rho[c.side, c.row]) for c in cells]


def row_u(risers_measured, row=U_ROW):
    """u of what a row has in common, mm: one riser on each side measured, or a row's risers taken
    as alike within +-5 mm."""
    own = RISER_U / math.sqrt(2) if risers_measured else RISER_LIMIT / math.sqrt(3)
    return math.hypot(row, own)


def row_side_u(risers_measured, row_side=ROW_SIDE):
    """u of what a row of one side has by itself, mm."""
    own = RISER_U if risers_measured else RISER_LIMIT / math.sqrt(3)
    return math.hypot(row_side, own)


def angle_u(cells, risers_measured):
    """u of the angle in degrees with risers that count."""
    error = error_covariance(cells, row=row_u(risers_measured))
    full = [c._replace(mm=0.0) for c in cells]
    return small_degrees(target(full, slope_weights(full), error=error)[1])


def side_angle_u(cells, risers_measured, line=U_REPEAT):
    """u of the angle between the sides in degrees with risers that count."""
    return uncertainties(cells, row_side=row_side_u(risers_measured), line=line)[0]


def turn_assessed(u_angle, limit):
    """Not assessed where the uncertainty alone fills the limit: 2u > T."""
    return 2 * u_angle <= limit
