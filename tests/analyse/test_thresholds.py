"""The table of thresholds: one place, every entry explained, single entries overridden."""

import math

import pytest

from trimscribe.model.findings import WhyNot
from trimscribe.model.thresholds import NAMES, TABLE, Thresholds


def test_every_entry_says_its_unit_and_why():
    assert tuple(entry.name for entry in TABLE) == NAMES
    for entry in TABLE:
        assert entry.unit
        assert entry.source.endswith(".")
        assert len(entry.source) > 20
        assert entry.value == getattr(Thresholds(), entry.name)


def test_reading_tension_hooking_up_and_rounding_make_the_assumed_2_mm():
    t = Thresholds()

    line = math.hypot(
        t.u_instrument_mm, t.u_tension_mm, t.u_hook_up_mm, t.rounding_mm / math.sqrt(12)
    )

    assert line == pytest.approx(2.0, abs=2e-3)


def test_single_entries_are_overridden():
    changed = Thresholds().with_overrides({"pitch_deg": 0.4})

    assert changed.pitch_deg == 0.4
    assert changed.band_deg == Thresholds().band_deg


def test_an_unknown_entry_is_refused():
    with pytest.raises(KeyError, match="pitch_degrees"):
        Thresholds().with_overrides({"pitch_degrees": 0.4})


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_an_entry_that_is_no_positive_number_is_refused(value):
    with pytest.raises(ValueError, match="pitch_deg"):
        Thresholds().with_overrides({"pitch_deg": value})


def test_a_jobs_own_threshold_changes_what_the_pilot_is_reported(build):
    spec = build.specification(build.three_rows)
    before = build.measurement(spec, {"A": 0, "B": -6, "C": -12})

    usual = build.findings(build.job(spec, before)).before.pitch.wing
    strict = build.findings(build.job(spec, before, thresholds={"pitch_deg": 0.25}))

    assert usual.expectation == "possible"
    assert strict.before.pitch.wing.expectation == "expected"
    assert strict.before.pitch.wing.threshold == 0.25


def test_a_threshold_smaller_than_the_uncertainty_leaves_all_open(build):
    """Nothing could be called none expected where 2 u is beyond it."""
    spec = build.specification(build.three_rows)
    before = build.measurement(spec, {"A": 0, "B": -6, "C": -12})

    found = build.findings(build.job(spec, before, thresholds={"pitch_deg": 0.15})).before

    assert found.pitch.wing.value is None
    assert found.pitch.wing.why_not is WhyNot.TOO_UNCERTAIN
