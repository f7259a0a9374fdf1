"""The range of trim speed that an angle brings."""

import pytest

from trimscribe.analyse.effects import judge, not_assessed
from trimscribe.analyse.speed import speed_range
from trimscribe.model.findings import WhyNot
from trimscribe.model.thresholds import Thresholds


def speed(deg, u=0.1, trim=40.0, **overrides):
    return speed_range(judge(deg, u, 0.5, "deg"), trim, Thresholds().with_overrides(overrides))


def test_nose_up_is_slower_and_nose_down_faster_by_the_same():
    up, down = speed(0.8), speed(-0.8)

    assert up.central_km_h == pytest.approx(-0.042 * 0.8 * 40)
    assert (down.low_km_h, down.central_km_h, down.high_km_h) == pytest.approx(
        (-up.low_km_h, -up.central_km_h, -up.high_km_h)
    )


def test_the_range_takes_the_angles_uncertainty_in():
    narrow, wide = speed(1.0, u=0.05), speed(1.0, u=0.2)

    assert wide.low_km_h > narrow.low_km_h > narrow.high_km_h > wide.high_km_h


def test_an_angle_that_might_be_none_has_a_range_from_zero():
    found = speed(0.15, u=0.1)

    assert str(found.low_km_h) == "0.0"  # not -0.0
    assert found.high_km_h < 0


def test_no_angle_is_no_change_on_average():
    assert speed(0.0).central_km_h == 0
    assert str(speed(0.0).low_km_h) == "0.0"


def test_the_wings_own_trim_speed_is_used_when_known():
    assert (speed(1.0).base_km_h, speed(1.0).assumed) == (40, False)
    assert (speed(1.0, trim=None).base_km_h, speed(1.0, trim=None).assumed) == (37, True)
    assert speed(1.0, trim=None, speed_default_km_h=35.0).base_km_h == 35


@pytest.mark.parametrize("deg", [2.01, -2.5])
def test_beyond_what_was_checked_no_speed_is_given(deg):
    assert speed(deg) is None
    assert speed(deg, pitch_valid_deg=3.0) is not None


def test_without_an_angle_there_is_no_speed():
    missing = not_assessed(WhyNot.NOT_MEASURED, 0.5, "deg")

    assert speed_range(missing, 37.0, Thresholds()) is None
    assert speed_range(None, 37.0, Thresholds()) is None
