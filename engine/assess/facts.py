"""The flat namespace that rules and phrases look at.

`found_…` is the wing as it came, `now_…` the wing as it leaves, `change_…` the difference; the
rest is the work, the other checks and what they add up to. Where nothing was measured after the
work, `now_…` is not assessed; where the wing was measured only then, `found_…` is of that, too.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeVar

from trimscribe.assess.brake_facts import Basis, BrakeFacts
from trimscribe.assess.change_facts import ChangeFacts, change_facts, unexplained
from trimscribe.assess.check_facts import CheckFacts, check_facts
from trimscribe.assess.declare import Declared, declared, fact
from trimscribe.assess.effect_words import beyond, noticeable
from trimscribe.assess.evidence_facts import EvidenceFacts, evidence_facts, in_doubt
from trimscribe.assess.last_brakes import Brakes, LastBrakes, last_brakes
from trimscribe.assess.state_facts import (
    StateFacts,
    assumed,
    lines_alone,
    state_facts,
    turning_alike,
)
from trimscribe.assess.work_facts import WorkFacts, touched_points, work_facts
from trimscribe.model.assessment import Facts
from trimscribe.model.findings import DoubtKind, Findings
from trimscribe.model.job import Flight, Job, OffsetMethod
from trimscribe.model.thresholds import thresholds_of
from trimscribe.model.wing import Side

_Turning = TypeVar("_Turning", StateFacts, ChangeFacts)
_DEFAULT_LIMIT = "common practice, no source"  # as the reading names its own default


@dataclass(frozen=True)
class Summary:
    """What several facts add up to."""

    remeasured: bool = fact(False, "the wing was measured a second time", "after")
    only_after: bool = fact(
        False, "the wing was measured after the work alone: found_… is not how it came", "after"
    )
    trim_changed: bool = fact(
        False, "row or stabilo lines were adjusted, or the angle changed noticeably", "change.pitch"
    )
    lines_touched: bool = fact(False, "anything was adjusted or replaced", "adjustments")
    tolerance_default: bool = fact(
        False, "no maker's or workshop's limit was given for some lines", "tolerances"
    )
    flight: str = fact(
        "not_decided",
        "released, released_with_conditions, not_released or not_decided, by the workshop",
        "decision.flight",
    )
    flight_by: str = fact(
        "", "who decided; empty where only the workshop is known", "decision.flight"
    )
    flight_conditions: str = fact("", "under which conditions", "decision.flight")
    flight_reason: str = fact("", "why", "decision.flight")
    grounded: bool = fact(
        False,
        "something must be put right first, or the wing is not released",
        "decision.flight {travel}.brakes strength cloth_verdict inspection_verdict",
    )
    workshop_contact: tuple[str, ...] = fact((), "how to reach the workshop", "workshop")
    noticed: bool = fact(
        False,
        "as it came, something was found that a pilot may notice or a workshop has to look at",
        "{found}.lines {found}.pitch {found}.symmetry {found}.residuals {found}.brakes "
        "{found}.brake_difference {found}.travel_difference {found}.riser_verdict strength "
        "cloth_verdict inspection_verdict doubts",
    )
    stop: tuple[str, ...] = fact(
        (),
        "groups that must be put right before the next flight",
        "{travel}.brakes strength cloth_verdict inspection_verdict",
    )
    against: tuple[str, ...] = fact(
        (),
        "why the report advises against flying, asks for something to be measured, checked or "
        "asked first, or says that something is outside limits: groups of stop, then load, "
        "not_again, untied, rest, disagree, free_travel, travel_close, short_brakes, doubts, "
        "unlike_plan, not_proven, broken, then outside_lines, outside_risers, outside_brakes",
        "{now}.comparable_load {now}.offset_why {now}.carry_over {now}.verdict "
        "{now}.riser_verdict {now}.brake_verdict {travel}.brakes doubts ledger work adjustments "
        "replacements strength cloth_verdict inspection_verdict",
    )
    not_assessed: tuple[str, ...] = fact(
        (),
        "groups without a verdict; of brakes whose free travel was measured, their lengths; of two "
        "brakes of which one has a verdict, the other one, or its lengths",
        "{now}.verdict {now}.brake_verdict {now}.riser_verdict strength "
        "cloth_verdict inspection_verdict",
    )


# By group the front of its names, where its facts are declared, and the front of their trails.
_GROUPS: tuple[tuple[str, type, str], ...] = (
    ("found_", StateFacts, "{found}."),
    ("found_", BrakeFacts, "{found}."),
    ("now_", StateFacts, "{now}."),
    ("now_", BrakeFacts, "{now}."),
    ("change_", ChangeFacts, ""),
    ("", WorkFacts, ""),
    ("", CheckFacts, ""),
    ("", EvidenceFacts, ""),
    ("", LastBrakes, ""),
    ("", Summary, ""),
)

# Every fact by its full name.
DECLARED: Mapping[str, Declared] = MappingProxyType(
    {
        prefix + name: Declared(
            known.meaning, " ".join(f"{at}{path}" for path in known.trail.split())
        )
        for prefix, part, at in _GROUPS
        for name, known in declared(part).items()
    }
)


def facts_of(findings: Findings, job: Job) -> Facts:
    """All facts of one job, by name."""
    work = work_facts(findings, job)
    change = ChangeFacts() if _copied(findings, job) else change_facts(findings, work)
    turns_as_before = change.turn == "none"
    if not (work.adjusted or work.replaced):
        change = unexplained(change)
        turns_as_before |= not change.unexplained
    thresholds = thresholds_of(job)
    first, last = findings.first, findings.now
    if findings.after is None and (work.adjusted or work.replaced):
        last = None  # nobody measured what the work made of it
    reference = job.offset_row if job.offset_method is OffsetMethod.ROW else ""
    found, now = (state_facts(state, reference) for state in (first, last))
    if turns_as_before:
        found, now = turning_alike(found, now), turning_alike(now, found)
    evidence = evidence_facts(findings)
    if evidence.doubts_sides:
        found, now, change = _side_open(found), _side_open(now), _side_open(change)
    specified = job.specification.brake_free_travel_mm if job.specification else None
    of_found, of_last = (
        Basis(
            thresholds,
            specified,
            in_doubt(findings, state),
            assumed=state is not None and assumed(state),
            by_lines=state is not None and lines_alone(state),
        )
        for state in (first, last)
    )
    as_it_came, as_it_is = Brakes.of(first, of_found), Brakes.of(last, of_last)
    had, have = as_it_came.facts, as_it_is.facts
    again = findings.after is not None  # else all of it is not known, brakes like the rest
    brakes = last_brakes(
        as_it_came,
        as_it_is,
        moved=tuple(side.value for side in Side) if again and work.lines_adjusted else (),
        reset=work.brakes_worked if again else (),
    )
    checks = check_facts(findings, job)
    summary = _summary(
        findings, job, (found, now), (had, have, brakes), (change, work), checks, evidence
    )
    parts = (found, had, now, have, change, work, checks, evidence, brakes, summary)
    return MappingProxyType(
        {
            prefix + name: value
            for (prefix, _, _), part in zip(_GROUPS, parts, strict=True)
            for name, value in vars(part).items()  # not asdict: the tuples are shared, not copied
        }
    )


def _copied(findings: Findings, job: Job) -> bool:
    """Whether lines that were worked on read to the mm as before, as if a column was copied."""
    touched = touched_points(job)
    return any(
        doubt.kind is DoubtKind.TIMES_EQUAL
        and doubt.confirmed is None
        and not touched.isdisjoint((side, str(point)) for side, point in doubt.lines)
        for doubt in findings.doubts
    )


def _side_open(facts: _Turning) -> _Turning:
    """The same without the side of a turn, which may be the other one where both were mixed up."""
    return replace(facts, turn_side="", turn_differs=facts.turn_differs or bool(facts.turn_side))


def trails_of(facts: Facts) -> Mapping[str, tuple[str, ...]]:
    """By fact, the paths of the findings or of the job's values that it comes from."""
    found = "after" if facts["only_after"] else "before"
    now = "after" if facts["remeasured"] else found
    # Free travel that was not measured again is still that of the wing as it came.
    travel = found if facts["free_travel_past"] or facts["now_free_travel_mm"] is None else now
    states = {"found": found, "now": now, "travel": travel, "corrected": facts["corrected_when"]}
    return {name: tuple(known.trail.format(**states).split()) for name, known in DECLARED.items()}


