"""Line sets drawn by chance, as the study of what may be concluded draws them.

Deviations and errors in mm, one array per line set, in the order of its cells.
"""

import sys
from pathlib import Path

import numpy as np

sys.path.append(str(Path(__file__).parents[1] / "reference"))

from plain_cells import ROW_ONCE, SCALE, SIDE_ONCE, U_LINE, U_REPEAT, U_ROW, study_wing


class Drawn:
    """The study's test wing with any number of rows, and what chance makes of it."""

    def __init__(self, rows, seed=0):
        self.cells = study_wing(rows)
        self.rows = rows
        self.random = np.random.default_rng(1000 * rows + seed)
        self.row = self.labels(lambda c: c.row)
        self.row_side = self.labels(lambda c: (c.row, c.side))
        self.main = self.labels(lambda c: (c.row, c.main))
        self.main_side = self.labels(lambda c: (c.row, c.main, c.side))
        self.sign = np.array([1.0 if c.side == "right" else -1.0 for c in self.cells])
        self.metres = np.array([c.length / 1000 for c in self.cells])
        share = np.array([c.share for c in self.cells])
        self.bend = 2 * (share**2 - np.mean(share**2))

    def labels(self, key):
        """A number per cell, the same where the key is."""
        keys = [key(c) for c in self.cells]
        order = list(dict.fromkeys(keys))
        return np.array([order.index(k) for k in keys])

    def by(self, labels, sd):
        """One draw for each label."""
        return self.random.normal(0.0, sd, labels.max() + 1)[labels]

    def structure(self, factor=1.0):
        """True deviations of a used wing (our own study, section 0; judgement)."""
        return factor * (
            self.by(self.row, 4.0)
            + self.by(self.row, 4.0) * self.bend
            + self.random.normal(0.0, 1.5) * self.sign
            + self.by(self.row_side, 2.0)
            + self.by(self.main, 2.0)
            + self.by(self.main_side, 2.0)
            + self.random.normal(0.0, 1.5, len(self.cells))
        )

    def asymmetry(self, main, row, side=0.0, uniform=0.0):
        """True deviations that differ between the sides: sds per main line, row, and all."""
        return (
            self.by(self.main_side, main)
            + self.by(self.row_side, row)
            + self.random.normal(0.0, side) * self.sign
            + uniform / 2 * self.sign
        )

    def error(self, line=U_LINE, row=U_ROW, scale=SCALE):
        """Of one measuring against the specification."""
        return (
            self.random.normal(0.0, line, len(self.cells))
            + self.by(self.row, row)
            + self.random.normal(0.0, scale) * self.metres
        )

    def occasion(self, repeat=U_REPEAT, row=ROW_ONCE, side=SIDE_ONCE):
        """What differs from one measuring of the same wing to the next."""
        return (
            self.random.normal(0.0, repeat, len(self.cells))
            + self.by(self.row, row)
            + self.by(self.row_side, side)
        )

    def with_values(self, values):
        """Cells with these deviations."""
        return [c._replace(mm=float(v)) for c, v in zip(self.cells, values, strict=True)]

    def mirrored(self, values, rows):
        """Left and right swapped in these rows, counted from 0."""
        half = len(values) // 2
        return np.where(
            np.isin(self.row, rows), np.concatenate([values[half:], values[:half]]), values
        )
