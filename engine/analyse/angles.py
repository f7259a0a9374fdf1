"""Pitch angles of a measuring, or of the change between two, over any part of the wing."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from trimscribe.analyse.effects import judge, not_assessed
from trimscribe.analyse.fit import Fit, angle_deg, angle_u_deg, fit, weighted_u
from trimscribe.analyse.line_table import Floats, LineTable
from trimscribe.analyse.uncertainty import Spread
from trimscribe.model.findings import Effect, WhyNot
from trimscribe.model.wing import Band, Side

__all__ = ["Angle", "AngleGauge", "effect_of"]


@dataclass(frozen=True, eq=False)
class Angle:
    """Degrees, + = nose up, with standard uncertainty and the weights that made the slope.

    `slope` is in mm/m; for a change it is that of the differences.
    """

    deg: float
    u_deg: float
    slope: float
    weights: Floats


@dataclass(frozen=True, eq=False)
class AngleGauge:
    """Takes angles from a table; with an `earlier` table, their change since then.

    Both tables must hold the same measured points. `spread` is that of one deviation, or of one
    difference between the two tables.
    """

    table: LineTable
    spread: Spread
    lean_deg: float
    min_share: float
    earlier: LineTable | None = None

    def fit(self) -> Fit | WhyNot:
        """The straight line through both sides of the later table."""
        return fit(self.table, self.table.on(), self.table.whole, self.min_share)

    def angle(
        self, side: Side | None = None, band: Band | None = None, *, paired: bool = False
    ) -> Angle | WhyNot:
        """The angle over a side and band (None = all), or why there is none.

        `paired` keeps only stations that are whole on both sides, for comparing sides.
        """
        stations = self.table.paired if paired else self.table.whole
        scope = self.table.on(side, band)
        line = fit(self.table, scope, stations, self.min_share)
        if isinstance(line, WhyNot):
            return line
        deg, slope = angle_deg(line.slope, self.lean_deg), line.slope
        if self.earlier is not None:
            first = fit(self.earlier, scope, stations, self.min_share)
            if isinstance(first, WhyNot):
                return first
            deg, slope = deg - angle_deg(first.slope, self.lean_deg), slope - first.slope
        u = angle_u_deg(line.slope_u(self.spread), self.lean_deg)
        return Angle(deg, u, slope, line.slope_weights)

    @cached_property
    def by_band(self) -> dict[Band, Angle | WhyNot]:
        """The angle over each band, both sides together."""
        return {band: self.angle(band=band) for band in Band}

    def weighted(self, parts: dict[Band, float]) -> Angle | WhyNot:
        """Bands joined by weights; their uncertainty knows that they share their rows' errors."""
        angles: list[Angle] = []
        for band in parts:
            angle = self.by_band[band]
            if isinstance(angle, WhyNot):
                return angle
            angles.append(angle)
        pairs = list(zip(parts.values(), angles, strict=True))
        weights = np.sum([share * a.weights for share, a in pairs], axis=0)
        u = weighted_u(weights, self.table, self.spread)
        return Angle(
            deg=sum(share * a.deg for share, a in pairs),
            u_deg=angle_u_deg(u, self.lean_deg),
            slope=sum(share * a.slope for share, a in pairs),
            weights=weights,
        )


def effect_of(angle: Angle | WhyNot, threshold_deg: float) -> Effect:
    """An angle judged in degrees."""
    if isinstance(angle, WhyNot):
        return not_assessed(angle, threshold_deg, "deg")
    return judge(angle.deg, angle.u_deg, threshold_deg, "deg")
