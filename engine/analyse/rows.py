"""Rows: their mean deviation over span and side, and how far they leave a straight line."""

import math

import numpy as np

from trimscribe.analyse.angles import AngleGauge
from trimscribe.analyse.effects import judge, not_assessed
from trimscribe.analyse.fit import Fit
from trimscribe.analyse.line_table import LineTable, band_of
from trimscribe.analyse.verdicts import fold
from trimscribe.model.findings import Effect, LineFinding, RowFinding, Verdict, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Band, LineGroup, Side

__all__ = ["residuals_of", "row_findings"]


def row_findings(
    rows: tuple[LineGroup, ...], lines: tuple[LineFinding, ...]
) -> tuple[RowFinding, ...]:
    """Every row by side (both, left, right) and band (whole span, centre, middle, tip)."""
    return tuple(
        _finding(row, side, band, [x for x in lines if x.point.group == row.name])
        for row in rows
        for side in (None, *Side)
        for band in (None, *Band)
    )


def _finding(
    row: LineGroup, side: Side | None, band: Band | None, lines: list[LineFinding]
) -> RowFinding:
    count = len(row.lengths_mm)
    chosen = [
        x
        for x in lines
        if (side is None or x.side is side)
        and (band is None or band_of(x.point.number, count) is band)
    ]
    relative = [x.relative_mm for x in chosen if x.relative_mm is not None]
    return RowFinding(
        row=row.name,
        side=side,
        band=band,
        mean_mm=math.fsum(relative) / len(relative) if relative else None,
        worst_mm=max(relative, key=abs, default=None),
        measured=sum(x.measured_mm is not None for x in chosen),
        specified=len(chosen),
        outside=sum(x.verdict is Verdict.FAIL for x in chosen),
        verdict=fold(x.verdict for x in chosen),
    )


def residuals_of(gauge: AngleGauge, thresholds: Thresholds) -> dict[str, Effect]:
    """Each row's mean minus the fitted straight line in mm, + = longer than the line.

    It changes the wing's camber rather than its pitch. Fewer than three rows always lie on a
    straight line: then there is nothing to judge and the result is empty.
    """
    table = gauge.table
    if len(table.row_names) < 3:
        return {}
    line = gauge.fit()
    if isinstance(line, WhyNot):
        why = not_assessed(line, thresholds.residual_mm, "mm")
        return dict.fromkeys(table.row_names, why)
    return {name: _residual(table, name, line, gauge, thresholds) for name in table.row_names}


def _residual(
    table: LineTable, name: str, line: Fit, gauge: AngleGauge, thresholds: Thresholds
) -> Effect:
    used = table.in_row(name) & table.whole
    if not used.any():
        return not_assessed(WhyNot.NOT_MEASURED, thresholds.residual_mm, "mm")
    fitted = line.at(float(np.mean(table.chord_m[used])))
    # The row mean's own uncertainty; that of the line, a part of it, is left in.
    u = math.hypot(gauge.spread.line_mm / math.sqrt(used.sum()), gauge.spread.row_mm)
    value = float(np.mean(table.deviation_mm[used])) - fitted
    return judge(value, u, thresholds.residual_mm, "mm")
