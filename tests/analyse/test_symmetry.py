"""Right minus left, from lines measured on both sides."""

import pytest

from trimscribe.model.findings import Expectation, WhyNot


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


def test_a_line_measured_on_one_side_only_counts_for_part_of_it(build):
    """It is 60 mm long: what the other side's is like is not known, and it may be as long."""
    odd, gap = [60, 0, 0, 0, 0, 0], [None, 0, 0, 0, 0, 0]
    flat = {"A": 0, "B": 0, "C": 0}
    whole = symmetry(build, flat, flat)
    found = symmetry(build, flat | {"A": odd}, flat | {"A": gap}, calculated=True)

    assert -60 / 6 < found.rows["A"].value < 0
    assert -60 / 18 < found.all_lines.value < 0
    assert found.rows["A"].u > whole.rows["A"].u
    assert found.angle.u > whole.angle.u


def test_gaps_make_the_sides_less_certain(build):
    flat = {"A": 0, "B": 0, "C": 0}
    whole = symmetry(build, flat, flat)
    found = symmetry(build, flat | {"A": [0, 0, 0, None, None, None]}, flat)

    assert found.rows["A"].value == pytest.approx(0, abs=1e-9)
    assert found.rows["A"].u > whole.rows["A"].u
    assert found.rows["B"].u == pytest.approx(whole.rows["B"].u)
    assert found.angle.value == pytest.approx(0, abs=1e-9)
    assert found.angle.u > whole.angle.u


def test_gaps_on_both_sides_add_up(build):
    """Two points missing on each side, at different places."""
    flat = {"A": 0, "B": 0, "C": 0}
    left = flat | {"A": [None, None, 0, 0, 0, 0]}
    right = flat | {"A": [0, 0, None, None, 0, 0]}

    us = [symmetry(build, *sides).angle.u for sides in ((flat, flat), (left, flat), (left, right))]

    assert us == sorted(us)
    assert len(set(us)) == 3


def test_a_row_that_one_side_lacks_is_not_compared(build):
    flat = {"A": 0, "B": 0, "C": 0}

    found = symmetry(build, {"B": 0, "C": 0}, flat)

    assert found.rows["A"].why_not is WhyNot.NOT_MEASURED
    assert found.rows["B"].value == 0
