"""The analysis `cloth`: porosity and tear test against the limits of the job."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from trimscribe.analyse.air_permeability import flow_l_m2_min, mean_seconds
from trimscribe.analyse.verdicts import worst
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import (
    Findings,
    PorosityFinding,
    ReadingFinding,
    TearFinding,
    Verdict,
)
from trimscribe.model.job import Job, Porosity, PorosityUnit, TearTest

__all__ = ["Cloth", "analysis"]


@dataclass(frozen=True)
class Cloth:
    """Fills `porosity`, `tear` and `cloth_verdict`."""

    contract: int = CONTRACT
    name: str = "cloth"
    needs: tuple[str, ...] = ()

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Each reading, the worst, and the worse of both tests that were made."""
        porosity = _porosity(job.porosity) if job.porosity and job.porosity.readings else None
        tear = _tear(job.tear) if job.tear and job.tear.readings else None
        return replace(
            findings,
            porosity=porosity,
            tear=tear,
            cloth_verdict=worst(test.verdict for test in (porosity, tear) if test),
        )


def _porosity(test: Porosity) -> PorosityFinding:
    """Seconds: higher is better. Flow: lower is better. A reading at the limit passes."""
    seconds = test.unit is PorosityUnit.SECONDS
    values = [reading.value for reading in test.readings]
    mean = mean_seconds(values) if seconds else sum(values) / len(values)
    limit = test.limit
    holds = _against(limit, (lambda v, n: v >= n) if seconds else (lambda v, n: v <= n))
    readings = tuple(ReadingFinding(r.place, r.value, holds(r.value)) for r in test.readings)
    pick = min if seconds else max
    return PorosityFinding(
        unit=test.unit,
        mean=mean,
        mean_flow_l_m2_min=(flow_l_m2_min(mean, test.volume_l, test.area_cm2) if seconds else mean),
        worst=pick(readings, key=lambda reading: reading.value),
        readings=readings,
        limit=limit,
        verdict=worst(reading.verdict for reading in readings),
    )


def _tear(test: TearTest) -> TearFinding:
    """A tear as long as the limit passes."""
    holds = _against(test.limit_mm, lambda value, limit: value <= limit)
    readings = tuple(ReadingFinding(r.place, r.tear_mm, holds(r.tear_mm)) for r in test.readings)
    return TearFinding(
        worst=max(readings, key=lambda reading: reading.value),
        readings=readings,
        limit_mm=test.limit_mm,
        verdict=worst(reading.verdict for reading in readings),
    )


def _against(
    limit: float | None, passes: Callable[[float, float], bool]
) -> Callable[[float], Verdict]:
    """A rule from a reading to its verdict; without a limit nothing is assessed."""

    def verdict(value: float) -> Verdict:
        if limit is None:
            return Verdict.NOT_ASSESSED
        return Verdict.PASS if passes(value, limit) else Verdict.FAIL

    return verdict


analysis = Cloth()
