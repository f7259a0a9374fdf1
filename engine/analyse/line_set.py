"""The analysis `line_set`: the wing as it came and as it leaves, each measured by itself."""

from dataclasses import dataclass, replace

from trimscribe.analyse.state import state_of
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job

__all__ = ["LineSet", "analysis"]


@dataclass(frozen=True)
class LineSet:
    """Fills `before` and `after`; a measuring without a specification stays None."""

    contract: int = CONTRACT
    name: str = "line_set"
    needs: tuple[str, ...] = ()

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Deviations, verdicts, angles, differences, brakes and risers of each measuring."""
        specification = job.specification
        if specification is None:
            return findings
        before, after = (
            None if measurement is None else state_of(job, specification, measurement)
            for measurement in (job.before, job.after)
        )
        return replace(findings, before=before, after=after)


analysis = LineSet()
