"""The handling estimate against a vortex lattice (the library aerosandbox), for tests only.

A paraglider's wing as a circular arc of 11.2 m flat span, flat 1/0.85 times as wide as projected,
elliptic in plan with 45 % chord at the tips. The lattice is inviscid: a real wing lifts about a
tenth less.
"""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from trimscribe.model.thresholds import Thresholds

pytestmark = pytest.mark.slow  # to load the library
SPAN_M, FLAT_TO_PROJECTED, TIP = 11.2, 0.85, 0.45
LIFT = 0.645  # coefficient at trim: 95 kg, 21.25 m², 10.5 m/s; the study, section 10
FOLLOWING = 1.1  # degrees of incidence per degree of trim; the study, section 10
VISCOUS = 0.90  # of the inviscid slope; the study, section 2
BANDS = ((0.0, 1 / 3), (1 / 3, 2 / 3), (2 / 3, 1.01))


def arc_angle() -> float:
    """Half the angle of the arc: sin(T) / T is projected over flat span."""
    angle = 1.0
    for _ in range(50):
        error = math.sin(angle) / angle - FLAT_TO_PROJECTED
        angle -= error / ((math.cos(angle) * angle - math.sin(angle)) / angle**2)
    return angle


def wing(twist_deg: Callable[[float], float] = lambda share: 0.0) -> Any:
    """The wing; twist in degrees by share of the half span, + = nose up."""
    import aerosandbox as asb

    angle, root = arc_angle(), SPAN_M / 4.8 * 1.18
    radius = SPAN_M / 2 / angle
    sections = []
    for share in np.linspace(0.0, 1.0, 25):
        chord = root * math.sqrt(1 - (1 - TIP**2) * share**2)
        place = [0.25 * (root - chord), radius * math.sin(share * angle),
                 radius * (math.cos(share * angle) - 1)]  # fmt: skip
        sections.append(
            asb.WingXSec(place, chord, twist_deg(share), airfoil=asb.Airfoil("naca2415"))
        )
    return asb.Wing(symmetric=True, xsecs=sections)


def lift(shape: Any, incidence_deg: float) -> float:
    """Lift coefficient on the projected area."""
    import aerosandbox as asb

    plane = asb.Airplane(wings=[shape], s_ref=shape.area(type="xy"))
    flow = asb.OperatingPoint(velocity=10.5, alpha=incidence_deg)
    lattice = asb.VortexLatticeMethod(plane, flow, spanwise_resolution=1, chordwise_resolution=4)
    return float(lattice.run()["CL"])


@pytest.fixture(scope="module")
def slope_per_rad() -> float:
    shape = wing()
    return (lift(shape, 7.0) - lift(shape, 5.0)) / math.radians(2.0)


def test_lift_slope_agrees_with_the_arched_low_aspect_formula(slope_per_rad: float) -> None:
    """The study, section 2 (Helmbold with arc factors), eta = 1 and a0 = 2π: ratio 1.04 there."""
    angle = arc_angle()
    cos_mean, cos2_mean = math.sin(angle) / angle, 0.5 + math.sin(2 * angle) / (4 * angle)
    aspect = (SPAN_M * FLAT_TO_PROJECTED) ** 2 / wing().area(type="xy")
    section = 2 * math.pi * cos2_mean / cos_mean
    r = section / (math.pi * aspect)
    formula = section / (math.sqrt(1 + r * r) + r)

    assert aspect == pytest.approx(4.0, abs=0.05)
    assert formula / slope_per_rad == pytest.approx(1.0, abs=0.05)


def test_loss_of_speed_per_degree_lies_in_the_range_that_the_report_uses(
    slope_per_rad: float,
) -> None:
    """Weight is carried at any speed, so dV/V = -1/2 (a/CL) per degree that the wing turns."""
    t = Thresholds()

    inviscid = 50.0 * slope_per_rad / LIFT * FOLLOWING * math.radians(1.0)

    assert t.speed_percent_per_deg_low < inviscid < t.speed_percent_per_deg_high
    assert t.speed_percent_per_deg == pytest.approx(VISCOUS * inviscid, rel=0.15)


def test_what_each_band_does_to_the_lift_is_near_its_weight() -> None:
    """One degree in one band alone: the lattice gives 0.42, 0.36 and 0.21 of the whole wing.

    The weights of 0.49, 0.37 and 0.14 come from a library whose wing is narrower at the tips.
    """
    t = Thresholds()
    level = lift(wing(), 6.0)
    whole = lift(wing(lambda share: 1.0), 6.0) - level

    shares = [
        (lift(wing(lambda share, a=a, b=b: float(a <= share < b)), 6.0) - level) / whole
        for a, b in BANDS
    ]

    weights = [t.band_weight_centre, t.band_weight_middle, t.band_weight_tip]
    assert sum(shares) == pytest.approx(1.0, abs=0.01)
    assert shares == pytest.approx(weights, abs=0.08)
    assert shares == sorted(shares, reverse=True)
