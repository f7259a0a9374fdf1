"""The analysis `cloth`: porosity and tear test against the limits of the job."""

import math
from dataclasses import dataclass, replace

from trimscribe.analyse.air_permeability import flow_l_m2_min, mean_seconds
from trimscribe.analyse.effects import conformance_probability
from trimscribe.analyse.verdicts import decide, worst
from trimscribe.contracts import CONTRACT
from trimscribe.model.decision import DecisionRule
from trimscribe.model.findings import (
    Findings,
    PorosityFinding,
    ReadingFinding,
    TearFinding,
    Verdict,
)
from trimscribe.model.job import Job, Porosity, PorosityUnit, TearTest

__all__ = ["ClothAnalysis", "analysis"]


@dataclass(frozen=True)
class ClothAnalysis:
    """Fills `porosity`, `tear` and `cloth_verdict`."""

    contract: int = CONTRACT
    name: str = "cloth"
    needs: tuple[str, ...] = ()

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Each reading, the worst, and the worse of both tests that were made."""
        rule, porosity, tear = job.decision_rule, None, None
        if job.porosity and job.porosity.readings:
            porosity = _porosity(job.porosity, rule)
        if job.tear and job.tear.readings:
            tear = _tear(job.tear, rule)
        return replace(
            findings,
            porosity=porosity,
            tear=tear,
            cloth_verdict=worst(test.verdict for test in (porosity, tear) if test),
        )


def _porosity(test: Porosity, rule: DecisionRule) -> PorosityFinding:
    """Seconds: higher is better. Flow: lower is better. A reading at the limit passes."""
    seconds = test.unit is PorosityUnit.SECONDS
    values = [reading.value for reading in test.readings]
    mean = mean_seconds(values) if seconds else math.fsum(values) / len(values)
    judge = _Judge(rule, test.uncertainty, test.limit, at_least=seconds)
    readings = tuple(judge.reading(r.place, r.value) for r in test.readings)
    pick = min if seconds else max
    return PorosityFinding(
        unit=test.unit,
        mean=mean,
        mean_flow_l_m2_min=(flow_l_m2_min(mean, test.volume_l, test.area_cm2) if seconds else mean),
        worst=pick(readings, key=lambda reading: reading.value),
        readings=readings,
        limit=test.limit,
        verdict=worst(reading.verdict for reading in readings),
    )


def _tear(test: TearTest, rule: DecisionRule) -> TearFinding:
    """A tear as long as the limit passes."""
    judge = _Judge(rule, test.uncertainty_mm, test.limit_mm, at_least=False)
    readings = tuple(judge.reading(r.place, r.tear_mm) for r in test.readings)
    return TearFinding(
        worst=max(readings, key=lambda reading: reading.value),
        readings=readings,
        limit_mm=test.limit_mm,
        verdict=worst(reading.verdict for reading in readings),
    )


@dataclass(frozen=True)
class _Judge:
    """Holds readings against one limit; without a limit nothing is assessed."""

    rule: DecisionRule
    u: float | None
    limit: float | None
    at_least: bool

    def reading(self, place: str, value: float) -> ReadingFinding:
        if self.limit is None:
            return ReadingFinding(place, value, Verdict.NOT_ASSESSED)
        limits = (self.limit, math.inf) if self.at_least else (-math.inf, self.limit)
        verdict = decide(self.rule, value, self.u, *limits)
        chance = conformance_probability(value, self.u, *limits) if self.u else None
        return ReadingFinding(place, value, verdict, chance)


analysis = ClothAnalysis()
