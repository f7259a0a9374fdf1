"""Facts about cloth, line strength, inspection, weight, and what was left out."""

from dataclasses import dataclass

from trimscribe.model.findings import Findings, StrengthFinding, WhyNot
from trimscribe.model.job import Condition, InspectionItem, Job, PorosityUnit
from trimscribe.narrate.effect_words import outside

__all__ = ["CheckFacts", "check_facts"]


@dataclass(frozen=True)
class CheckFacts:
    """The other checks in plain values; same words as `StateFacts`."""

    cloth: str = "not_assessed"
    porosity: str = "not_assessed"
    porosity_readings: int = 0
    porosity_worst: float | None = None
    porosity_place: str = ""
    porosity_limit: float | None = None
    porosity_unit: str = ""
    tear: str = "not_assessed"
    tear_readings: int = 0
    tear_worst_mm: float | None = None
    tear_place: str = ""
    tear_limit_mm: float | None = None
    strength: str = "not_assessed"
    strength_tests: int = 0
    strength_failed: tuple[tuple[str, str], ...] = ()
    strength_broke_n: float | None = None
    strength_ended_early: int = 0
    strength_no_limit: int = 0
    inspection: str = "not_assessed"
    inspected: int = 0
    damaged: tuple[str, ...] = ()
    worn: tuple[str, ...] = ()
    repaired: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = ()
    weight_kg: float | None = None
    weight_way: str = ""
    weight_limit_kg: float | None = None
    reported: bool = False


def check_facts(findings: Findings, job: Job) -> CheckFacts:
    """Facts of everything beside the line lengths."""
    porosity, tear = findings.porosity, findings.tear
    failed = [s for s in findings.strength if outside(s.verdict.name.lower())]
    weight, weight_way, weight_limit = _weight(job)
    return CheckFacts(
        cloth=findings.cloth_verdict.name.lower(),
        porosity=porosity.verdict.name.lower() if porosity else "not_assessed",
        porosity_readings=len(porosity.readings) if porosity else 0,
        porosity_worst=porosity.worst.value if porosity else None,
        porosity_place=porosity.worst.place if porosity else "",
        porosity_limit=porosity.limit if porosity else None,
        porosity_unit=_unit(porosity.unit) if porosity else "",
        tear=tear.verdict.name.lower() if tear else "not_assessed",
        tear_readings=len(tear.readings) if tear else 0,
        tear_worst_mm=tear.worst.value if tear else None,
        tear_place=tear.worst.place if tear else "",
        tear_limit_mm=tear.limit_mm if tear else None,
        strength=findings.strength_verdict.name.lower(),
        strength_tests=len(findings.strength),
        strength_failed=tuple((s.test.line, _side(s)) for s in failed),
        strength_broke_n=min((s.test.load_n for s in failed), default=None),
        strength_ended_early=sum(s.why_not is WhyNot.ENDED_EARLY for s in findings.strength),
        strength_no_limit=sum(s.why_not is WhyNot.NO_LIMIT for s in findings.strength),
        inspection=findings.inspection_verdict.name.lower(),
        inspected=sum(i.condition is not Condition.NOT_CHECKED for i in job.inspection),
        damaged=_parts(job.inspection, Condition.DAMAGED),
        worn=_parts(job.inspection, Condition.WORN),
        repaired=_parts(job.inspection, Condition.REPAIRED),
        not_checked=_parts(job.inspection, Condition.NOT_CHECKED),
        weight_kg=weight,
        weight_way=weight_way,
        weight_limit_kg=weight_limit,
        reported=bool(job.pilot and job.pilot.reported.strip()),
    )


def _unit(unit: PorosityUnit) -> str:
    return "seconds" if unit is PorosityUnit.SECONDS else "flow"


def _side(finding: StrengthFinding) -> str:
    return finding.test.side.value if finding.test.side else ""


def _parts(items: tuple[InspectionItem, ...], condition: Condition) -> tuple[str, ...]:
    return tuple(item.part for item in items if item.condition is condition)


def _weight(job: Job) -> tuple[float | None, str, float | None]:
    """The pilot's weight with gear against the wing's range."""
    weight = job.pilot.all_up_weight_kg if job.pilot else None
    low, high = job.wing.weight_min_kg, job.wing.weight_max_kg
    if weight is not None and high is not None and weight > high:
        return weight, "over", high
    if weight is not None and low is not None and weight < low:
        return weight, "under", low
    return weight, "", None
