"""The range of trim speed that an angle brings."""

import math

import pytest
from wing_w import findings_of, measured, study_job, wing_w

from trimscribe.analyse.judging import assess_effect, not_assessed
from trimscribe.analyse.pitch import speed_range
from trimscribe.formats import formats_for
from trimscribe.model.findings import WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.workshop import AS_THE_LANGUAGE
from trimscribe.narrate.filters import WordFilters, check_words
from trimscribe.narrate.languages import en
from trimscribe.narrate.written import Faults, YamlMapping


@pytest.fixture(scope="module")
def words():
    """The English words that print a range."""
    written = YamlMapping.open(en.folder / "phrases.yaml", Faults())
    return WordFilters(formats_for(en.locale), check_words(written), AS_THE_LANGUAGE)


def speed(deg, u=0.1, trim=40.0, **overrides):
    return speed_range(
        assess_effect(deg, u, 0.5, "deg"), trim, Thresholds().with_overrides(overrides)
    )


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
def test_beyond_what_was_checked_only_the_least_is_given(deg):
    found = speed(deg)

    least = min(abs(deg) - 0.2, 2.0) * 0.03 * 40
    assert found.low_km_h == pytest.approx(-least if deg > 0 else least)
    assert (found.central_km_h, found.high_km_h) == (None, None)
    assert speed(deg, pitch_valid_deg=3.0).high_km_h is not None


@pytest.mark.parametrize(
    ("deg", "u", "km_h", "low", "high", "printed"),
    [
        (0.5289, 0.095, 37, 0.376, 1.516, "up to 2"),
        (1.0, 0.095, 37, 0.899, 2.510, "½ to 3"),
        (1.3, 0.1, 38, 1.254, 3.249, "1 to 3½"),
        (0.7, 0.095, 38, None, None, "½ to 2"),
    ],
)
def test_ranges_are_those_of_our_own_study_and_printed_outwards(
    words, deg, u, km_h, low, high, printed
):
    """Section 11: floor and ceil to half of the printed unit; nearest would narrow half of them."""
    found = speed(deg, u, km_h)

    if low is not None:
        assert (-found.low_km_h, -found.high_km_h) == pytest.approx((low, high), abs=5.1e-4)
    assert printed in words.speed(abs(found.low_km_h), abs(found.high_km_h))


def test_beyond_two_degrees_the_least_is_that_of_our_own_study(words):
    """Section 11: 2.3 degrees at 38 km/h is at least 2.0."""
    found = speed(2.3, 0.1, 38)

    assert (found.central_km_h, found.high_km_h) == (None, None)
    assert -found.low_km_h == pytest.approx(0.03 * 2.0 * 38)
    assert math.floor(2 * -found.low_km_h) / 2 == 2.0
    assert "at least 2" in words.speed(-found.low_km_h, None)


def test_a_change_counts_as_beyond_if_either_end_is():
    """Section 11: from 2.3 to 0.7 degrees."""
    wing = wing_w()
    chord = {(row.name, n): x for row in wing.rows for n, x in enumerate(row.chord_m, 1)}

    def tilted(deg):
        slope = -1000 * math.tan(math.radians(deg))
        return measured(wing, lambda s, p: slope * chord[p.group, p.number])

    for pair in ((2.3, 0.7), (0.7, 2.3)):
        found = findings_of(study_job(wing, *map(tilted, pair))).change
        assert abs(found.effective.value) == pytest.approx(1.6, abs=1e-3)
        assert (found.speed.central_km_h, found.speed.high_km_h) == (None, None)
        assert found.speed.low_km_h * (pair[0] - pair[1]) > 0
    within = findings_of(study_job(wing, tilted(1.9), tilted(0.7))).change
    assert within.speed.high_km_h is not None


def test_without_an_angle_there_is_no_speed():
    missing = not_assessed(WhyNot.NOT_MEASURED, 0.5, "deg")

    assert speed_range(missing, 37.0, Thresholds()) is None
    assert speed_range(None, 37.0, Thresholds()) is None
