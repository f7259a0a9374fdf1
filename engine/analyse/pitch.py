"""Pitch: how far the line set turns the wing nose up (+) or nose down (-), and its speed.

A straight line is fitted to the deviations over the chord. Its slope is an angle, over any part of
the wing; what a row lies off it is camber. Everything here is linear in the deviations: a fit is a
set of weights over the whole table, and `completion` says what their sum is worth.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from trimscribe.analyse.completion import SAME_CHORD_M, Estimator, rows_apart_m
from trimscribe.analyse.judging import assess_effect, not_assessed
from trimscribe.analyse.line_table import Bools, Floats, LineTable
from trimscribe.analyse.products import inner
from trimscribe.analyse.riser_effect import RiserEffect
from trimscribe.analyse.uncertainty import ErrorModel
from trimscribe.model.findings import Effect, Expectation, Pitch, RiserBasis, SpeedRange, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Band, Side

_ROW_SHARE = 0.75  # of the points of the row that has most: fewer may lie anywhere. Judgement.


@dataclass(frozen=True, eq=False)
class Plane:
    """Least squares over the points of a scope: weights of the slope and the mean.

    The slope is in mm per metre of chord, + = rear lines long. Weights cover the whole table and
    are 0 outside the scope.
    """

    slope: Floats
    mean: Floats
    centre_m: float

    def at(self, chord_m: float) -> Floats:
        """Weights of the fitted deviation at a chord position in metres."""
        return np.asarray(self.mean + self.slope * (chord_m - self.centre_m))


def plane_weights(table: LineTable, scope: Bools) -> Plane | WhyNot:
    """The fit over all points of `scope`, or why there is none.

    For rows of equal count at one chord position each, the slope's uncertainty is
    sqrt(u_line²/n + u_row²) / sqrt(Sxx of the rows).
    """
    if table.blocked:
        return table.blocked
    if not (scope & table.measured).any():
        return WhyNot.NOT_MEASURED
    chord = table.chord_m[scope]
    if np.isnan(chord).any():
        return WhyNot.NO_CHORD
    if rows_apart_m(table, scope) < SAME_CHORD_M:
        return WhyNot.TOO_FEW_ROWS
    slope, mean = np.zeros(len(scope)), np.zeros(len(scope))
    slope[scope], mean[scope] = slope_weights(chord), 1.0 / len(chord)
    return Plane(slope, mean, float(chord.mean()))


def slope_weights(chord_m: Floats) -> Floats:
    """Weights w with slope = sum(w d): (x - mean x) / Sxx; the positions must differ."""
    arm = chord_m - chord_m.mean()
    return np.asarray(arm / inner(arm, arm))


def angle_deg(slope: float, lean_deg: float = 0.0) -> float:
    """Pitch angle in degrees of a slope in mm/m, + = nose up: front lines long or rear short.

    `lean_deg` is the spanwise lean of the lines from the chord's normal.
    """
    tangent = slope / 1000.0 / math.cos(math.radians(lean_deg))
    return 0.0 - math.degrees(math.atan(tangent))  # 0.0 minus, so that no slope is 0, not -0


def angle_u_deg(slope_u: float, lean_deg: float = 0.0) -> float:
    """Standard uncertainty in degrees from that of the slope in mm/m."""
    return -angle_deg(slope_u, lean_deg)


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
        """The angle over each band, both sides together.

        A row of far fewer points than another may end long before the tip, or stand wider.
        """
        counts = np.bincount(self.table.row)
        most = counts.max(initial=0)
        unlike = counts.min(initial=most) < _ROW_SHARE * most
        angles = {band: self.angle(band=band) for band in Band}
        return {
            band: WhyNot.ROWS_UNLIKE if unlike and isinstance(angle, Angle) else angle
            for band, angle in angles.items()
        }

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


def band_weights(thresholds: Thresholds) -> dict[Band, float]:
    """What each band does to the trim speed, as shares that add up to one."""
    weights = {
        Band.CENTRE: thresholds.band_weight_centre,
        Band.MIDDLE: thresholds.band_weight_middle,
        Band.TIP: thresholds.band_weight_tip,
    }
    return {band: weight / math.fsum(weights.values()) for band, weight in weights.items()}


def pitch_of(pitch: PitchEstimator, risers: RiserEffect, thresholds: Thresholds) -> Pitch:
    """All angles of one measuring, with what is known of the `risers`.

    Risers that nobody measured are taken to be within what makers allow. They may have been mixed
    up and be off by more: no angle is called none then, however small it comes out.
    """
    known = risers.basis in (RiserBasis.INCLUDED, RiserBasis.MEASURED)

    def reported(effect: Effect) -> Effect:
        if known or effect.expectation is not Expectation.NONE:
            return effect
        return replace(effect, expectation=Expectation.NOT_ASSESSED, why_not=WhyNot.TOO_UNCERTAIN)

    whole = pitch.angle()
    by_risers = None
    if not isinstance(whole, WhyNot) and risers.adds_mm.any():
        by_risers = angle_deg(inner(whole.target, risers.adds_mm), pitch.lean_deg)
    return Pitch(
        slope_mm_per_m=None if isinstance(whole, WhyNot) else whole.slope,
        wing=reported(effect_of(whole, thresholds.pitch_deg)),
        sides={
            side: reported(effect_of(angle, thresholds.pitch_deg))
            for side, angle in pitch.by_side.items()
        },
        bands={band: reported(effect) for band, effect in bands_of(pitch, thresholds).items()},
        twist=reported(twist_of(pitch, thresholds)),
        effective=reported(effective_of(pitch, thresholds)),
        by_risers_deg=by_risers,
    )


def bands_of(pitch: PitchEstimator, thresholds: Thresholds) -> dict[Band, Effect]:
    """The angle of each band, both sides together."""
    return {band: effect_of(angle, thresholds.band_deg) for band, angle in pitch.by_band.items()}


def twist_of(pitch: PitchEstimator, thresholds: Thresholds) -> Effect:
    """Tip minus centre in degrees, judged like a band; what a row errs by in both cancels."""
    difference = pitch.weighted({Band.CENTRE: -1.0, Band.TIP: 1.0})
    return effect_of(difference, thresholds.band_deg)


def effective_of(pitch: PitchEstimator, thresholds: Thresholds) -> Effect:
    """The angle that sets the trim speed: bands by their weight, else the plain fit."""
    angle = pitch.weighted(band_weights(thresholds))
    if isinstance(angle, WhyNot):
        angle = pitch.angle()
    return effect_of(angle, thresholds.pitch_deg)


def speed_range(
    angle: Effect | None,
    trim_speed_km_h: float | None,
    thresholds: Thresholds,
    *,
    beyond: bool = False,
) -> SpeedRange | None:
    """The change of trim speed in km/h that an angle brings: a range, never a single figure.

    + = faster; nose up is slower. Both ends are in order of size. The wing counts as rigid, the air
    as calm, brakes as slack and the accelerator as free. A range of 3.0 to 5.7 % per degree nose up
    (centre 4.2) holds a dynamics library, two flight tests and a simulation over wing shapes; it
    says nothing about stall or collapse. It was checked up to 2 degrees: beyond, only the least is
    known.

    The range takes the angle's own uncertainty U = 2 u in, so its low end is 0 when the angle might
    be. `beyond` says that a change began or ended beyond what was checked. None when the angle was
    not assessed.
    """
    if angle is None or angle.value is None:
        return None
    base = thresholds.speed_default_km_h if trim_speed_km_h is None else trim_speed_km_h
    size, guard = abs(angle.value), 2.0 * angle.u
    faster = -1.0 if angle.value > 0 else 1.0

    def change(percent_per_deg: float, deg: float) -> float:
        # `or 0.0` turns -0.0 into 0.0
        return faster * percent_per_deg / 100.0 * deg * base or 0.0

    least = min(max(size - guard, 0.0), thresholds.pitch_valid_deg)
    low = change(thresholds.speed_percent_per_deg_low, least)
    assumed = trim_speed_km_h is None
    if beyond or size > thresholds.pitch_valid_deg:
        return SpeedRange(None, low, None, base, assumed)
    return SpeedRange(
        central_km_h=change(thresholds.speed_percent_per_deg, size),
        low_km_h=low,
        high_km_h=change(thresholds.speed_percent_per_deg_high, size + guard),
        base_km_h=base,
        assumed=assumed,
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
    return assess_effect(found.value, u, thresholds.residual_mm, "mm")
