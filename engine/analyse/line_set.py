"""The analysis `line_set`: the wing as it came and as it leaves."""

from dataclasses import dataclass, replace

from trimscribe.analyse.measurings import measurings_of
from trimscribe.analyse.state import state_of
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job


@dataclass(frozen=True)
class LineSetAnalysis:
    """Fills `before` and `after`; a measuring without a specification stays None.

    Lines that were not measured again after the work, and that it left alone, are carried over.
    """

    contract: int = CONTRACT
    name: str = "line_set"
    needs: tuple[str, ...] = ()

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Deviations, verdicts, angles, differences, brakes and risers of each measuring."""
        specification = job.specification
        if specification is None:
            return findings
        measurings = measurings_of(job)
        before, after = (
            None if one is None else state_of(job, specification, one)
            for one in (measurings.before, measurings.after)
        )
        return replace(findings, before=before, after=after)


analysis = LineSetAnalysis()
