"""The analysis `strength`: lines pulled to a load, against the load required."""

from dataclasses import dataclass, replace

from trimscribe.analyse.verdicts import worst
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import Findings, StrengthFinding, Verdict, WhyNot
from trimscribe.model.job import Job, StrengthTest

__all__ = ["Strength", "analysis"]


@dataclass(frozen=True)
class Strength:
    """Fills `strength` and `strength_verdict`."""

    contract: int = CONTRACT
    name: str = "strength"
    needs: tuple[str, ...] = ()

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Each pull, and the worst of them."""
        pulls = tuple(_pull(test) for test in job.strength)
        return replace(
            findings, strength=pulls, strength_verdict=worst(pull.verdict for pull in pulls)
        )


def _pull(test: StrengthTest) -> StrengthFinding:
    """A pull that reached the required load passes, whether the line broke there or held.

    One that ended earlier without a break proves nothing.
    """
    if test.required_n is None:
        return StrengthFinding(test, None, Verdict.NOT_ASSESSED, WhyNot.NO_LIMIT)
    margin = test.load_n - test.required_n
    if margin >= 0:
        return StrengthFinding(test, margin, Verdict.PASS)
    if test.broke:
        return StrengthFinding(test, margin, Verdict.FAIL)
    return StrengthFinding(test, margin, Verdict.NOT_ASSESSED, WhyNot.ENDED_EARLY)


analysis = Strength()