def _summary(
    findings: Findings,
    job: Job,
    states: tuple[StateFacts, StateFacts],
    brakes: tuple[BrakeFacts, BrakeFacts, LastBrakes],
    done: tuple[ChangeFacts, WorkFacts],
    checks: CheckFacts,
    evidence: EvidenceFacts,
) -> Summary:
    (found, now), (had, have, last), (change, work) = states, brakes, done
    groups = {
        "lines": "fail" if work.still_outside else _last(now.lines, found.lines),
        _brakes_left_out(last): "not_assessed",
        "cloth": checks.cloth,
        "strength": "open" if checks.strength_tests else checks.strength,
        "risers": _last(now.risers, found.risers),
        "inspection": checks.inspection,
    }
    stop, flight = _stop(last, checks), job.flight
    signed = job.service.signed_by
    return Summary(
        remeasured=findings.twice,
        only_after=findings.before is None and findings.after is not None,
        trim_changed=work.lines_adjusted or noticeable(change.pitch),
        lines_touched=work.adjusted or bool(work.replaced),
        tolerance_default=_DEFAULT_LIMIT in job.tolerances.source,
        flight=flight.flight.value.replace(" ", "_"),
        flight_by=flight.by or (signed.name if signed else ""),
        flight_conditions=flight.conditions,
        flight_reason=flight.reason,
        grounded=bool(stop) or flight.flight is Flight.NOT_RELEASED,
        workshop_contact=job.workshop.contact,
        noticed=bool(stop or evidence.doubts) or _noticed(found, had, checks),
        stop=stop,
        against=(*stop, *_first(findings, (found, now), (have, last), work, checks, evidence)),
        not_assessed=tuple(
            name for name, verdict in groups.items() if name and verdict == "not_assessed"
        ),
    )


