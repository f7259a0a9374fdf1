"""Cells of a line set as plain values, and the uncertainty budget that all rules share.

Source: our own study (section 0, error model). Lengths and deviations in mm, chord positions in m,
angles in degrees; + is long, + is nose up, + turns right.
"""

import math
from typing import NamedTuple


class Cell(NamedTuple):
    """One line of the specification; `mm` is measured minus specified, None where not measured."""

    row: str
    side: str  # "left" or "right"
    station: int  # from 1 at the centre outwards
    x: float  # of the attachment, m behind the leading edge
    main: int  # number of the main line within row and side
    length: float  # specified, mm
    share: float  # of the half span, 0..1
    mm: float | None = None


class Budget(NamedTuple):
    """What a reading is made of: y = d + line + row + scale * length (our own study, section 0)."""

    reading: float = 1.5
    hook_up: float = 1.14
    tension: float = 0.6
    rounding: float = 0.29
    row: float = 1.5  # the same error on all lines of a row, both sides
    scale: float = 0.12  # mm per m, all lines alike
    row_side: float = 1.0  # each row of each side by itself, where sides are compared
    stated: float | None = None  # u_rep that the job states; it replaces reading, hook-up, tension

    @property
    def repeat(self):
        """Standard deviation of the same line hooked up and read again (no rounding)."""
        if self.stated is not None:
            return self.stated
        return math.hypot(self.reading, self.hook_up, self.tension)

    @property
    def line(self):
        """u_L of a single line: repeats and rounding."""
        return math.hypot(self.repeat, self.rounding)


# As the study prints them: check values follow from these rather than from 1.998 and 1.977.
U_LINE = 2.0
U_REPEAT = 1.98
U_ROW = 1.5
SCALE = 0.12
ROW_ONCE = 0.7  # row part per occasion
SIDE_ONCE = 0.7  # row-and-side part per occasion, w
ROW_CHANGE = 1.0  # variance of a row's part in a change, mm2 (2 * .7^2, rounded by the study)
SIDE_CHANGE = 0.98  # variance of a row-and-side's part in a change, mm2


def shares(count):
    """Middles of equal parts of the half span."""
    return [(i + 0.5) / count for i in range(count)]


CHORDS = {
    2: (0.3, 1.6),
    3: (0.25, 0.9, 1.55),
    4: (0.2, 0.7, 1.2, 1.75),
    5: (0.15, 0.6, 1.0, 1.4, 1.9),
}


def study_wing(rows=3, count=12, points=3):
    """The study's test wing W, nothing measured (head of the study)."""
    found = []
    for side in ("left", "right"):
        for r, chord in enumerate(CHORDS[rows]):
            for i, t in enumerate(shares(count)):
                x = chord * (1 - 0.55 * t * t)
                length = 7300 - 450 * t * t + 25 * r
                found.append(Cell("ABCDE"[r], side, i + 1, x, i // points + 1, length, t))
    return found


def with_rows(cells, values):
    """The same cells, every line of a row deviating by the same."""
    return [c._replace(mm=None if values[c.row] is None else float(values[c.row])) for c in cells]


def without(cells, gone):
    """The same cells, not measured where `gone` says so."""
    return [c._replace(mm=None) if gone(c) else c for c in cells]


def measured(cells):
    """Indices of the cells that were measured."""
    return [i for i, c in enumerate(cells) if c.mm is not None]


def degrees(slope):
    """Angle of a slope in mm/m; + is nose up (model, section 1)."""
    return -math.degrees(math.atan(slope / 1000))


def small_degrees(mm_per_m):
    """Size of a small angle, for uncertainties."""
    return math.degrees(mm_per_m / 1000)


def rows_of(cells):
    """Names of the rows from the front."""
    return list(dict.fromkeys(c.row for c in cells))
