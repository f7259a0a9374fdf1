"""The flat namespace that rules and phrases look at.

`found_…` is the wing as it came, `now_…` the wing as it leaves (measured again, else as it came),
`change_…` the difference; the rest is the work, the other checks and what they add up to. The head
of rules.yaml describes every fact; a test keeps the two lists equal.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType

from trimscribe.model.findings import Findings
from trimscribe.model.job import Job
from trimscribe.narrate.check_facts import CheckFacts, check_facts
from trimscribe.narrate.state_facts import StateFacts, state_facts
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
    stop: bool
    not_assessed: tuple[str, ...]


def facts_of(findings: Findings, job: Job) -> Facts:
    """All facts of one job, by name."""
    found, now = state_facts(findings.before), state_facts(findings.now)
    change, work = change_facts(findings.change), work_facts(findings, job)
    checks = check_facts(findings, job)
    summary = _summary(findings, found, now, change, work, checks)
    return MappingProxyType(
        {
            **_flat("found_", found),
            **_flat("now_", now),
            **_flat("change_", change),
            **_flat("", work),
            **_flat("", checks),
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
    return _Summary(
        remeasured=findings.after is not None,
        comparable=not (found.load_differs or now.load_differs),
        trim_changed=work.lines_adjusted or change.pitch in ("possible", "expected"),
        lines_touched=work.adjusted or bool(work.replaced),
        stop=bool(checks.damaged) or "fail" in (checks.cloth, checks.strength),
        not_assessed=tuple(name for name, verdict in groups.items() if verdict == "not_assessed"),
    )


NAMES = frozenset(
    prefix + field.name
    for prefix, part in (
        ("found_", StateFacts),
        ("now_", StateFacts),
        ("change_", ChangeFacts),
        ("", WorkFacts),
        ("", CheckFacts),
        ("", _Summary),
    )
    for field in fields(part)
)
