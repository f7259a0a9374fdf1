"""Cells with their errors, and any linear target of them (our own study, sections 0 and 7)."""

import math
from typing import NamedTuple

import numpy as np
from plain_cells import rows_of
from plain_completion import Structure, alike, identifiable, prediction, true_covariance

SAME_CHORD = 0.01  # m


class Errors(NamedTuple):
    """Covariance in mm2 without what all lines share, and that in mm per m of length."""

    matrix: np.ndarray
    scale: float


def errors(cells, parts, scale):
    """Errors from (u of each cell or of all, key of those that share it)."""
    total = np.zeros((len(cells), len(cells)))
    for u, key in parts:
        each = np.broadcast_to(np.asarray(u, float), len(cells))
        total = total + np.outer(each, each) * alike(cells, key)
    return Errors(total, scale)


def each_line(c):
    """Every line errs by itself."""
    return c.row, c.side, c.station


def each_row(c):
    """Both sides of a row err together."""
    return c.row


def each_row_and_side(c):
    """One side of a row errs together."""
    return c.row, c.side


class Table:
    """Cells whose errors are known."""

    def __init__(self, cells, error, t, blocked=""):
        self.cells, self.error, self.t, self.blocked = cells, error, t, blocked
        self.metres = np.array([c.length / 1000 for c in cells])
        self.known = np.array([c.mm is not None for c in cells])
        self.complete = bool(self.known.all())
        self.why, self.truth = "", None
        if not self.complete:
            self._bridge()

    def _bridge(self):
        if not self.known.any():
            self.why = "not measured"
        elif any(math.isnan(c.x) for c in self.cells):
            self.why = "chord positions not given"
        elif not identifiable(self.cells):
            self.why = "fewer than two rows at different chord positions"
        t = self.t
        sizes = Structure(
            t.structure_row_mm,
            t.structure_row_trend_mm,
            t.structure_side_mm,
            t.structure_row_side_mm,
            t.structure_main_mm,
            t.structure_main_side_mm,
            t.structure_line_mm,
        )
        self.truth = true_covariance(self.cells, sizes)
        if not self.why:
            self.carry = prediction(self.cells, self.truth, self.whole(self.error))

    def whole(self, error):
        """M: all errors."""
        return error.matrix + error.scale**2 * np.outer(self.metres, self.metres)

    def estimate(self, target, error=None, against=0.0):
        """(value, u, weights of the readings over all cells), or why there is none."""
        target = np.asarray(target, float)
        weights = target
        if not self.complete:
            if self.why:
                return self.why
            weights = np.where(self.known, target, 0.0)
            weights[self.known] += target[~self.known] @ self.carry
        return self.weighted(weights, target, error, against)

    def weighted(self, weights, target, error=None, against=0.0):
        """The same where the weights of the readings are given.

        u^2 = A S_kk A' - 2 A C[k,:] V' + V C V'; what all share counts less `against` metres.
        """
        error = error or self.error
        value = math.fsum(
            w * c.mm for w, c in zip(weights, self.cells, strict=True) if c.mm is not None
        )
        variance = float(weights @ error.matrix @ weights)
        variance += (error.scale * (float(weights @ self.metres) - against)) ** 2
        if not self.complete:
            truth, k = self.truth, self.known
            variance += float(
                weights[k] @ truth[np.ix_(k, k)] @ weights[k]
                - 2 * weights[k] @ truth[k, :] @ target
                + target @ truth @ target
            )
        return value, math.sqrt(max(variance, 0.0)), weights

    def completed(self):
        """All deviations, gaps filled; those measured where that cannot be."""
        known = [c.mm for c in self.cells if c.mm is not None]
        if self.complete or self.why:
            return known
        return [*known, *(self.carry @ np.array(known))]

    def share(self, keep):
        """Weights of the mean over some cells."""
        chosen = np.array([float(bool(keep(c))) for c in self.cells])
        return chosen / chosen.sum()

    def plane(self, keep):
        """(weights of the slope, of the mean, centre) of least squares, or why there is none."""
        chosen = np.array([bool(keep(c)) for c in self.cells])
        own = [c for c, yes in zip(self.cells, chosen, strict=True) if yes]
        if self.blocked:
            return self.blocked
        if all(c.mm is None for c in own):
            return "not measured"
        if any(math.isnan(c.x) for c in own):
            return "chord positions not given"
        means = [np.mean([c.x for c in own if c.row == row]) for row in rows_of(own)]
        if max(means) - min(means) < SAME_CHORD:
            return "fewer than two rows at different chord positions"
        middle = sum(c.x for c in own) / len(own)
        sxx = sum((c.x - middle) ** 2 for c in own)
        slope = np.array(
            [
                (c.x - middle) / sxx if yes else 0.0
                for c, yes in zip(self.cells, chosen, strict=True)
            ]
        )
        return slope, chosen / len(own), middle
