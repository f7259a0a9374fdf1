"""The textbook parts behind the conclusions against general libraries.

Generalised least squares: statsmodels. Kriging with a trend: scikit-learn's Gaussian process.
Guard bands and probabilities of conformity: scipy. None of them shares code with the plain rules.
"""

import math

import numpy as np
import plain_completion as completion
import plain_conformity as conformity
import pytest
import scipy
from plain_cells import measured, study_wing, without

pytestmark = pytest.mark.slow  # to load the library
GAPS = {
    "row B": lambda c: c.row == "B",
    "row C": lambda c: c.row == "C",
    "right side": lambda c: c.side == "right",
    "outer five of C": lambda c: c.row == "C" and c.station > 7,
    "scattered": lambda c: (7 * c.station + 3 * "ABC".index(c.row) + (c.side == "left")) % 5 == 0,
}


@pytest.fixture(params=GAPS)
def case(request):
    """(cells with gaps, C, M, X, indices measured, indices missing, readings)."""
    random = np.random.default_rng(5)
    cells = [c._replace(mm=float(random.normal(-5, 8))) for c in study_wing()]
    cells = without(cells, GAPS[request.param])
    known = measured(cells)
    missing = [i for i in range(len(cells)) if i not in known]
    trend = np.array([[1.0, c.x] for c in cells])
    readings = np.array([cells[i].mm for i in known])
    truth, error = completion.true_covariance(cells), completion.error_covariance(cells)
    return cells, truth, error, trend, known, missing, readings


def gls():
    """Generalised least squares of statsmodels, which takes a second to load."""
    from statsmodels.api import GLS

    return GLS


def process(table, known, readings):
    """A Gaussian process of mean 0 that was shown the readings."""
    from sklearn.gaussian_process import GaussianProcessRegressor
    from sklearn.gaussian_process.kernels import Kernel

    class Table(Kernel):
        """A covariance that is given as a table; the inputs are its indices."""

        def __init__(self, table):
            self.table = table

        def __call__(self, X, Y=None, eval_gradient=False):  # noqa: N803 -- the library's names
            rows = np.asarray(X)[:, 0].astype(int)
            columns = rows if Y is None else np.asarray(Y)[:, 0].astype(int)
            return self.table[np.ix_(rows, columns)]

        def diag(self, X):  # noqa: N803
            return np.diag(self.table)[np.asarray(X)[:, 0].astype(int)]

        def is_stationary(self):
            return False

    found = GaussianProcessRegressor(Table(table), alpha=1e-12, optimizer=None)
    return found.fit(np.array(known)[:, None], readings)


def test_gaps_are_filled_as_by_generalised_least_squares_and_a_gaussian_process(case):
    """Trend by statsmodels; what remains by scikit-learn, whose mean is then known to be 0."""
    cells, truth, error, trend, known, missing, readings = case
    total = truth + error
    fit = gls()(readings, trend[known], sigma=total[np.ix_(known, known)]).fit()
    rest = process(total, known, readings - trend[known] @ fit.params)

    filled = trend[missing] @ fit.params + rest.predict(np.array(missing)[:, None])

    plain = np.array(completion.complete(cells))[missing]
    assert plain == pytest.approx(filled, abs=1e-6)


def test_gaps_are_filled_as_by_a_gaussian_process_that_knows_nothing_of_the_plane(case):
    """Universal kriging is the limit of a wide prior for the plane (textbook)."""
    cells, truth, error, trend, known, missing, readings = case
    wide = truth + error + 1e6 * trend @ trend.T

    filled = process(wide, known, readings).predict(np.array(missing)[:, None])

    plain = np.array(completion.complete(cells))[missing]
    assert plain == pytest.approx(filled, abs=2e-3)


@pytest.mark.parametrize("what", ["mean_weights", "slope_weights"])
def test_u_of_a_target_is_the_spread_of_its_error(case, what):
    """By chance: planes, structure and errors drawn from their covariances (seeded)."""
    cells, truth, error, trend, known, _, _ = case
    random = np.random.default_rng(6)
    v = np.array(getattr(completion, what)(cells))
    _, u, a = completion.target(cells, v)
    zero = np.zeros(len(cells))
    true = random.multivariate_normal(zero, truth, 20_000) + random.normal(0, 30, (20_000, 2)) @ (
        trend.T
    )
    read = true + random.multivariate_normal(zero, error, 20_000)

    miss = read[:, known] @ a - true @ v

    assert np.std(miss) == pytest.approx(u, rel=0.02)
    assert abs(np.mean(miss)) < 4 * u / math.sqrt(20_000)


