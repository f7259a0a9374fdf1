"""Pitch: how far the line set turns the wing nose up (+) or nose down (-)."""

import math

from trimscribe.analyse.angles import AngleGauge, effect_of
from trimscribe.analyse.effects import judge, not_assessed
from trimscribe.model.findings import Effect, Pitch, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Band, Side

__all__ = ["BAND_WEIGHTS", "bands_of", "effective_of", "pitch_of", "twist_of", "wing_of"]

# What each band does to the trim speed: one degree nose up in that band alone against one degree
# of the whole wing, in a paraglider dynamics library.
BAND_WEIGHTS = {Band.CENTRE: 0.49, Band.MIDDLE: 0.37, Band.TIP: 0.14}


def pitch_of(gauge: AngleGauge, thresholds: Thresholds) -> Pitch:
    """All angles of one measuring."""
    whole = gauge.angle()
    bands = bands_of(gauge, thresholds)
    return Pitch(
        slope_mm_per_m=None if isinstance(whole, WhyNot) else whole.slope,
        wing=effect_of(whole, thresholds.pitch_deg),
        sides={side: effect_of(gauge.angle(side), thresholds.pitch_deg) for side in Side},
        bands=bands,
        twist=twist_of(bands, thresholds),
        effective=effective_of(gauge, thresholds),
    )


def wing_of(gauge: AngleGauge, thresholds: Thresholds) -> Effect:
    """The plain least-squares angle over all points of the wing."""
    return effect_of(gauge.angle(), thresholds.pitch_deg)


def bands_of(gauge: AngleGauge, thresholds: Thresholds) -> dict[Band, Effect]:
    """The angle of each band, both sides together."""
    return {band: effect_of(gauge.angle(band=band), thresholds.band_deg) for band in Band}


def twist_of(bands: dict[Band, Effect], thresholds: Thresholds) -> Effect:
    """Tip minus centre in degrees, judged like a band; the two count as independent."""
    tip, centre = bands[Band.TIP], bands[Band.CENTRE]
    if tip.value is None or centre.value is None:
        why = centre.why_not or tip.why_not
        return not_assessed(why, thresholds.band_deg, "deg")
    u = math.hypot(tip.u, centre.u)
    return judge(tip.value - centre.value, u, thresholds.band_deg, "deg")


def effective_of(gauge: AngleGauge, thresholds: Thresholds) -> Effect:
    """The angle that sets the trim speed: bands by their weight, else the plain fit."""
    angle = gauge.weighted(BAND_WEIGHTS)
    if isinstance(angle, WhyNot):
        angle = gauge.angle()
    return effect_of(angle, thresholds.pitch_deg)
