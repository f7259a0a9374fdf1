"""Facts about how results were judged and how far the data can be trusted."""

from dataclasses import dataclass

from trimscribe.model.findings import DoubtKind, Findings, LoadCorrection

__all__ = ["EvidenceFacts", "evidence_facts"]


@dataclass(frozen=True)
class EvidenceFacts:
    """The decision rule, corrections for load, and doubts, in plain values."""

    decision: str = "simple"
    decision_value: float = 0.0
    decision_risk: float = 50.0
    decision_worst: float | None = None
    decision_unsure: tuple[str, ...] = ()
    corrected: bool = False
    corrected_when: str = ""
    corrected_from_n: float | None = None
    corrected_to_n: float | None = None
    corrected_mm: float | None = None
    corrected_u_mm: float | None = None
    doubts: int = 0
    doubts_at: tuple[str, ...] = ()
    confirmed: int = 0
    confirmed_at: tuple[str, ...] = ()


def evidence_facts(findings: Findings) -> EvidenceFacts:
    """Facts of the decision rule, the loads and the doubts."""
    decision, rule = findings.decision, findings.decision.rule
    when, largest = _largest_correction(findings)
    doubts = [doubt for doubt in findings.doubts if doubt.kind is not DoubtKind.NOTHING]
    open_at = dict.fromkeys(d.name for d in doubts if d.confirmed is None)
    settled = {d.name: f"{d.name} ({d.confirmed})" for d in doubts if d.confirmed is not None}
    return EvidenceFacts(
        decision=rule.acceptance.value,
        decision_value=rule.value,
        decision_risk=100.0 * decision.false_acceptance,
        decision_worst=(
            None if decision.worst_accepted is None else 100.0 * decision.worst_accepted
        ),
        decision_unsure=decision.simple_for,
        corrected=largest is not None,
        corrected_when=when,
        corrected_from_n=largest.from_n if largest else None,
        corrected_to_n=largest.to_n if largest else None,
        corrected_mm=largest.largest_mm if largest else None,
        corrected_u_mm=largest.u_mm if largest else None,
        doubts=len(open_at),
        doubts_at=tuple(open_at),
        confirmed=len(settled),
        confirmed_at=tuple(settled.values()),
    )


def _largest_correction(findings: Findings) -> tuple[str, LoadCorrection | None]:
    """The correction largest in size, and the measuring that it was made for."""
    states = {"before": findings.before, "after": findings.after}
    made = [(when, s.correction) for when, s in states.items() if s and s.correction]
    return max(made, key=lambda one: abs(one[1].largest_mm), default=("", None))
