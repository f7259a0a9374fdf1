"""The three decision rules against their standards: JCGM 106:2012, ILAC-G8:09/2019.

Both as others quote them: see test_decision_rules.py.
"""

import math
from dataclasses import replace

import plain_conformity
import pytest
import scipy

from trimscribe.analyse import decision, line_set, strength
from trimscribe.analyse.decision import false_acceptance
from trimscribe.analyse.judging import decide, within
from trimscribe.model.decision import SIMPLE, Acceptance, DecisionRule
from trimscribe.model.findings import Findings, Verdict
from trimscribe.model.job import StrengthTest
from trimscribe.model.wing import StrengthRule

GUARDED = DecisionRule(Acceptance.GUARDED, 2.0)
LIKELY = DecisionRule(Acceptance.PROBABILITY, 0.95)


@pytest.mark.parametrize(
    ("y", "verdict"),
    [
        (0.0, "pass"),
        (6.0, "pass"),  # T - U
        (6.1, "conditional pass"),
        (10.0, "conditional pass"),
        (10.1, "conditional fail"),
        (13.9, "conditional fail"),
        (14.0, "fail"),  # T + U
        (-6.1, "conditional pass"),
        (-14.0, "fail"),
    ],
)
def test_a_guard_band_of_two_u_makes_four_verdicts(y, verdict):
    """The study, section 6: clear pass up to limit - 4 mm, clear fail from limit + 4 mm, u 2 mm."""
    assert within(y, 10.0, 2.0, GUARDED) == verdict


@pytest.mark.parametrize(("u", "limit"), [(1, 8.35515), (2, 6.71029), (4, 3.40493), (5, 1.01894)])
def test_acceptance_limits_of_95_percent_count_the_far_limit_too(u, limit):
    assert within(limit - 1e-4, 10.0, u, LIKELY) is Verdict.PASS
    assert within(limit + 1e-4, 10.0, u, LIKELY) is Verdict.CONDITIONAL_PASS


def test_above_a_certain_uncertainty_nothing_passes_clearly():
    assert within(0.0, 10.0, 5.102, LIKELY) is Verdict.PASS
    assert within(0.0, 10.0, 5.103, LIKELY) is Verdict.CONDITIONAL_PASS


def test_at_the_limit_a_result_conforms_in_half_of_all_cases_and_is_conditional():
    """(10, 5): 0.499968; it lies within its limit all the same."""
    assert within(10.0, 10.0, 5.0, LIKELY) is Verdict.CONDITIONAL_PASS
    assert within(10.1, 10.0, 5.0, LIKELY) is Verdict.CONDITIONAL_FAIL
    assert within(20.0, 10.0, 5.0, LIKELY) is Verdict.FAIL


@pytest.mark.parametrize(
    ("y", "u", "lower", "verdict"),
    [(25, 3, 20, "pass"), (23, 3, 20, "conditional pass"), (28, 2, 30, "conditional fail"),
     (25, 2, 30, "fail")],
)  # fmt: skip
def test_one_open_limit(y, u, lower, verdict):
    """25 s ± 3 s against at least 20 s conforms with 0.952, 28 s ± 2 s against 30 s with 0.159."""
    assert decide(LIKELY, y, u, lower, math.inf) == verdict


@pytest.mark.parametrize("rule", [GUARDED, LIKELY])
def test_without_an_uncertainty_a_value_is_taken_as_it_stands(rule):
    assert decide(rule, 9.9, None, -10, 10) is Verdict.PASS
    assert decide(rule, 10.1, None, -10, 10) is Verdict.FAIL


def test_what_is_missing_is_not_assessed_by_any_rule():
    for rule in (SIMPLE, GUARDED, LIKELY):
        assert within(None, 10.0, 1.0, rule) is Verdict.NOT_ASSESSED
        assert within(1.0, None, 1.0, rule) is Verdict.NOT_ASSESSED


def test_highest_risk_of_a_false_acceptance():
    """ILAC-G8:09/2019: 50 % without a guard band, below 2.5 % with w = U."""
    assert false_acceptance(SIMPLE) == 0.5
    assert false_acceptance(GUARDED) == pytest.approx(0.02275, abs=5e-6)
    assert false_acceptance(LIKELY) == pytest.approx(0.05)


def test_the_worst_accepted_line_is_reported_with_its_risk(wing, analysed, bare_job):
    """8 mm within 10 mm: with what the row and the common offset may err by, 2.245 mm.

    Two rows of two lines a side: u² = 4 (1 - 1/8) + 2.25 (1 - 1/2), and all lines are as long.
    """
    rows = {"A": 0.2, "B": 1.2}
    left = {"A": (8.0, -8.0), "B": (0.0, 0.0)}
    budget = dict.fromkeys(("u_tension_mm", "u_hook_up_mm", "rounding_mm"), 1e-9)

    findings = analysed(wing(rows, 2), left, thresholds={"u_instrument_mm": 2.0, **budget})
    found = decision.analysis.analyse(bare_job(), findings).decision

    u = math.sqrt(4 * (1 - 1 / 8) + 2.25 * (1 - 1 / 2))
    true = scipy.stats.norm(8.0, u)
    assert found.false_acceptance == 0.5
    assert found.worst_accepted == pytest.approx(1 - true.cdf(10) + true.cdf(-10), abs=5e-7)
    assert line_set.analysis.name in decision.analysis.needs


