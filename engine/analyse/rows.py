"""Rows: their mean deviation over span and side, and how far they leave a straight line."""

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from trimscribe.analyse.angles import PitchEstimator
from trimscribe.analyse.effects import judge, not_assessed
from trimscribe.analyse.fit import Plane
from trimscribe.analyse.line_table import band_of
from trimscribe.analyse.verdicts import fold
from trimscribe.model.findings import Effect, LineFinding, RowFinding, Verdict, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Band, LineGroup, Side

__all__ = ["residuals_of", "row_findings"]

_DIGITS = 9


def row_findings(
    rows: tuple[LineGroup, ...], lines: tuple[LineFinding, ...]
) -> tuple[RowFinding, ...]:
    """Every row by side (both, left, right) and band (whole span, centre, middle, tip)."""
    by_row: dict[str, list[LineFinding]] = {row.name: [] for row in rows}
    for line in lines:
        if line.point.group in by_row:
            by_row[line.point.group].append(line)
    return tuple(found for row in rows for found in _row(row, by_row[row.name]))


def _row(row: LineGroup, lines: list[LineFinding]) -> Iterator[RowFinding]:
    count = len(row.lengths_mm)
    bands = [band_of(number, count) for number in range(1, count + 1)]
    parts = {(side, band): _Part() for side in Side for band in Band}
    for line in lines:
        parts[line.side, bands[line.point.number - 1]].add(line)
    for side in (None, *Side):
        for band in (None, *Band):
            within = _Part()
            for (of_side, of_band), part in parts.items():
                if side in (None, of_side) and band in (None, of_band):
                    within.join(part)
            yield within.finding(row.name, side, band)


@dataclass
class _Part:
    """Lines of one row, summed up."""

    relative: list[float] = field(default_factory=list)
    verdicts: list[Verdict] = field(default_factory=list)
    measured: int = 0

    def add(self, line: LineFinding) -> None:
        if line.relative_mm is not None:
            self.relative.append(line.relative_mm)
        self.verdicts.append(line.verdict)
        self.measured += line.measured_mm is not None

    def join(self, other: "_Part") -> None:
        self.relative += other.relative
        self.verdicts += other.verdicts
        self.measured += other.measured

    def finding(self, row: str, side: Side | None, band: Band | None) -> RowFinding:
        verdicts = Counter(self.verdicts)
        return RowFinding(
            row=row,
            side=side,
            band=band,
            mean_mm=math.fsum(self.relative) / len(self.relative) if self.relative else None,
            # Of two equally far on both sides the first, whatever the last binary digit says.
            worst_mm=max(self.relative, key=lambda mm: round(abs(mm), _DIGITS), default=None),
            measured=self.measured,
            specified=len(self.verdicts),
            outside=sum(count for verdict, count in verdicts.items() if verdict.outside),
            verdict=fold(verdicts),
        )


def residuals_of(pitch: PitchEstimator, thresholds: Thresholds) -> dict[str, Effect]:
    """Each row's mean minus the fitted straight line in mm, + = longer than the line.

    It changes the wing's camber rather than its pitch. Fewer than three rows always lie on a
    straight line: then there is nothing to judge and the result is empty.
    """
    table, plane = pitch.table, pitch.plane
    if len(table.row_names) < 3:
        return {}
    if isinstance(plane, WhyNot):
        why = not_assessed(plane, thresholds.residual_mm, "mm")
        return dict.fromkeys(table.row_names, why)
    return {name: _residual(name, plane, pitch, thresholds) for name in table.row_names}


def _residual(name: str, plane: Plane, pitch: PitchEstimator, thresholds: Thresholds) -> Effect:
    table = pitch.table
    row = table.in_row(name)
    if not (row & table.measured).any():
        return not_assessed(WhyNot.NOT_MEASURED, thresholds.residual_mm, "mm")
    mean = np.asarray(row / row.sum())
    found = pitch.estimator.estimate(mean - plane.at(float(table.chord_m[row].mean())))
    own = pitch.estimator.estimate(mean - plane.mean)
    if isinstance(found, WhyNot) or isinstance(own, WhyNot):
        return not_assessed(WhyNot.TOO_FEW_ROWS, thresholds.residual_mm, "mm")
    # The row's own error against the others, which the fitted line takes a part of away.
    u = max(found.u, own.u)
    return judge(found.value, u, thresholds.residual_mm, "mm")
