"""Plan: a job whose loops as found are stated, to a proposed retrim. It proposes, never decides.

    refusals ▶ lines ▶ response ▶ search ▶ planned wing, looked at by the real analysis ▶ brakes

Alternatives come by number of changes, each recomputed before it is shown. A stage beside the
report's: the analysis is handed in, so that no stage knows another. SciPy loads here, so this is
imported late.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from trimscribe.errors import Fault, PlanError
from trimscribe.model.findings import State
from trimscribe.model.job import Job
from trimscribe.model.plan import LoopChange, Plan, PlanKind, Proposal
from trimscribe.model.thresholds import thresholds_of
from trimscribe.plan.brakes import brake_changes
from trimscribe.plan.lines import Hanging, Unit, hanging_lines, option_for, units_of
from trimscribe.plan.outlook import not_mendable, outlook_of, outside_of
from trimscribe.plan.programme import NothingFound
from trimscribe.plan.refusals import refusals, state_refusals, tied_warnings
from trimscribe.plan.response import Ask, FoundWing, Move, Response, answer_of, as_found, state_of
from trimscribe.plan.search import RetrimChoice, Search

_WORTH = 0.03  # of the limit: an alternative with less further room is not shown
_ROUNDING_MM = 1e-6
_ANGLE = 0.05  # thousandths of a tangent, 0.003 degrees: bands are joined as angles, not tangents
_NOT_FOUND = Fault(
    "plan-not-found",
    "No plan was found within the bounds of the search.",
    hint="Allow fewer loops or fewer steps: `retrim` in the specification.",
)
_ONLY_FASTER = Fault(
    "plan-only-faster",
    "Whatever loops are tied, the wing would be faster than specified.",
    hint="Look for what makes its rear lines long or its front lines short.",
)


def propose(job: Job, ask: Ask) -> Plan:
    """Propose how to retrim the wing as it was measured before; raises PlanError with refusals.

    `ask` is the real analysis. It is asked about the wing as found, about each line moved by one
    mm, and about every plan before it is shown.
    """
    _refuse(refusals(job))
    specification = job.specification
    assert specification is not None
    found = as_found(job)
    findings = ask(found)
    wing = FoundWing(found, specification, state_of(findings))
    _refuse(state_refusals(found, findings, wing.state))
    bench = _Bench(wing, ask, hanging_lines(found, specification))
    try:
        tried = bench.tried()
    except NothingFound:
        raise PlanError(_NOT_FOUND) from None
    if not tried:
        _refuse([_ONLY_FASTER])
    return Plan(
        now=outlook_of(wing.state, specification),
        proposals=tuple(one.proposal for one in tried),
        not_mendable=not_mendable(
            specification, wing.state, tried[0].state, bench.hanging, tried[0].proposal.changes
        ),
        warnings=tuple(tied_warnings(found, specification)),
    )


def _refuse(faults: Iterable[Fault]) -> None:
    if found := tuple(faults):
        raise PlanError(found)


@dataclass(frozen=True)
class _Tried:
    """A proposal, and what the analysis makes of the wing as it would leave it."""

    proposal: Proposal
    state: State


@dataclass(frozen=True)
class _Bench:
    """One wing, the analysis, and the lines whose loops may be changed."""

    wing: FoundWing
    ask: Ask
    hanging: tuple[Hanging, ...]

    def tried(self) -> list[_Tried]:
        """The proposal first, then what else there is.

        Both sides alike; where that is not enough, such as for a crooked wing, also sides apart.
        """
        alike = self._search(alike=True)
        found = list(self._alternatives(alike)) if alike else []
        if alike and found and not alike.softened:
            return found
        apart = self._search(alike=False)
        choice = apart.fewest() if apart else None
        if apart is None or choice is None:
            return found
        free = self._try(PlanKind.SIDES_FREE, choice, apart, alike=False)
        if found and free.proposal.changes == found[0].proposal.changes:
            return found
        # Limits first, then bands: what leaves less of them beyond is proposed before the other.
        better = not (alike and found) or apart.beyond < alike.beyond
        return [free, *found] if better else [*found, free]

    def _search(self, *, alike: bool) -> Search | None:
        units = units_of(self.hanging, alike=alike)
        search = Search(Response.of(self.wing, units, self.ask), units)
        return search if search.start() else None

    def _alternatives(self, search: Search) -> Iterator[_Tried]:
        """Fewest changes; most room to the limits; and one about half way between."""
        fewest = search.fewest()
        if fewest is None:
            raise NothingFound
        yield self._try(PlanKind.FEWEST, fewest, search)
        if not fewest.touched:
            return  # nothing has to be done: more is no one's wish
        room = search.room()
        if room is None or room.share > fewest.share - _WORTH:
            return
        between = search.within_share((room.share + fewest.share) / 2.0)
        if between and len(fewest.touched) < len(between.touched) < len(room.touched):
            yield self._try(PlanKind.BETWEEN, between, search)
        yield self._try(PlanKind.ROOM, room, search)

    def _try(
        self, kind: PlanKind, choice: RetrimChoice, search: Search, *, alike: bool = True
    ) -> _Tried:
        """Have the real analysis look at a choice, set the brakes, and look again."""
        moves = list(_moves(search.units, choice))
        rows = state_of(self.ask(self.wing.moved(moves)))
        self._compare(choice, search, rows)
        thresholds = thresholds_of(self.wing.job)
        brakes = brake_changes(self.wing.state, rows, self.wing.specification, thresholds)
        finished = self.wing.moved(
            moves,
            {brake.side: brake.change_mm for brake in brakes},
            {brake.side: brake.then_mm for brake in brakes if brake.measured},
        )
        state = state_of(self.ask(finished))
        for brake in brakes:
            travel = state.brakes[brake.side].free_travel_mm
            if travel is None or abs(travel - brake.then_mm) > _ROUNDING_MM:
                raise RuntimeError(f"plan and analysis differ about the {brake.side} brake")
        changes = tuple(_changes(search.units, choice))
        changed = {(change.line, change.side) for change in changes}
        proposal = Proposal(
            kind=kind,
            changes=changes,
            brakes=brakes,
            outlook=outlook_of(state, self.wing.specification, changed),
            sides_alike=alike,
            proven=choice.proven,
            excess_mm=search.beyond[0],
        )
        return _Tried(proposal, state)

    def _compare(self, choice: RetrimChoice, search: Search, state: State) -> None:
        """A plan that the analysis sees otherwise than the programme is a bug, not a warning."""
        answer = answer_of(state, self.wing.specification)
        for key, expected in search.relative(choice).items():
            if abs(answer.relative[key] - expected) > _ROUNDING_MM:
                raise RuntimeError(f"plan and analysis differ at {key}")
        for band in search.response.bands:
            if abs(answer.bands[band.name] - search.quantity(band.quantity, choice)) > _ANGLE:
                raise RuntimeError(f"plan and analysis differ in {band.name}")
        limits = dict(zip(search.response.keys, search.response.limits, strict=True))
        planned = {k for k, mm in answer.relative.items() if abs(mm) > limits[k] + _ROUNDING_MM}
        if planned != outside_of(state.lines):
            raise RuntimeError("plan and analysis differ about lines outside")


def _moves(units: Iterable[Unit], choice: RetrimChoice) -> Iterator[Move]:
    for unit, mm in zip(units, choice.changes_mm, strict=True):
        for member in unit.members if mm else ():
            yield Move(member.side, member.points, mm)


def _changes(units: Iterable[Unit], choice: RetrimChoice) -> Iterator[LoopChange]:
    """In the order of work: from the centre out within each row, left then right."""
    for unit, mm in zip(units, choice.changes_mm, strict=True):
        for member in unit.members if mm else ():
            option = option_for(member, mm)
            assert option is not None
            yield LoopChange(
                line=member.line,
                side=member.side,
                loop_now=member.tied.loop,
                loop_proposed=option.loop,
                maillon=member.tied.maillon,
                change_mm=option.change_mm,
            )