def _first(
    findings: Findings,
    states: tuple[StateFacts, StateFacts],
    brakes: tuple[BrakeFacts, LastBrakes],
    work: WorkFacts,
    checks: CheckFacts,
    evidence: EvidenceFacts,
) -> Iterator[str]:
    """What to measure, check or ask before it flies, and what is outside limits.

    The rules that speak of it look here, and so does whoever releases the wing.
    """
    (found, now), (have, last) = states, brakes
    again, since = findings.twice, findings.after is not None
    outside = have.brakes == "fail" or last.brakes_past_outside
    reasons = {
        "load": now.load_differs or (not again and found.load_differs),
        "not_again": not since and (work.adjusted or work.replaced_lines),
        "untied": now.lines_open == "too_few" or (since and work.lines_worked and not now.measured),
        "rest": now.measured and not now.lines_open and _rest_open(now, again=again),
        "disagree": again and now.tie_open == "disagree",
        "free_travel": bool(last.free_travel_open),
        "travel_close": bool(last.free_travel_close)
        and not (last.free_travel_low or last.free_travel_open),
        "short_brakes": bool(last.short_brakes) and outside and last.free_travel_mm is None,
        "doubts": evidence.doubts > evidence.doubts_unlike,
        "unlike_plan": bool(work.ledger_differs) or work.together == "fail",
        "not_proven": checks.strength == "not_assessed" and bool(checks.strength_tests),
        "broken": bool(checks.strength_broken),
        "outside_lines": beyond(now.lines) or bool(work.still_outside),
        "outside_risers": beyond(_last(now.risers, found.risers)),
        "outside_brakes": beyond(have.brakes) or bool(last.brakes_outside_past),
    }
    return (reason for reason, there in reasons.items() if there)


def _rest_open(now: StateFacts, *, again: bool) -> bool:
    """Whether lines that were judged say nothing of the others, as nothing ties them together.

    Where nothing is taken out each line is judged by itself: those of one row, or of one side.
    """
    untied = again and now.tie_open in ("otherwise", "no_controls")
    part = bool(now.rows_missing or now.only_side)
    return untied or (now.level_counts and part and not now.doubted)


def _brakes_left_out(last: LastBrakes) -> str:
    """What of the brakes was not assessed; nothing where each was judged at some time."""
    travel = {"left": last.free_travel_left_mm, "right": last.free_travel_right_mm}
    if len(last.brakes_unjudged) < len(travel):
        return next(
            (
                f"brake_{side}" if travel[side] is None else f"brake_lengths_of_{side}"
                for side in last.brakes_unjudged
            ),
            "",
        )
    return "brake_lengths" if last.free_travel_read else "brakes"


def _noticed(found: StateFacts, brakes: BrakeFacts, checks: CheckFacts) -> bool:
    felt = (found.pitch, found.twist, found.turn, found.bent, brakes.brake_uneven)
    seen = (
        *(found.halves_apart, found.outside, found.over_lines, beyond(found.lines)),
        *(beyond(found.risers), beyond(brakes.brakes), brakes.brakes_close),
        *(brakes.brakes_long, brakes.brakes_short, brakes.free_travel_low),
        *(brakes.travel_more_side, brakes.brakes_unlike),
        *(checks.damaged, checks.worn, checks.porosity_near, checks.strength_broken),
    )
    return any(map(noticeable, felt)) or any(seen)


def _last(now: str, found: str) -> str:
    """The verdict of the service on a group: of now, else the one as the wing came."""
    return found if now == "not_assessed" else now


def _stop(last: LastBrakes, checks: CheckFacts) -> tuple[str, ...]:
    """The groups in which something must be put right before the wing flies again."""
    reasons = {
        "strength": beyond(checks.strength),
        "cloth": beyond(checks.cloth),
        "inspection": bool(checks.damaged),
        "brakes": bool(last.free_travel_low),
    }
    return tuple(group for group, bad in reasons.items() if bad)