def test_the_plane_of_a_whole_table_has_the_variance_of_generalised_least_squares():
    """A target that is the GLS estimate itself has statsmodels' standard error."""
    cells = [c._replace(mm=0.0) for c in study_wing()]
    error = completion.error_covariance(cells)
    trend = np.array([[1.0, c.x] for c in cells])
    fit = gls()(np.zeros(len(cells)), trend, sigma=error).fit(cov_type="fixed scale")
    inverse = np.linalg.inv(error)
    v = (np.linalg.inv(trend.T @ inverse @ trend) @ trend.T @ inverse)[1]

    assert completion.target(cells, v)[1] == pytest.approx(
        math.sqrt(fit.normalized_cov_params[1, 1])
    )


@pytest.mark.parametrize(("value", "u"), [(0, 5), (7, 2.333), (-8, 2), (9, 2.645), (13, 2)])
def test_probability_of_conformity(value, u):
    wanted = scipy.stats.norm.cdf(10, value, u) - scipy.stats.norm.cdf(-10, value, u)

    assert conformity.within(value, u, 10) == pytest.approx(wanted, abs=1e-12)


@pytest.mark.parametrize("u", [2.245, 2.333, 2.376, 2.645, 2.944])
def test_the_edge_of_acceptance(u):
    wanted = scipy.optimize.brentq(
        lambda y: scipy.stats.norm.cdf(10, y, u) - scipy.stats.norm.cdf(-10, y, u) - 0.95, 0, 10
    )

    assert conformity.edge(u, 10, "probability") == pytest.approx(wanted, abs=1e-9)
    assert conformity.edge(u, 10, "guarded") == pytest.approx(10 - 2 * u)
    assert conformity.passes(10 - 2 * u, u, 10, "guarded")
    assert not conformity.passes(wanted + 1e-6, u, 10, "probability")


def test_a_limit_below_2u_cannot_be_passed_clearly():
    assert conformity.edge(2.4, 4.7, "guarded") is None
    assert conformity.edge(2.4, 4.6, "probability") is None  # 1.96 u
    assert conformity.edge(2.4, 4.8, "guarded") == pytest.approx(0.0)


def risk(value, u, limit):
    """Probability of being outside at a value, nothing known beforehand, by quadrature."""
    inside, _ = scipy.integrate.quad(lambda d: scipy.stats.norm.pdf(value, d, u), -limit, limit)
    return 1 - inside


@pytest.mark.parametrize(
    ("u", "guarded_line_only", "guarded", "probable_line_only", "probable"),
    [
        # Printed ranges of the study's section 8 in percent, 2-5 rows together.
        (2.245, (3.7, 4.7), (2.2, 2.3), (7.1, 8.4), (4.8, 5.0)),  # mean; printed 7.2, exactly 7.14
        (2.376, (3.7, 4.7), (2.2, 2.3), (7.2, 8.4), (4.8, 5.0)),
        (2.645, (6.5, 6.5), (2.3, 2.3), (10.5, 10.9), (4.9, 5.2)),  # none
        (2.944, (8.5, 8.9), (2.2, 2.4), (13.0, 13.5), (4.8, 5.2)),  # another row
    ],
)
def test_8_risk_of_a_pass_at_the_edge(u, guarded_line_only, guarded, probable_line_only, probable):
    """Our own study, section 8; the risk itself is that of JCGM 106:2012, 7.4."""
    for rule, used, printed in (
        ("guarded", 2.0, guarded_line_only),
        ("guarded", u, guarded),
        ("probability", 2.0, probable_line_only),
        ("probability", u, probable),
    ):
        found = conformity.risk_at_edge(used, u, 10, rule)
        assert found == pytest.approx(risk(conformity.edge(used, 10, rule), u, 10), abs=1e-9)
        assert printed[0] - 0.051 <= 100 * found <= printed[1] + 0.051, (rule, used)


def test_8_simple_acceptance_is_wrong_half_the_time_at_the_edge():
    assert conformity.risk_at_edge(2.0, 2.333, 10) == pytest.approx(0.5, abs=1e-6)