def test_the_worst_accepted_result_is_that_of_either_measuring(wing, analysed, bare_job):
    """The report counts and lists the lines of both: each alone, 8 mm as it came is the worse."""
    spec = wing({"A": 0.2, "B": 1.2}, 2)
    off, true = (
        analysed(spec, {"A": (mm, -mm), "B": (0.0, 0.0)}, thresholds={"u_instrument_mm": 2.0}).now
        for mm in (8.0, 0.0)
    )

    def worst(**states):
        return decision.analysis.analyse(bare_job(), Findings(**states)).decision.worst_accepted

    assert worst(before=off) > worst(before=true)
    assert worst(before=off, after=true) == worst(before=true, after=off) == worst(before=off)


@pytest.mark.parametrize("rule", [GUARDED, LIKELY, DecisionRule(Acceptance.PROBABILITY, 0.8)])
@pytest.mark.parametrize("u", [0.5, 2.3, 4.9])
def test_a_verdict_changes_at_the_borders_of_its_rule_and_nowhere_else(rule, u):
    borders = rule.borders(10.0, u)

    verdicts = [within(mm / 1000, 10.0, u, rule) for mm in range(30_000)]
    changes = [mm / 1000 for mm in range(1, 30_000) if verdicts[mm] is not verdicts[mm - 1]]
    assert changes == pytest.approx(sorted([*borders, 10.0]), abs=2e-3)


def test_borders_are_those_of_our_own_study():
    """Section 8, computed again; beyond the limit as far by symmetry of the error."""
    name = LIKELY.acceptance.value
    inner, outer = LIKELY.borders(10.0, 2.0)
    assert inner == pytest.approx(plain_conformity.edge(2.0, 10.0, name, least=0.95))
    assert outer == pytest.approx(10 + 1.6449 * 2, abs=1e-3)
    assert GUARDED.borders(10.0, 2.0) == (6.0, 14.0)
    assert LIKELY.borders(20.0, 3.0, one_sided=True) == pytest.approx((15.0654, 24.9346), abs=1e-3)


def test_without_a_guard_band_there_is_no_border_but_the_limit():
    assert SIMPLE.borders(10.0, 2.0) == GUARDED.borders(10.0, None) == ()
    assert GUARDED.borders(None, 2.0) == ()
    # Nothing passes clearly: 10 mm are less than two uncertainties.
    assert GUARDED.borders(10.0, 6.0) == (22.0,)
    assert len(LIKELY.borders(10.0, 6.0)) == 1


@pytest.mark.parametrize(
    ("weight_kg", "required_n"), [(100, 14_000), (101.94, 14_000), (120, 16_480.8)]
)
def test_strength_of_a_whole_level_of_lines(weight_kg, required_n):
    """EN 926-1:2015, seen on secondary pages: max(14 g × weight, 14 000 N), g = 9.81."""
    rule = StrengthRule(("A",), 14.0, 1, n_per_kg=9.81, at_least_n=14_000)

    assert rule.required_n(weight_kg) == pytest.approx(required_n, abs=0.5)


def test_the_specifications_rule_says_what_a_pulled_line_must_hold(wing, bare_job):
    """Makers' manuals: 8 times the weight shared by A and B: 130 kg × 8 / 12 = 86.67 daN."""
    spec = wing({"A": 0.2, "B": 0.7, "C": 1.3}, 4)
    rules = (StrengthRule(("A", "B"), 8.0, 12), StrengthRule(("C",), 6.0, 10))
    job = bare_job(
        specification=replace(spec, strength_rules=rules),
        strength=(
            StrengthTest("A4 middle line", 867, False),
            StrengthTest("B2", 866, True),
            StrengthTest("C1", 779, False),
            StrengthTest("brake line", 500, False),
        ),
    )
    job = replace(job, wing=replace(job.wing, weight_max_kg=130.0))

    pulls = strength.analysis.analyse(job, Findings()).strength

    assert pulls[0].required_n == pytest.approx(866.67, abs=0.005)
    assert pulls[2].required_n == pytest.approx(780.0)
    assert [p.verdict for p in pulls] == ["pass", "fail", "not assessed", "not assessed"]
    assert [p.why_not for p in pulls[2:]] == [
        "held at less than the required load", "no limit given",
    ]  # fmt: skip
