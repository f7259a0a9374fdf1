"""The analysis `cloth`: porosity and tear test against the limits of the job."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from trimscribe.analyse.judging import conformance_probability, decide
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
from trimscribe.model.verdicts import worst

_CM2_PER_M2 = 10_000.0
_S_PER_MIN = 60.0


def flow_l_m2_min(seconds: float, volume_l: float | None, area_cm2: float | None) -> float | None:
    """Flow in L/m²/min when `volume_l` passes through `area_cm2` in this many seconds.

    At the meter's own pressure: flows of meters that suck harder are not comparable. None when
    the meter's volume or area is unknown.
    """
    if volume_l is None or area_cm2 is None:
        return None
    return _S_PER_MIN * volume_l / (area_cm2 / _CM2_PER_M2 * seconds)


def mean_seconds(seconds: Sequence[float]) -> float:
    """The seconds of the mean flow: 10 s and 40 s give 16 s.

    Flow goes with one over the time, so averaging seconds would hide the leakiest cloth.
    """
    return len(seconds) / math.fsum(1.0 / t for t in seconds)


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
