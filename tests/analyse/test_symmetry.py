"""Right minus left, from lines measured on both sides."""

import pytest

from trimscribe.model.findings import Expectation, WhyNot
from trimscribe.model.wing import Side


def symmetry(build, left, right, points=6, **more):
    spec = build.specification(build.three_rows, points)
    before = build.measurement(spec, left=left, right=right, **more)
    return build.findings(build.job(spec, before)).before.symmetry


def test_a_right_half_more_nose_up_is_positive(build):
    found = symmetry(build, {"A": 0, "B": 0, "C": 0}, {"A": 0, "B": -10, "C": -20})

    assert found.angle.value == pytest.approx(0.8814, abs=1e-3)
    assert found.angle.expectation is Expectation.EXPECTED
    assert found.rows["C"].value == pytest.approx(-20)
    assert found.all_lines.value == pytest.approx(-10)


def test_all_lines_of_the_left_side_short_shows_as_positive_mm_without_an_angle(build):
    found = symmetry(build, {"A": -15, "B": -15, "C": -15}, {"A": 0, "B": 0, "C": 0})

    assert found.all_lines.value == pytest.approx(15)
    assert found.all_lines.expectation is Expectation.EXPECTED
    assert found.angle.value == pytest.approx(0, abs=1e-12)


def test_only_pairs_are_compared(build):
    """The one line measured on the left alone is 60 mm long; it must not count."""
    odd = [60, 0, 0, 0, 0, 0]
    found = symmetry(
        build,
        {"A": odd, "B": 0, "C": 0},
        {"A": [None, 0, 0, 0, 0, 0], "B": 0, "C": 0},
    )

    assert found.rows["A"].value == 0
    assert found.all_lines.value == 0
    assert found.angle.value == pytest.approx(0, abs=1e-12)


def test_too_few_pairs_are_not_compared(build):
    found = symmetry(
        build,
        {"A": [0, 0, 0, None, None, None], "B": 0, "C": 0},
        {"A": 0, "B": 0, "C": 0},
    )

    assert found.rows["A"].why_not is WhyNot.TOO_FEW_STATIONS
    assert found.rows["B"].value == 0
    assert found.angle.why_not is WhyNot.TOO_FEW_STATIONS
    assert found.all_lines.value == 0  # 15 of 18 pairs


def test_gaps_on_both_sides_add_up(build):
    """Two stations missing on each side, at different places: only two pairs of six are left."""
    left = {"A": [None, None, 0, 0, 0, 0], "B": 0, "C": 0}
    right = {"A": [0, 0, None, None, 0, 0], "B": 0, "C": 0}
    spec = build.specification(build.three_rows)

    state = build.findings(build.job(spec, build.measurement(spec, left=left, right=right))).before

    assert state.pitch.sides[Side.LEFT].value is not None
    assert state.symmetry.angle.why_not is WhyNot.TOO_FEW_STATIONS
