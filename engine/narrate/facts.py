"""The flat namespace that rules and phrases look at.

`found_…` is the wing as it came, `now_…` the wing as it leaves, `change_…` the difference; the
rest is the work, the other checks and what they add up to. The head of rules.yaml describes every
fact; a test keeps the two lists equal.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType

from trimscribe.model.findings import Findings
from trimscribe.model.job import Job
from trimscribe.narrate.check_facts import CheckFacts, check_facts
from trimscribe.narrate.effect_words import noticeable, outside
from trimscribe.narrate.evidence_facts import EvidenceFacts, evidence_facts
from trimscribe.narrate.state_facts import ABSENT, StateFacts, state_facts
from trimscribe.narrate.work_facts import ChangeFacts, WorkFacts, change_facts, work_facts

__all__ = ["NAMES", "Fact", "Facts", "facts_of"]

Fact = str | float | bool | tuple[str, ...] | tuple[tuple[str, str], ...] | None
Facts = Mapping[str, Fact]


@dataclass(frozen=True)
class _Summary:
    """What several facts add up to."""

    remeasured: bool
    comparable: bool
    trim_changed: bool
    lines_touched: bool
    free_travel_low: tuple[str, ...]
    free_travel_mm: float | None
    free_travel_estimated: bool
    stop: tuple[str, ...]
    not_assessed: tuple[str, ...]


def facts_of(findings: Findings, job: Job) -> Facts:
    """All facts of one job, by name."""
    change, work = change_facts(findings.change), work_facts(findings, job)
    found, now = state_facts(findings.before), state_facts(findings.now)
    if findings.after is None and (work.adjusted or work.replaced):
        now = ABSENT  # nobody measured what the work made of it
    checks = check_facts(findings, job)
    summary = _summary(findings, found, now, change, work, checks)
    return MappingProxyType(
        {
            **_flat("found_", found),
            **_flat("now_", now),
            **_flat("change_", change),
            **_flat("", work),
            **_flat("", checks),
            **_flat("", evidence_facts(findings)),
            **_flat("", summary),
        }
    )


def _flat(prefix: str, part: object) -> dict[str, Fact]:
    # vars, not asdict: the tuples are shared, not copied
    return {prefix + name: value for name, value in vars(part).items()}


def _summary(
    findings: Findings,
    found: StateFacts,
    now: StateFacts,
    change: ChangeFacts,
    work: WorkFacts,
    checks: CheckFacts,
) -> _Summary:
    groups = {
        "lines": now.lines,
        "brakes": now.brakes,
        "cloth": checks.cloth,
        "strength": checks.strength,
        "risers": now.risers if now.risers != "not_assessed" else found.risers,
        "inspection": checks.inspection,
    }
    # Too little free travel stays a danger until it was measured anew.
    travel = now if now.free_travel_mm is not None else found
    return _Summary(
        remeasured=findings.after is not None,
        comparable=not (found.load_differs or now.load_differs),
        trim_changed=work.lines_adjusted or noticeable(change.pitch),
        lines_touched=work.adjusted or bool(work.replaced),
        free_travel_low=travel.free_travel_low,
        free_travel_mm=travel.free_travel_mm,
        free_travel_estimated=travel.free_travel_estimated,
        stop=_stop(travel, checks),
        not_assessed=tuple(name for name, verdict in groups.items() if verdict == "not_assessed"),
    )


def _stop(travel: StateFacts, checks: CheckFacts) -> tuple[str, ...]:
    """The groups in which something must be put right before the wing flies again."""
    reasons = {
        "strength": outside(checks.strength),
        "cloth": outside(checks.cloth),
        "inspection": bool(checks.damaged),
        "brakes": bool(travel.free_travel_low),
    }
    return tuple(group for group, bad in reasons.items() if bad)


NAMES = frozenset(
    prefix + field.name
    for prefix, part in (
        ("found_", StateFacts),
        ("now_", StateFacts),
        ("change_", ChangeFacts),
        ("", WorkFacts),
        ("", CheckFacts),
        ("", EvidenceFacts),
        ("", _Summary),
    )
    for field in fields(part)
)
