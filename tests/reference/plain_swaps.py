"""Sides mixed up after the work, and lines moved without entry (our own study, section 4)."""

import math

from plain_cells import SIDE_ONCE, U_REPEAT

LEAST_GAIN = 6.0
ROW_ALONE = 3.0  # less for the alternative "row moved" where one row is asked about


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


def moved_gain(after, expected, v):
    """The same for "these groups moved together": (sum D/2v)^2 / (2 sum 1/2v), D = Da - De."""
    top = sum((a - e) / (2 * x) for a, e, x in zip(after, expected, v, strict=True))
    return top * top / (2 * sum(1 / (2 * x) for x in v))


def swapped(groups, repeat=U_REPEAT, row_alone=False):
    """True where left and right were swapped in the second measuring.

    `groups` are (row, Da, De, n): mean left minus right after, and before including promised work.
    Alternatives: one main line, or one row of one side, moved.
    """
    after, expected = [g[1] for g in groups], [g[2] for g in groups]
    v = [variance(g[3], repeat) for g in groups]
    gain = swap_gain(after, expected, v)
    others = [moved_gain([a], [e], [x]) for a, e, x in zip(after, expected, v, strict=True)]
    for row in {g[0] for g in groups}:
        own = [i for i, g in enumerate(groups) if g[0] == row]
        found = moved_gain(*([q[i] for i in own] for q in (after, expected, v)))
        others.append(found - ROW_ALONE if row_alone else found)
    fits = swap_misfit(after, expected, v) <= 1 + 4 * math.sqrt(2 / len(groups))
    return gain > LEAST_GAIN and gain > max(others) and fits


def group_limit(n, repeat=U_REPEAT, by_median=False):
    """Largest change of a main line of n points that nobody touched, mm."""
    first = 2 * repeat**2 / n * (1.25**2 if by_median else 1.0)
    return max(3.5, 3.5 * math.sqrt(first + 2 * SIDE_ONCE**2))


def cell_limit(repeat=U_REPEAT):
    """The same for a single line, mm."""
    return max(8.0, 4.2 * math.sqrt(2 * repeat**2 + 2 * SIDE_ONCE**2))
