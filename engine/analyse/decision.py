"""The analysis `decision`: by which rule results passed, and what that risks."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from trimscribe.analyse.judging import conformance_probability, normal_cdf, probability_within
from trimscribe.contracts import CONTRACT
from trimscribe.model.decision import Acceptance, Decision, DecisionRule
from trimscribe.model.findings import Findings, RiserFinding, StrengthFinding, Verdict
from trimscribe.model.job import Job

_Judged = tuple[Verdict, float | None]


@dataclass(frozen=True)
class DecisionAnalysis:
    """Fills `decision`, over the wing as it came, as it leaves, and the other checks."""

    contract: int = CONTRACT
    name: str = "decision"
    needs: tuple[str, ...] = ("cloth", "line_set", "strength")

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """The rule, its risk, the result that passed with the highest, and what it cannot judge."""
        rule = job.decision_rule
        simple = rule.acceptance is Acceptance.SIMPLE
        decision = Decision(
            rule=rule,
            false_acceptance=false_acceptance(rule),
            worst_accepted=max((1.0 - p for p in _accepted(findings)), default=None),
            simple_for=() if simple else tuple(_without_uncertainty(findings)),
        )
        return replace(findings, decision=decision)


def false_acceptance(rule: DecisionRule) -> float:
    """The highest probability that a result which passes by the rule does not conform.

    For one limit; a second one that lies within a few uncertainties adds to it.
    """
    if rule.acceptance is Acceptance.SIMPLE:
        return 0.5
    return normal_cdf(-rule.value) if rule.acceptance is Acceptance.GUARDED else 1.0 - rule.value


def _accepted(findings: Findings) -> Iterator[float]:
    """Conformance probabilities of the results that passed, of whichever measuring."""
    judged: list[_Judged] = []
    states = [state for state in (findings.before, findings.after) if state]
    for state in states:
        yield from (t.least_sure for t in state.tolerances if t.least_sure is not None)
        judged += [(x.verdict, x.probability) for x in state.brakes.values()]
        judged += [one for riser in state.risers for one in _riser(riser)]
    for test in (findings.porosity, findings.tear):
        judged += [(x.verdict, x.probability) for x in (test.readings if test else ())]
    judged += [(pull.verdict, _held(pull)) for pull in findings.strength]
    for verdict, probability in judged:
        if verdict is Verdict.PASS and probability is not None:
            yield probability


def _held(pull: StrengthFinding) -> float | None:
    """Probability that the load reached was at least that required; None if nobody knows."""
    u = pull.test.uncertainty_n
    if pull.required_n is None or not u:
        return None
    return conformance_probability(pull.test.load_n, u, pull.required_n, math.inf)


def _riser(riser: RiserFinding) -> Iterator[_Judged]:
    for mm in (riser.trim_mm, riser.accelerated_mm):
        yield riser.verdict, probability_within(mm, riser.tolerance_mm, riser.u_mm)


def _without_uncertainty(findings: Findings) -> Iterator[str]:
    """Parts that were judged though nobody stated how certain their values are."""
    porosity, tear = findings.porosity, findings.tear
    if porosity and porosity.limit is not None and porosity.worst.probability is None:
        yield "porosity"
    if tear and tear.limit_mm is not None and tear.worst.probability is None:
        yield "tear"
    judged = [pull.test for pull in findings.strength if pull.required_n is not None]
    if any(test.uncertainty_n is None for test in judged):
        yield "strength"


analysis = DecisionAnalysis()
