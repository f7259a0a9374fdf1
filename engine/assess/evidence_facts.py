"""Facts about how results were judged and how far the data can be trusted."""

from collections.abc import Iterable
from dataclasses import dataclass

from trimscribe.assess.brake_facts import line_name
from trimscribe.assess.declare import fact
from trimscribe.model.doubts import CHANGED, EITHER, SPECIFIED, WORK
from trimscribe.model.findings import Doubt, DoubtKind, Findings, LoadCorrection, State
from trimscribe.model.wing import BRAKE

_TWO_ROWS = (DoubtKind.ROWS_SWAPPED, DoubtKind.ROWS_EQUAL)
_IN_A_ROW = (
    *_TWO_ROWS,
    DoubtKind.REVERSED,
    DoubtKind.SHIFTED,
    DoubtKind.OFF_TOGETHER,
    DoubtKind.REPEATED,
)
# The others are about several measured values at once.
_BY_THEMSELVES = (DoubtKind.LENGTH, DoubtKind.RISER, DoubtKind.SIDES_SWAPPED, *WORK, *SPECIFIED)


@dataclass(frozen=True)
class EvidenceFacts:
    """The decision rule, corrections for load, and doubts, in plain values."""

    decision: str = fact("simple", "simple, guarded or probability", "decision")
    decision_value: float = fact(
        0.0, "guard band in standard uncertainties, or least probability", "decision"
    )
    decision_risk: float = fact(
        50.0, "highest risk, in percent, that a result which passes does not conform", "decision"
    )
    decision_worst: float | None = fact(
        None, "that of the result which passed with the highest, in percent", "decision"
    )
    decision_unsure: tuple[str, ...] = fact(
        (), "parts judged though nobody stated how certain their values are", "decision"
    )
    corrected: bool = fact(
        False, "lengths were corrected for the measuring load", "{corrected}.correction"
    )
    corrected_when: str = fact(
        "", "the measuring with the largest correction, before or after", "{corrected}.correction"
    )
    corrected_from_n: float | None = fact(
        None, "the load they were measured at", "{corrected}.correction"
    )
    corrected_to_n: float | None = fact(None, "the specification's load", "{corrected}.correction")
    corrected_mm: float | None = fact(
        None, "the correction largest in size, + = longer", "{corrected}.correction"
    )
    corrected_u_mm: float | None = fact(None, "its standard uncertainty", "{corrected}.correction")
    doubts: int = fact(0, "how many values look wrong and were not confirmed", "doubts")
    doubts_at: tuple[str, ...] = fact((), "their names", "doubts")
    doubts_lengths: int = fact(0, "measured values that look wrong by themselves", "doubts")
    doubts_lists: bool = fact(False, "measured values that look wrong together", "doubts")
    doubts_sides: bool = fact(False, "left and right look mixed up", "doubts")
    doubts_unlike: int = fact(
        0, "lines that moved unlike their entry, which the ledger reports", "doubts"
    )
    doubts_moved: int = fact(0, "lines that moved though no work was entered", "doubts")
    doubts_moved_lines: tuple[tuple[str, str], ...] = fact((), "these with their side", "doubts")
    doubts_specified: int = fact(0, "specified lengths or rows that look wrong", "doubts")
    doubts_lines: tuple[tuple[str, str], ...] = fact(
        (), "lines of which a measured length looks wrong by itself, with their side", "doubts"
    )
    doubts_all_mm: float | None = fact(
        None, "what all lines together are off by where that looks wrong, + = longer", "doubts"
    )
    doubts_rows: tuple[tuple[str, str], ...] = fact(
        (), "rows whose measured lengths look wrong together, with the side if it is one", "doubts"
    )
    doubts_points: tuple[str, ...] = fact(
        (),
        "points whose specified length looks wrong, or rows where it is not clear which",
        "doubts",
    )
    doubts_risers: tuple[tuple[str, str], ...] = fact(
        (), "risers of which a measured length looks wrong, with their side", "doubts"
    )
    doubts_on: tuple[str, ...] = fact(
        (),
        "of lines, brakes and risers, those of which values look wrong, but for changes without "
        "an entry or unlike it",
        "doubts",
    )
    doubts_moved_on: tuple[str, ...] = fact(
        (), "of lines and brakes, those that moved though no work was entered", "doubts"
    )
    doubts_left_out: bool = fact(
        False, "lengths in doubt were left out of all that others depend on", "doubts"
    )
    doubts_stay: bool = fact(
        False, "what is in doubt is not a length that could be left out", "doubts"
    )
    confirmed: int = fact(0, "how many values look wrong and were confirmed", "doubts")
    confirmed_at: tuple[str, ...] = fact((), "their names, with the reason given", "doubts")


