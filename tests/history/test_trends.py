"""The statistics against certified values, another computation, and honesty about little data."""

import math
import statistics

import pytest
import scipy
from hypothesis import given
from hypothesis import strategies as st

from trimscribe.analyse.history import drift, projection
from trimscribe.model.history import HistoryGap, ProjectionKind

# NIST StRD, linear regression, dataset NoInt1: y = B1·x through the origin.
# https://www.itl.nist.gov/div898/strd/lls/data/NoInt1.shtml; certified values as in the tests of
# the GNU Scientific Library and of GLM.jl, which name the same page.
NOINT1_X = [60.0 + n for n in range(11)]
NOINT1_Y = [130.0 + n for n in range(11)]
NOINT1_B1, NOINT1_SD = 2.07438016528926, 0.165289256198347e-01


def test_a_rate_through_zero_is_that_of_the_certified_data() -> None:
    found = drift(NOINT1_X, NOINT1_Y, [0.0] * 11)

    assert found.per_100_h == pytest.approx(100 * NOINT1_B1, rel=1e-13)
    half = (found.high - found.low) / 2
    assert half == pytest.approx(100 * scipy.stats.t.ppf(0.975, 10) * NOINT1_SD, rel=1e-12)


def test_known_uncertainties_widen_the_range_where_the_stretches_agree_by_chance() -> None:
    """Two stretches of 50 h, -2 mm each, u = 1 mm: -4 mm, and 2·√2·50/5000 = 2.83 mm per 100 h."""
    found = drift([50.0, 50.0], [-2.0, -2.0], [1.0, 1.0])

    assert found.per_100_h == pytest.approx(-4.0)
    assert found.high - found.low == pytest.approx(2 * 100 * 2 * math.sqrt(2) / 100)


def test_one_stretch_has_the_range_of_its_uncertainty() -> None:
    found = drift([40.0], [-2.0], [1.5])

    assert (found.per_100_h, found.low, found.high) == pytest.approx((-5.0, -12.5, 2.5))


def test_no_stretch_gives_no_rate() -> None:
    assert drift([], [], []).per_100_h is None
    assert drift([], [], []).why_not is HistoryGap.TOO_FEW


series = st.lists(
    st.tuples(st.floats(5, 200), st.floats(-20, 20), st.floats(0.1, 3)), min_size=2, max_size=8
)


@given(series)
def test_a_rate_agrees_with_a_general_least_squares_of_scipy(
    stretches: list[tuple[float, float, float]],
) -> None:
    hours, changes, u = map(list, zip(*stretches, strict=True))

    found = drift(hours, changes, u)
    rate, covariance = scipy.optimize.curve_fit(lambda h, r: r * h, hours, changes, [0.0])

    assert found.per_100_h == pytest.approx(100 * rate[0], rel=1e-6, abs=1e-6)
    half = 100 * scipy.stats.t.ppf(0.975, len(hours) - 1) * math.sqrt(covariance[0, 0])
    known = 200 * math.hypot(*(h * s for h, s in zip(hours, u, strict=True)))
    known /= math.fsum(h * h for h in hours)
    assert (found.high - found.low) / 2 == pytest.approx(max(half, known), rel=1e-5, abs=1e-6)


def by_hand(hours: list[float], values: list[float], at: float) -> tuple[float, float]:
    """The fitted line and half its 95 % band, from the textbook and the standard library."""
    slope, intercept = statistics.linear_regression(hours, values)
    rest = [y - slope * h - intercept for h, y in zip(hours, values, strict=True)]
    scatter = math.sqrt(math.fsum(r * r for r in rest) / (len(hours) - 2))
    middle = statistics.fmean(hours)
    spread = math.fsum((h - middle) ** 2 for h in hours)
    band = scatter * math.sqrt(1 / len(hours) + (at - middle) ** 2 / spread)
    return slope * at + intercept, scipy.stats.t.ppf(0.975, len(hours) - 2) * band


