"""Sides mixed up after the work, and lines moved without entry (our own study, section 4)."""

import math
from statistics import median

from plain_cells import SIDE_ONCE, U_REPEAT

LEAST_GAIN = 6.0
ROW_ALONE = 3.0  # less for the alternative "row moved" where one row is asked about
ROW_MORE = 2.0  # more gain there: each row is asked (DEVELOPERS.md)
BESIDE = 3.8  # uncertainties of a main line against the rest of its row and side (DEVELOPERS.md)
LINE = 4.2  # the same for a single line


def variance(n, repeat=U_REPEAT):
    """v of left minus right of a main line of n points, one occasion, mm2."""
    return 2 * (repeat**2 / n + SIDE_ONCE**2)


def differences(cells):
    """{(row, main): (mean left minus right, number of pairs)} of what both sides have."""
    pairs = {}
    for c in cells:
        if c.mm is not None:
            pairs.setdefault((c.row, c.main, c.station), {})[c.side] = c.mm
    groups = {}
    for (row, main, _), both in pairs.items():
        if len(both) == 2:
            groups.setdefault((row, main), []).append(both["left"] - both["right"])
    return {k: (sum(v) / len(v), len(v)) for k, v in groups.items()}


def beyond_noise(after, expected, v):
    """tau^2: the true asymmetry's variance, what lies beyond noise, mm2."""
    excess = [(a * a + e * e) / 2 - x for a, e, x in zip(after, expected, v, strict=True)]
    return max(0.0, sum(excess) / len(excess))


def swap_gain(after, expected, v):
    """Logarithm of how much better "swapped" explains it than "as it was".

    -sum Da De 2 tau^2 / (v (v + 2 tau^2))
    """
    tau2 = beyond_noise(after, expected, v)
    return sum(
        -a * e * 2 * tau2 / (x * (x + 2 * tau2)) for a, e, x in zip(after, expected, v, strict=True)
    )


def swap_misfit(after, expected, v):
    """mean (Da + De)^2 / 2v: about 1 where the sides are swapped."""
    found = [(a + e) ** 2 / (2 * x) for a, e, x in zip(after, expected, v, strict=True)]
    return sum(found) / len(found)


def moved_gain(after, expected, v, most=math.inf):
    """The same for "these groups moved together": (sum D/2v)^2 / (2 sum 1/2v), D = Da - De.

    Where they moved by an amount that varies by `most` mm2: 1/most is added to the second sum.
    """
    top = sum((a - e) / (2 * x) for a, e, x in zip(after, expected, v, strict=True))
    return top * top / (2 * (sum(1 / (2 * x) for x in v) + 1 / most))


def swapped(groups, repeat=U_REPEAT, row_alone=False):
    """True where left and right were swapped in the second measuring.

    `groups` are (row, Da, De, n): mean left minus right after, and before including promised work.
    Alternatives: one main line, or one row of one side, moved; or each row hung otherwise, by what
    a row's side errs by each time (4 w^2 between two times and two sides; DEVELOPERS.md).
    """
    after, expected = [g[1] for g in groups], [g[2] for g in groups]
    v = [variance(g[3], repeat) for g in groups]
    gain = swap_gain(after, expected, v)
    others = [moved_gain([a], [e], [x]) for a, e, x in zip(after, expected, v, strict=True)]
    hung = 0.0
    for row in {g[0] for g in groups}:
        own = [i for i, g in enumerate(groups) if g[0] == row]
        of_row = [[q[i] for i in own] for q in (after, expected, v)]
        found = moved_gain(*of_row)
        others.append(found - ROW_ALONE if row_alone else found)
        hung += moved_gain(*of_row, most=4 * SIDE_ONCE**2)
    fits = swap_misfit(after, expected, v) <= 1 + 4 * math.sqrt(2 / len(groups))
    least = LEAST_GAIN + (ROW_MORE if row_alone else 0.0)
    return gain > least and gain > max(*others, hung) and fits


def group_limit(n, repeat=U_REPEAT, by_median=False):
    """Largest change of a main line of n points that nobody touched, mm."""
    first = 2 * repeat**2 / n * (1.25**2 if by_median else 1.0)
    return max(3.5, 3.5 * math.sqrt(first + 2 * SIDE_ONCE**2))


def stands_out(own, beside, repeat=U_REPEAT, bar=BESIDE, least=3.5):
    """Whether a main line that nobody touched moved, unlike the rest of its row and side.

    A single line needs the bar `LINE` and 8 mm. Both are changes in mm less what all share. The
    rest says with the weight h / (h + m) how far the row hung otherwise, at most 3.5 mm: h = 2 w^2,
    m = 1.25^2 2u^2 / lines (DEVELOPERS.md).
    """
    together = max(own) - min(own) <= 4 * math.sqrt(2) * repeat
    moved = sum(own) / len(own) if together else median(own)
    line = 2 * repeat**2 / len(own) * (1.0 if together else 1.25**2)
    hung = 2 * SIDE_ONCE**2
    weight = hung / (hung + 1.25**2 * 2 * repeat**2 / len(beside))
    moved -= weight * max(-3.5, min(3.5, median(beside)))
    return abs(moved) > max(least, bar * math.sqrt(line + (1 - weight) * hung))


def cell_limit(repeat=U_REPEAT):
    """The same for a single line by the study, whatever the rest of its row and side did, mm."""
    return max(8.0, 4.2 * math.sqrt(2 * repeat**2 + 2 * SIDE_ONCE**2))
