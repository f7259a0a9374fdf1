"""Pitch: how far the line set turns the wing nose up (+) or nose down (-)."""

import math

from trimscribe.analyse.angles import AngleGauge, effect_of
from trimscribe.model.findings import Effect, Pitch, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Band, Side

__all__ = ["band_weights", "bands_of", "effective_of", "pitch_of", "twist_of", "wing_of"]


def band_weights(thresholds: Thresholds) -> dict[Band, float]:
    """What each band does to the trim speed, as shares that add up to one."""
    weights = {
        Band.CENTRE: thresholds.band_weight_centre,
        Band.MIDDLE: thresholds.band_weight_middle,
        Band.TIP: thresholds.band_weight_tip,
    }
    return {band: weight / math.fsum(weights.values()) for band, weight in weights.items()}


def pitch_of(gauge: AngleGauge, thresholds: Thresholds) -> Pitch:
    """All angles of one measuring."""
    whole = gauge.angle()
    return Pitch(
        slope_mm_per_m=None if isinstance(whole, WhyNot) else whole.slope,
        wing=effect_of(whole, thresholds.pitch_deg),
        sides={side: effect_of(gauge.angle(side), thresholds.pitch_deg) for side in Side},
        bands=bands_of(gauge, thresholds),
        twist=twist_of(gauge, thresholds),
        effective=effective_of(gauge, thresholds),
    )


def wing_of(gauge: AngleGauge, thresholds: Thresholds) -> Effect:
    """The plain least-squares angle over all points of the wing."""
    return effect_of(gauge.angle(), thresholds.pitch_deg)


def bands_of(gauge: AngleGauge, thresholds: Thresholds) -> dict[Band, Effect]:
    """The angle of each band, both sides together."""
    return {band: effect_of(angle, thresholds.band_deg) for band, angle in gauge.by_band.items()}


def twist_of(gauge: AngleGauge, thresholds: Thresholds) -> Effect:
    """Tip minus centre in degrees, judged like a band; what a row errs by in both cancels."""
    difference = gauge.weighted({Band.CENTRE: -1.0, Band.TIP: 1.0})
    return effect_of(difference, thresholds.band_deg)


def effective_of(gauge: AngleGauge, thresholds: Thresholds) -> Effect:
    """The angle that sets the trim speed: bands by their weight, else the plain fit."""
    angle = gauge.weighted(band_weights(thresholds))
    if isinstance(angle, WhyNot):
        angle = gauge.angle()
    return effect_of(angle, thresholds.pitch_deg)
