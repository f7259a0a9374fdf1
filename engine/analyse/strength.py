"""The analysis `strength`: lines pulled to a load, against the load required.

What is required is stated with the pull, or follows from the specification's rule and the wing's
weight range.
"""

import math
from dataclasses import dataclass, replace

from trimscribe.analyse.judging import decide
from trimscribe.contracts import CONTRACT
from trimscribe.model.decision import DecisionRule
from trimscribe.model.findings import Findings, StrengthFinding, Verdict, WhyNot
from trimscribe.model.job import Job, StrengthTest
from trimscribe.model.replaced import carried_points
from trimscribe.model.verdicts import worst
from trimscribe.model.wing import Side, Specification


@dataclass(frozen=True)
class Strength:
    """Fills `strength` and `strength_verdict`."""

    contract: int = CONTRACT
    name: str = "strength"
    needs: tuple[str, ...] = ()

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Each pull, and the worst of them."""
        pulls = tuple(
            _pull(test, required_n(test, job), job.decision_rule) for test in job.strength
        )
        # A grip that slipped says nothing of a line that held in its next pull.
        held = {_which(pull) for pull in pulls if pull.verdict.within}
        counting = [
            pull
            for pull in pulls
            if pull.why_not is not WhyNot.ENDED_EARLY or _which(pull) not in held
        ]
        return replace(
            findings, strength=pulls, strength_verdict=worst(pull.verdict for pull in counting)
        )


def _which(pull: StrengthFinding) -> tuple[str, Side | None]:
    """The line that was pulled, as it was named, with its side."""
    return pull.test.line.casefold(), pull.test.side


def required_n(test: StrengthTest, job: Job) -> float | None:
    """What the pulled line must hold in N; None when neither the job nor a rule tells."""
    weight = job.wing.weight_max_kg
    if test.required_n is not None or job.specification is None or weight is None:
        return test.required_n
    row = _row_of(test.line, job.specification)
    rules = job.specification.strength_rules
    return next((rule.required_n(weight) for rule in rules if row in rule.rows), None)


def _row_of(line: str, specification: Specification) -> str:
    """The row that a line belongs to: "A4 middle line" and the main line "a2" to row A; else ""."""
    name = (line.split() or [""])[0]
    rows = [row.name for row in specification.rows]
    groups = {point.group for point in carried_points(name, specification)} or {name}
    return next((row for row in rows if groups == {row}), "")


def _pull(test: StrengthTest, required: float | None, rule: DecisionRule) -> StrengthFinding:
    """A pull that reached the required load passes, whether the line broke there or held.

    One that ended earlier without a break proves nothing.
    """
    if required is None:
        return StrengthFinding(test, None, None, Verdict.NOT_ASSESSED, WhyNot.NO_LIMIT)
    margin = test.load_n - required
    verdict = decide(rule, test.load_n, test.uncertainty_n, required, math.inf)
    if verdict.beyond and not test.broke:
        verdict = Verdict.NOT_ASSESSED
        return StrengthFinding(test, required, margin, verdict, WhyNot.ENDED_EARLY)
    return StrengthFinding(test, required, margin, verdict)


analysis = Strength()
