"""Whether the specification itself is plausible (our own study, section 12)."""

from statistics import median

STEP = 25.0  # mm
MEASURED_STEP = 12.0  # mm
SIDES_ALIKE = 11.3  # mm


def nearest(count, at, gone=()):
    """The four nearest points by index, the nearer to the centre first where two are as near."""
    others = [j for j in range(count) if j != at and j not in gone]
    return sorted(others, key=lambda j: (abs(j - at), j))[:4]


def parabola(points, at):
    """Value at `at` of the least-squares parabola through (index, length).

    Solved from the normal equations by Cramer's rule, indices counted from `at`, so that the
    constant is the answer. Through +-1 and +-2 it is (-L[i-2] + 4 L[i-1] + 4 L[i+1] - L[i+2]) / 6.
    """
    t = [j - at for j, _ in points]
    s = [sum(k**p for k in t) for p in range(5)]
    q = [sum(k**p * y for k, (_, y) in zip(t, points, strict=True)) for p in range(3)]

    def det(a, b, c):
        return (
            a[0] * (b[1] * c[2] - b[2] * c[1])
            - a[1] * (b[0] * c[2] - b[2] * c[0])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
        )

    one, two, three = s[0:3], s[1:4], s[2:5]
    return det(q, two, three) / det(one, two, three)


def predicted(lengths, at, gone=()):
    """What the four nearest points make of one length, mm."""
    return parabola([(j, lengths[j]) for j in nearest(len(lengths), at, gone)], at)


def residuals(lengths, gone=()):
    """e_i = L_i - prediction in mm."""
    return [length - predicted(lengths, i, gone) for i, length in enumerate(lengths)]


def misfits(rows, which, gone=(), same_points=False):
    """m_i = min(|e_i|, |e_i - c_i|), c_i the median of e_i in the other rows; `rows` are lists.

    As the study has it, c_i comes from whatever points are nearest in the other row, which are
    others near the end of a shorter row or beside a point left out: shared spacing then does not
    cancel. With `same_points` it comes from the same points (not in the study).
    """
    own, count = rows[which], len(rows[which])
    others = [row for r, row in enumerate(rows) if r != which]
    of_others = [] if same_points else [residuals(row) for row in others]
    found = []
    for i, e in enumerate(residuals(own, gone)):
        if same_points:
            near = nearest(count, i, gone)
            full = [row for row in others if max(*near, i) < len(row)]
            there = [row[i] - parabola([(j, row[j]) for j in near], i) for row in full]
        else:
            there = [e_there[i] for e_there in of_others if i < len(e_there)]
        found.append(min(abs(e), abs(e - median(there))) if there else abs(e))
    return found


def doubted(rows, which, same_points=False):
    """None, or (cell or None, prediction or None): the row is doubted, and the cell if it is clear.

    Fewer than two rows, or five points in one, are not judged.
    """
    lengths = rows[which]
    if len(rows) < 2 or min(len(row) for row in rows) < 5:
        return None
    own = misfits(rows, which, (), same_points)
    if max(own) <= STEP:
        return None
    rest = []
    for gone in range(len(lengths)):
        left = misfits(rows, which, (gone,), same_points)
        rest.append(max(m for i, m in enumerate(left) if i != gone))
    cell = min(range(len(lengths)), key=rest.__getitem__)
    if own[cell] > max(STEP, 5 * rest[cell]):
        return cell, predicted(lengths, cell)
    return None, None


def doubted_by_measuring(left, right, mains=None):
    """Points of a row whose specification is doubted by the measuring: deviations in mm per side.

    The mean of both sides at a point against the median of its neighbours +-1, +-2 is more than
    max(12, 5 * 1.4826 MAD) while the sides agree within 11.3 mm. On neither side it lies within
    half of that of a neighbour: that is a step between main lines. A point that is alone among the
    `mains`, one per point, says nothing (DEVELOPERS.md).
    """
    means = [(a + b) / 2 for a, b in zip(left, right, strict=True)]
    near = [
        [j for j in (i - 2, i - 1, i + 1, i + 2) if 0 <= j < len(left)] for i in range(len(left))
    ]
    gaps = [mean - median(means[j] for j in near[i]) for i, mean in enumerate(means)]
    middle = median(gaps)
    limit = max(MEASURED_STEP, 5 * 1.4826 * median(abs(g - middle) for g in gaps))

    def lone(i):
        steps = [abs(side[i] - side[j]) for side in (left, right) for j in near[i]]
        return min(steps) > limit / 2 and (mains is None or mains.count(mains[i]) > 1)

    return [
        i
        for i, g in enumerate(gaps)
        if abs(g) > limit and abs(right[i] - left[i]) <= SIDES_ALIKE and lone(i)
    ]
