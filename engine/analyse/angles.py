"""Pitch angles of a measuring, or of the change between two, over any part of the wing."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from trimscribe.analyse.completion import Estimator
from trimscribe.analyse.effects import assess_effect, not_assessed
from trimscribe.analyse.fit import Plane, angle_deg, angle_u_deg, plane_weights
from trimscribe.analyse.line_table import Floats, LineTable
from trimscribe.analyse.uncertainty import ErrorModel
from trimscribe.model.findings import Effect, WhyNot
from trimscribe.model.wing import Band, Side


@dataclass(frozen=True, eq=False)
class Angle:
    """Degrees, + = nose up, with standard uncertainty and the slope's weights over the table.

    `slope` is in mm/m; for a change it is that of the differences.
    """

    deg: float
    u_deg: float
    slope: float
    target: Floats


@dataclass(frozen=True, eq=False)
class PitchEstimator:
    """Takes angles from a table of deviations, or of their changes since an `earlier` one.

    `sides` is how right minus left errs.
    """

    estimator: Estimator
    sides: ErrorModel
    lean_deg: float
    earlier: Estimator | None = None

    @property
    def table(self) -> LineTable:
        """The table that the angles are taken from."""
        return self.estimator.table

    @cached_property
    def plane(self) -> Plane | WhyNot:
        """The straight line through all rows of both sides."""
        return plane_weights(self.table, self.table.on())

    def angle(self, side: Side | None = None, band: Band | None = None) -> Angle | WhyNot:
        """The angle over a side and band (None = all), or why there is none."""
        if side is None and band is None:
            plane = self.plane
        else:
            plane = plane_weights(self.table, self.table.on(side, band))
        return plane if isinstance(plane, WhyNot) else self.of(plane.slope)

    def of(self, target: Floats, errors: ErrorModel | None = None) -> Angle | WhyNot:
        """The angle whose slope has these weights over the whole table."""
        found = self.estimator.estimate(target, errors)
        if isinstance(found, WhyNot):
            return found
        start = self.earlier.estimate(target) if self.earlier else 0.0
        before = 0.0 if isinstance(start, WhyNot | float) else start.value
        deg = angle_deg(before + found.value, self.lean_deg) - angle_deg(before, self.lean_deg)
        return Angle(deg, angle_u_deg(found.u, self.lean_deg), found.value, target)

    @cached_property
    def by_side(self) -> dict[Side, Angle | WhyNot]:
        """The angle of each half."""
        return {side: self.angle(side) for side in Side}

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
        target = np.sum([share * a.target for share, a in pairs], axis=0)
        joined = self.of(target)
        if isinstance(joined, WhyNot):
            return joined
        return Angle(
            deg=sum(share * a.deg for share, a in pairs),
            u_deg=joined.u_deg,
            slope=joined.slope,
            target=target,
        )


def effect_of(angle: Angle | WhyNot, threshold_deg: float) -> Effect:
    """An angle judged in degrees."""
    if isinstance(angle, WhyNot):
        return not_assessed(angle, threshold_deg, "deg")
    return assess_effect(angle.deg, angle.u_deg, threshold_deg, "deg")