def evidence_facts(findings: Findings) -> EvidenceFacts:
    """Facts of the decision rule, the loads and the doubts."""
    decision, rule = findings.decision, findings.decision.rule
    when, largest = _largest_correction(findings)
    doubts = [doubt for doubt in findings.doubts if doubt.kind is not DoubtKind.NOTHING]
    open_at = {d.name: d.kind for d in doubts if d.confirmed is None}
    kinds = [*open_at.values()]
    unsure = [doubt for doubt in doubts if doubt.confirmed is None]
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
        doubts_at=tuple(map(_place, unsure)),
        doubts_lengths=kinds.count(DoubtKind.LENGTH),
        doubts_lists=any(kind not in _BY_THEMSELVES for kind in kinds),
        doubts_sides=DoubtKind.SIDES_SWAPPED in kinds,
        doubts_unlike=kinds.count(DoubtKind.MOVED_UNLIKE),
        doubts_moved=kinds.count(DoubtKind.MOVED),
        doubts_moved_lines=tuple(_moved(d) for d in unsure if d.kind is DoubtKind.MOVED),
        doubts_specified=sum(kind in SPECIFIED for kind in kinds),
        doubts_lines=_lines(unsure),
        doubts_all_mm=next((d.found for d in unsure if d.kind is DoubtKind.OFFSET), None),
        doubts_rows=_rows(unsure),
        doubts_points=_points(unsure),
        doubts_risers=tuple(
            dict.fromkeys(
                (str(d.at[-1]), str(d.at[-2])) for d in unsure if d.kind is DoubtKind.RISER
            )
        ),
        doubts_on=_groups(d for d in unsure if d.kind not in WORK),
        doubts_moved_on=_groups(d for d in unsure if d.kind is DoubtKind.MOVED),
        doubts_left_out=any(doubt.left_out for doubt in unsure),
        doubts_stay=not all(doubt.left_out for doubt in unsure),
        confirmed=len(settled),
        confirmed_at=tuple(settled.values()),
    )


def _place(doubt: Doubt) -> str:
    """Its name; of a change without an entry either reading may be wrong, not the later alone."""
    _, _, rest = doubt.name.partition(".")
    either = doubt.kind is DoubtKind.MOVED or doubt.other in CHANGED
    return f"between.{rest}" if either and rest else doubt.name


def _lines(doubts: Iterable[Doubt]) -> tuple[tuple[str, str], ...]:
    """Single measured lengths; neighbours that were swapped are two."""
    single = (DoubtKind.LENGTH, DoubtKind.NEIGHBOURS_SWAPPED)
    keys = (key for doubt in doubts if doubt.kind in single for key in doubt.lines)
    return tuple(dict.fromkeys((line_name(point), side.value) for side, point in keys))


def _groups(doubts: Iterable[Doubt]) -> tuple[str, ...]:
    """Which parts of the verdict summary doubts are about; of a whole side or wing, its lines."""
    found = set()
    for doubt in doubts:
        brakes = {BRAKE in point.group for _, point in doubt.lines} or {False}
        own = {True: "brakes", False: "lines"}
        found |= {"risers"} if doubt.kind is DoubtKind.RISER else {own[x] for x in brakes}
    return tuple(sorted(found))


def _moved(doubt: Doubt) -> tuple[str, str]:
    """A main line by its name, or a single one as it is named elsewhere, with its side."""
    (side, point), *others = doubt.lines
    return doubt.other if others else line_name(point), side.value


def _rows(doubts: Iterable[Doubt]) -> tuple[tuple[str, str], ...]:
    """Rows that a doubt is about, with their side, which is empty where it is about both."""
    names: dict[tuple[str, str], None] = {}
    for doubt in doubts:
        rows = dict.fromkeys(point.group for _, point in doubt.lines)
        if doubt.kind in _TWO_ROWS or (doubt.kind in _IN_A_ROW and len(rows) == 1):
            sides = {side.value for side, _ in doubt.lines}
            names |= dict.fromkeys((row, "" if len(sides) > 1 else min(sides)) for row in rows)
    return tuple(names)


def _points(doubts: Iterable[Doubt]) -> tuple[str, ...]:
    """Points of the line set, such as A7, or its rows."""
    names = (d.name.partition(".")[2] for d in doubts if d.kind in SPECIFIED)
    return tuple(dict.fromkeys(names))


def in_doubt(findings: Findings, state: State | None) -> bool:
    """Whether what a state says of its brakes rests on values that nobody confirmed.

    Those of the earlier measuring too where lines were carried over from it. Lines of the wing that
    are in doubt are left out; a brake line that is may be the tightest.
    """
    if state is None:
        return False
    whens = ["specification", "after" if state is findings.after else "before"]
    if state.carry_over and state.carry_over.carried:
        whens.append("before")
    return any(
        doubt.confirmed is None
        and doubt.at[0] in whens
        and (doubt.kind in EITHER or any(BRAKE in point.group for _, point in doubt.lines))
        for doubt in findings.doubts
    )


def _largest_correction(findings: Findings) -> tuple[str, LoadCorrection | None]:
    """The correction largest in size, and the measuring that it was made for."""
    states = {"before": findings.before, "after": findings.after}
    made = [(when, s.correction) for when, s in states.items() if s and s.correction]
    return max(made, key=lambda one: abs(one[1].largest_mm), default=("", None))
