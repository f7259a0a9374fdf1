"""Whether all lines share what the line set is off by as a whole.

A line set that is evenly shorter has no trim effect, and saying so calms. It may be said only where
it is so: a middle value of many lines also comes of one row that is far off.
"""

import numpy as np

from trimscribe.analyse.line_table import LineTable
from trimscribe.model.findings import SharedLevel
from trimscribe.model.wing import Side

_LEAST_MM = 5.0  # a row of one side may be off this far, or a third of the level
_SHARE = 1.0 / 3.0
_LINE_MM = 6.0
_MOST = 0.8  # of all lines
_ALIKE_MM = 2.6  # by which both sides of a row of twelve differ by chance: 2 √2 hypot(2/√12, .7)


def shared_level(table: LineTable) -> SharedLevel | None:
    """The median deviation of the rows, and whether all share it; None without any length.

    Nobody knows what a row that was not measured shares.
    """
    known = table.measured
    if not known.any():
        return None
    level = float(np.median(table.deviation_mm[known]))
    near = max(_LEAST_MM, abs(level) * _SHARE)
    lists = table.row_and_side[known]
    counts = np.bincount(lists)
    sums = np.bincount(lists, weights=table.deviation_mm[known])
    apart = {
        index: float(sums[index] / counts[index]) - level
        for index in np.flatnonzero(counts).tolist()
    }
    rows = len(table.row_names)
    # Of two alike the front one, so that a mirrored wing is described mirrored.
    furthest = max(apart, key=lambda i: (round(abs(apart[i]), 6), -(i % rows), apart[i] > 0))
    close = np.abs(table.deviation_mm[known] - level) <= max(near, _LINE_MM)
    everywhere = len(apart) == 2 * rows
    if everywhere and abs(apart[furthest]) <= near and float(close.mean()) >= _MOST:
        return SharedLevel(level, shared=True)
    if abs(apart[furthest]) <= near:
        return SharedLevel(level, shared=False)
    side = Side.RIGHT if furthest >= rows else Side.LEFT
    other = apart.get((furthest + rows) % (2 * rows))
    both = other is not None and (
        abs(other - apart[furthest]) <= _ALIKE_MM
        or (abs(other) > near and other * apart[furthest] > 0)
    )
    off = (apart[furthest] + other) / 2.0 if both and other is not None else apart[furthest]
    return SharedLevel(
        level,
        shared=False,
        row=table.row_names[furthest % rows],
        side=None if both else side,
        apart_mm=off,
    )