def test_a_limit_is_met_where_the_band_of_the_line_crosses_it() -> None:
    hours, values = [20.0, 60.0, 100.0, 150.0], [40.0, 79.0, 122.0, 169.0]

    found = projection(hours, values, 220.0, rising=True)

    assert found.kind is ProjectionKind.RANGE
    assert found.low_h is not None
    assert found.high_h is not None
    for at, sign in ((found.low_h, 1), (found.high_h, -1)):
        line, half = by_hand(hours, values, at)
        before, half_before = by_hand(hours, values, at - 1)
        assert line + sign * half >= 220.0 > before + sign * half_before
    assert found.low_h < 201.0 < found.high_h <= found.horizon_h == 280.0


def test_seconds_that_fall_to_their_limit_are_the_same_story_upside_down() -> None:
    hours, flow = [20.0, 60.0, 100.0, 150.0], [40.0, 79.0, 122.0, 169.0]

    rising = projection(hours, flow, 220.0, rising=True)
    falling = projection(hours, [-v for v in flow], -220.0, rising=False)

    assert rising == falling


@pytest.mark.parametrize(
    ("hours", "values", "limit", "kind"),
    [
        ([], [], 200.0, ProjectionKind.TOO_LITTLE_DATA),
        ([20.0, 60.0], [40.0, 80.0], 200.0, ProjectionKind.TOO_LITTLE_DATA),
        ([20.0, 20.0, 60.0], [40.0, 41.0, 80.0], 200.0, ProjectionKind.TOO_LITTLE_DATA),
        ([20.0, 60.0, 100.0], [40.0, 80.0, 120.0], None, ProjectionKind.NO_LIMIT),
        ([20.0, 60.0, 100.0], [40.0, 80.0, 220.0], 200.0, ProjectionKind.REACHED),
        ([20.0, 60.0, 100.0], [40.0, 41.0, 42.0], 200.0, ProjectionKind.NOT_IN_SIGHT),
        ([20.0, 60.0, 100.0], [42.0, 41.0, 40.0], 200.0, ProjectionKind.NOT_IN_SIGHT),
    ],
)
def test_what_cannot_be_told_is_said_so(
    hours: list[float], values: list[float], limit: float | None, kind: ProjectionKind
) -> None:
    found = projection(hours, values, limit, rising=True)

    assert found.kind is kind
    assert found.low_h is found.high_h is None


def test_a_test_without_flying_hours_is_left_out_and_not_counted() -> None:
    hours, values = [20.0, 60.0, 100.0, 150.0], [40.0, 79.0, 122.0, 169.0]

    found = projection([*hours[:2], None, *hours[2:]], [*values[:2], 99.0, *values[2:]], 220.0,
                       rising=True)  # fmt: skip

    assert found == projection(hours, values, 220.0, rising=True)
    few = projection([20.0, None, 60.0], [40.0, 60.0, 80.0], 220.0, rising=True)
    assert (few.kind, few.services) == (ProjectionKind.TOO_LITTLE_DATA, 2)


def test_tests_at_the_same_flying_hours_count_once() -> None:
    """What is asked for are three at different ones."""
    found = projection([80.0, 80.0], [40.0, 41.0], 220.0, rising=True)

    assert (found.kind, found.services) == (ProjectionKind.TOO_LITTLE_DATA, 1)


def test_nothing_is_projected_where_the_last_test_has_no_flying_hours() -> None:
    hours = [20.0, 60.0, 100.0, None]

    open_yet = projection(hours, [40.0, 79.0, 122.0, 169.0], 220.0, rising=True)
    reached = projection(hours, [40.0, 79.0, 122.0, 221.0], 220.0, rising=True)

    assert open_yet.kind is ProjectionKind.NO_HOURS
    assert reached.kind is ProjectionKind.REACHED


def test_scattered_tests_give_an_earliest_time_and_no_latest() -> None:
    found = projection([20.0, 60.0, 100.0], [40.0, 140.0, 120.0], 200.0, rising=True)

    assert found.kind is ProjectionKind.RANGE
    assert found.low_h == 100.0  # it may be met any time from now on
    assert found.high_h is None


def test_nothing_is_said_further_ahead_than_the_services_reach_back() -> None:
    found = projection([20.0, 60.0, 100.0], [40.0, 80.1, 120.0], 210.0, rising=True)

    assert (found.kind, found.horizon_h) == (ProjectionKind.NOT_IN_SIGHT, 180.0)
