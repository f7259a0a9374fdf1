"""When all lines may be said to share a shrinkage (our own study, section 10)."""

from statistics import median

LEAST, MOST = 15.0, 50.0  # mm
SHARE_OF_LINES = 0.8


def shared_offset(cells):
    """(shared, groups that differ): groups are (row, side); None for a small or too large offset.

    o is the median of all. Each row on each side has its mean within max(5, |o|/3) of o, and at
    least 80 % of the lines lie within max(5, |o|/3, 6) of o.
    """
    known = [c for c in cells if c.mm is not None]
    o = median(c.mm for c in known)
    if not LEAST <= abs(o) <= MOST:
        return None
    apart = []
    for group in dict.fromkeys((c.row, c.side) for c in known):
        own = [c.mm for c in known if (c.row, c.side) == group]
        if abs(sum(own) / len(own) - o) > max(5.0, abs(o) / 3):
            apart.append(group)
    near = sum(abs(c.mm - o) <= max(5.0, abs(o) / 3, 6.0) for c in known)
    return not apart and near >= SHARE_OF_LINES * len(known), apart
