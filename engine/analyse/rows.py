"""Rows: their mean deviation over span and side, and how far they leave a straight line."""

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from trimscribe.analyse.angles import PitchEstimator
from trimscribe.analyse.effects import assess_effect, not_assessed
from trimscribe.analyse.fit import Plane
from trimscribe.analyse.line_table import band_of
from trimscribe.analyse.verdicts import fold
from trimscribe.model.findings import Effect, LineFinding, RowFinding, Verdict, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Band, LineGroup, Side

_HAIR = 1e-9  # mm


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
    parts: dict[tuple[Side, Band], list[LineFinding]] = {(s, b): [] for s in Side for b in Band}
    for line in lines:
        parts[line.side, bands[line.point.number - 1]].append(line)
    summed = {key: _Part.of(part) for key, part in parts.items()}
    for side in (None, *Side):
        for band in (None, *Band):
            within = [
                part
                for (of_side, of_band), part in summed.items()
                if side in (None, of_side) and band in (None, of_band)
            ]
            yield _finding(row.name, side, band, within)


@dataclass(frozen=True)
class _Part:
    """Lines of one row, side and band, summed up."""

    relative: list[float]
    measured: int
    verdicts: Counter[Verdict]

    @classmethod
    def of(cls, lines: list[LineFinding]) -> "_Part":
        return cls(
            [x.relative_mm for x in lines if x.relative_mm is not None],
            len([x for x in lines if x.measured_mm is not None]),
            Counter([x.verdict for x in lines]),
        )


def _finding(row: str, side: Side | None, band: Band | None, parts: list[_Part]) -> RowFinding:
    relative = [mm for part in parts for mm in part.relative]
    return RowFinding(
        row=row,
        side=side,
        band=band,
        mean_mm=math.fsum(relative) / len(relative) if relative else None,
        worst_mm=_worst(relative),
        measured=sum(part.measured for part in parts),
        specified=sum(part.verdicts.total() for part in parts),
        outside=sum(n for part in parts for v, n in part.verdicts.items() if v.outside),
        verdict=fold(verdict for part in parts for verdict in part.verdicts),
    )


def _worst(relative: list[float]) -> float | None:
    """Of two equally far on both sides the first, whatever the last binary digit says."""
    furthest = max(map(abs, relative), default=0.0) - _HAIR
    return next((mm for mm in relative if abs(mm) >= furthest), None)


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
    return assess_effect(found.value, u, thresholds.residual_mm, "mm")
