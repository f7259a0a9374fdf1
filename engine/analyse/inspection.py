"""The analysis `inspection`: what the eye found, as one verdict and a list of defects."""

from dataclasses import dataclass, replace

from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import Findings, Verdict
from trimscribe.model.job import Condition, InspectionItem, Job


@dataclass(frozen=True)
class Inspection:
    """Fills `inspection_verdict` and `defects`."""

    contract: int = CONTRACT
    name: str = "inspection"
    needs: tuple[str, ...] = ()

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Damaged fails, worn passes with a condition, good and repaired pass."""
        return replace(
            findings,
            inspection_verdict=_verdict(job.inspection),
            defects=tuple(
                item
                for item in job.inspection
                if item.condition in (Condition.WORN, Condition.DAMAGED)
            ),
        )


def _verdict(items: tuple[InspectionItem, ...]) -> Verdict:
    seen = {item.condition for item in items} - {Condition.NOT_CHECKED}
    if not seen:
        return Verdict.NOT_ASSESSED
    if Condition.DAMAGED in seen:
        return Verdict.FAIL
    return Verdict.CONDITIONAL_PASS if Condition.WORN in seen else Verdict.PASS


analysis = Inspection()
