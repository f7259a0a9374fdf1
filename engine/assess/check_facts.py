"""Facts about cloth, line strength, inspection, weight, and what was left out."""

from dataclasses import dataclass

from trimscribe.assess.declare import fact
from trimscribe.assess.effect_words import beyond
from trimscribe.assess.work_facts import was_replaced
from trimscribe.model.findings import Findings, PorosityFinding, StrengthFinding, Verdict, WhyNot
from trimscribe.model.job import Condition, InspectionItem, Job, PorosityUnit
from trimscribe.model.replaced import of_brakes

_FEW_WORDS = 160  # letters of the pilot's own words that page one has room for
_NEAR = 0.25  # of a limit: judgement


@dataclass(frozen=True)
class CheckFacts:
    """The other checks in plain values; same words as `StateFacts`."""

    cloth: str = fact("not_assessed", "verdict on the cloth", "cloth_verdict")
    porosity: str = fact("not_assessed", "verdict on the air through the cloth", "porosity")
    porosity_readings: int = fact(0, "number of readings", "porosity")
    porosity_worst: float | None = fact(None, "the worst reading", "porosity")
    porosity_place: str = fact("", "where it was taken", "porosity")
    porosity_limit: float | None = fact(None, "its limit", "porosity")
    porosity_unit: str = fact("", "seconds or flow", "porosity")
    tear: str = fact("not_assessed", "verdict on the tear test", "tear")
    tear_readings: int = fact(0, "number of readings", "tear")
    tear_worst_mm: float | None = fact(None, "the longest tear", "tear")
    tear_place: str = fact("", "where it was made", "tear")
    tear_limit_mm: float | None = fact(None, "its limit", "tear")
    strength: str = fact("not_assessed", "verdict on line strength", "strength")
    strength_tests: int = fact(0, "number of lines pulled", "strength")
    strength_failed: tuple[tuple[str, str], ...] = fact(
        (), "lines that broke too early", "strength"
    )
    strength_broke_n: float | None = fact(None, "the lowest load at which one broke", "strength")
    strength_broken: tuple[tuple[str, str], ...] = fact(
        (),
        "other lines that broke, of which no part replaced has the name",
        "strength replacements",
    )
    brake_broke: bool = fact(
        False, "a brake line broke, of which no part replaced has the name", "strength replacements"
    )
    strength_ended_early: int = fact(0, "pulls that ended below the required load", "strength")
    strength_no_limit: int = fact(0, "pulls without a required load", "strength")
    inspection: str = fact("not_assessed", "verdict of the visual inspection", "inspection_verdict")
    inspected: int = fact(0, "number of parts looked at", "inspection")
    damaged: tuple[str, ...] = fact((), "damaged parts", "inspection")
    damaged_how: tuple[str, ...] = fact((), "damaged parts, each with its remark", "inspection")
    worn: tuple[str, ...] = fact((), "worn parts", "inspection")
    worn_how: tuple[str, ...] = fact((), "worn parts, each with its remark", "inspection")
    repaired: tuple[str, ...] = fact((), "repaired parts", "inspection")
    not_checked: tuple[str, ...] = fact((), "parts listed but not looked at", "inspection")
    weight_kg: float | None = fact(None, "weight of pilot and gear", "pilot.all_up_weight_kg")
    weight_way: str = fact(
        "", "over or under the wing's range; empty = within, or not known", "pilot.all_up_weight_kg"
    )
    weight_limit_kg: float | None = fact(
        None, "the end of the range that is passed", "pilot.all_up_weight_kg"
    )
    reported: bool = fact(False, "the pilot told the workshop something", "pilot.reported")
    reported_words: str = fact("", "in these words, if they are few", "pilot.reported")
    answer: str = fact("", "what the workshop found about that", "pilot.answer")
    limits_wider: tuple[str, ...] = fact(
        (), "of lines and brakes, those judged by wider limits than the line set's", "tolerances"
    )
    limits_wider_mm: float | None = fact(None, "the limit widened most", "tolerances")
    limits_own_mm: float | None = fact(None, "what the line set has for it", "tolerances")
    porosity_near: bool = fact(
        False, "the worst reading is within its limit by less than a quarter of it", "porosity"
    )


def check_facts(findings: Findings, job: Job) -> CheckFacts:
    """Facts of everything beside the line lengths."""
    porosity, tear = findings.porosity, findings.tear
    failed = [s for s in findings.strength if beyond(s.verdict.name.lower())]
    weight, weight_way, weight_limit = _weight(job)
    wider = _wider_limits(job)
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
        strength_broken=tuple(
            (s.test.line, _side(s))
            for s in findings.strength
            if s.test.broke and s not in failed and not was_replaced(s.test, job)
        ),
        brake_broke=any(
            s.test.broke
            and of_brakes(f"line {s.test.line}", job.specification)
            and not was_replaced(s.test, job)
            for s in findings.strength
        ),
        strength_ended_early=sum(s.why_not is WhyNot.ENDED_EARLY for s in findings.strength),
        strength_no_limit=sum(s.why_not is WhyNot.NO_LIMIT for s in findings.strength),
        inspection=findings.inspection_verdict.name.lower(),
        inspected=sum(i.condition is not Condition.NOT_CHECKED for i in job.inspection),
        damaged=_parts(job.inspection, Condition.DAMAGED),
        damaged_how=_with_remarks(job.inspection, Condition.DAMAGED),
        worn=_parts(job.inspection, Condition.WORN),
        worn_how=_with_remarks(job.inspection, Condition.WORN),
        repaired=_parts(job.inspection, Condition.REPAIRED),
        not_checked=_parts(job.inspection, Condition.NOT_CHECKED),
        weight_kg=weight,
        weight_way=weight_way,
        weight_limit_kg=weight_limit,
        reported=bool(job.pilot and job.pilot.reported.strip()),
        reported_words=_words(job),
        answer=" ".join(job.pilot.answer.split()) if job.pilot else "",
        limits_wider=tuple(dict.fromkeys(kind for _, _, kind in wider)),
        limits_wider_mm=wider[0][0] if wider else None,
        limits_own_mm=wider[0][1] if wider else None,
        porosity_near=_near(porosity),
    )


def _wider_limits(job: Job) -> list[tuple[float, float, str]]:
    """Limits in mm with what the line set has for it, each wider than that, the most first."""
    spec = job.specification
    limits = [
        (used, own, "brakes" if group.kind.is_brake else "lines")
        for group in (spec.groups if spec else ())
        if spec and (own := spec.tolerances.limit_mm(group.name)) is not None
        if (used := job.tolerances.limit_mm(group.name)) is not None and used > own
    ]
    return sorted(limits, key=lambda limit: limit[1] - limit[0])


def _with_remarks(items: tuple[InspectionItem, ...], condition: Condition) -> tuple[str, ...]:
    return tuple(
        f"{item.part} ({remark})" if (remark := item.remark.strip().rstrip(".")) else item.part
        for item in items
        if item.condition is condition
    )


def _words(job: Job) -> str:
    """What the pilot told the workshop, on one line; empty where it is too long for page one."""
    words = " ".join(job.pilot.reported.split()) if job.pilot else ""
    return words if len(words) <= _FEW_WORDS else ""


def _near(found: PorosityFinding | None) -> bool:
    """Whether the worst reading is within its limit by less than a quarter of it."""
    if found is None or found.limit is None or found.verdict is not Verdict.PASS:
        return False
    return abs(found.worst.value - found.limit) < _NEAR * found.limit


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
