"""Brakes: verdict by length, handling by free travel (our own study, section 9)."""

import math

from plain_cells import SCALE, U_LINE, U_ROW
from plain_turn import expectation

SOFT = 5.0  # mm, brake lines are soft: handling only
TRAVEL_LIMIT = 20.0  # mm
LEAST_TRAVEL = 50.0  # mm of measured free travel


def edge_weights(cells, edge):
    """Weights of the line set's deviation at the trailing edge, x in m: 1/n + w (x_TE - xm)."""
    n = len(cells)
    middle = sum(c.x for c in cells) / n
    sxx = sum((c.x - middle) ** 2 for c in cells)
    return [1 / n + (c.x - middle) / sxx * (edge - middle) for c in cells]


def edge_deviation(cells, edge):
    """d_TE in mm."""
    return sum(w * c.mm for w, c in zip(edge_weights(cells, edge), cells, strict=True))


def row_sums(cells, weights):
    """W_r: the weights summed over each row."""
    found = {}
    for c, w in zip(cells, weights, strict=True):
        found[c.row] = found.get(c.row, 0.0) + w
    return found


def edge_u(cells, edge, brake_m=None, line=U_LINE, row=U_ROW, scale=SCALE):
    """u_TE in mm: lines and rows; with the brake's length in m also the scale against it.

    u^2 = sum_r W_r^2 (u_L^2/n_r + u_row^2) for rows whose lines weigh alike; here with each line's
    own weight.
    """
    weights = edge_weights(cells, edge)
    variance = line**2 * sum(w * w for w in weights)
    variance += row**2 * sum(w * w for w in row_sums(cells, weights).values())
    if brake_m is not None:
        away = sum(w * c.length / 1000 for w, c in zip(weights, cells, strict=True)) - brake_m
        variance += (scale * away) ** 2
    return math.sqrt(variance)


def edge_u_by_rows(sums, counts, line=U_LINE, row=U_ROW):
    """The same as printed, from row sums W_r and numbers of lines n_r."""
    return math.sqrt(sum(w * w * (line**2 / n + row**2) for w, n in zip(sums, counts, strict=True)))


def brake_u(length_m, n=1, u_offset=0.0, line=U_LINE, scale=SCALE):
    """u behind a brake's verdict in mm; `n` lines for a mean; an offset only where one is used."""
    return math.sqrt(line**2 / n + (scale * length_m) ** 2 + u_offset**2)


def brake_verdict(deviation, limit, offset=0.0):
    """Simple rule: length against the maker's table; the offset is 0 unless the job says that the
    maker counts brakes with the common offset."""
    return "within" if abs(deviation - offset) <= limit else "outside"


def free_travel(deviation, at_edge, u_edge):
    """(change in mm, + is more; none/possible/expected), for handling only."""
    change = deviation - at_edge
    return change, expectation(change, math.hypot(SOFT, u_edge), TRAVEL_LIMIT)


def brake_statement(verdict, travel):
    """What is said where verdict and handling disagree, else the verdict alone."""
    change, expected = travel
    if verdict == "within" and expected != "none":
        return f"as long as specified; about {abs(change):.0f} mm " + (
            "more free travel" if change > 0 else "less free travel"
        )
    if verdict == "outside" and expected == "none":
        return "outside; it moved with the line set"
    return verdict


def travel_caution(measured_travel):
    """Measured free travel outranks both; less than 50 mm is a caution."""
    return measured_travel < LEAST_TRAVEL
