"""The ledger when nearly all lines were moved (our own study, section 3)."""

import math
from statistics import median

from plain_cells import ROW_ONCE, SIDE_CHANGE, SIDE_ONCE, U_REPEAT

LEAST_UNTOUCHED = 5
SESSION = 1.5  # mm, u of the shift when nothing else is known
LEAST_GAP = 3.5  # mm


def shift(untouched, same_session, repeat=U_REPEAT):
    """(value, u) of the session's shift in mm; None: the amount common to all is not assessed.

    `untouched` holds the changes of lines that nobody touched. With five or more their median; with
    fewer 0, if instrument, load, hook-up and day are the same. Never the median of the rest.
    """
    if len(untouched) >= LEAST_UNTOUCHED:
        own = 1.25 * math.sqrt(2) * repeat / math.sqrt(len(untouched))
        return median(untouched), math.hypot(own, ROW_ONCE)
    return (0.0, SESSION) if same_session else None


def entry_limit(n, u_shift, repeat=U_REPEAT):
    """Largest |gap| of a main line of n points that moved as planned, mm."""
    spread = 2 * repeat**2 / n + 2 * SIDE_ONCE**2 + u_shift**2
    return max(LEAST_GAP, 3.5 * math.sqrt(spread))


def common_limit(lines, rows, u_shift, repeat=U_REPEAT):
    """Largest |mean gap| of all entries together, mm; `lines` is their number of points, 3 G."""
    spread = 2 * repeat**2 / lines + SIDE_CHANGE / (2 * rows) + u_shift**2
    return 3 * math.sqrt(spread)


def assess(entries, untouched, same_session, repeat=U_REPEAT):
    """What may be said of adjusted main lines.

    `entries` are (row, planned, changes of its points), mm. Returns one word per entry and one for
    what they share: "within", "outside" or "not assessed". A plan below the common limit cannot be
    confirmed from lengths. Where the shift is not known, only differences between lines remain.
    """
    known = shift(untouched, same_session, repeat)
    gaps = [sum(found) / len(found) - planned for _, planned, found in entries]
    if known is None:
        middle, u = median(gaps), 0.0
        single = [
            "within" if abs(g - middle) <= entry_limit(len(f), u, repeat) else "outside"
            for g, (_, _, f) in zip(gaps, entries, strict=True)
        ]
        return single, "not assessed"
    value, u = known
    gaps = [g - value for g in gaps]
    single = [
        "within" if abs(g) <= entry_limit(len(f), u, repeat) else "outside"
        for g, (_, _, f) in zip(gaps, entries, strict=True)
    ]
    points = sum(len(f) for _, _, f in entries)
    limit = common_limit(points, len({r for r, _, _ in entries}), u, repeat)
    mean = sum(gaps) / len(gaps)
    plan = sum(abs(p) for _, p, _ in entries) / len(entries)
    if abs(mean) > limit:
        return single, "outside"
    return single, "within" if plan >= limit else "not assessed"
