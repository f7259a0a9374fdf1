"""Pitch: how far the line set turns the wing nose up (+) or nose down (-)."""

import math
from dataclasses import replace

from trimscribe.analyse.angles import PitchEstimator, effect_of
from trimscribe.analyse.fit import angle_deg
from trimscribe.analyse.products import inner
from trimscribe.analyse.riser_effect import RiserEffect
from trimscribe.model.findings import Effect, Expectation, Pitch, RiserBasis, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Band


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


def wing_of(pitch: PitchEstimator, thresholds: Thresholds) -> Effect:
    """The plain least-squares angle over all points of the wing."""
    return effect_of(pitch.angle(), thresholds.pitch_deg)


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
