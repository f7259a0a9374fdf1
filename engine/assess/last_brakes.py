"""Facts about each brake as it was last measured.

What was too little, short or outside as the wing came, and was not measured since, is still a
danger: but it is reported as what it was before the work, not as what the brake has.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from trimscribe.assess.brake_facts import Basis, BrakeFacts, Travel, brake_facts, low_of, travel_of
from trimscribe.assess.declare import fact
from trimscribe.model.findings import BrakeFinding, State, Verdict
from trimscribe.model.wing import Side


@dataclass(frozen=True)
class LastBrakes:
    """The brakes of the service as a whole; `…_past`: last known from before the work."""

    free_travel_low: tuple[str, ...] = fact(
        (), "sides whose brake had too little free travel when last measured", "{travel}.brakes"
    )
    free_travel_past: bool = fact(
        False, "one of these was measured only before the work", "{travel}.brakes"
    )
    free_travel_left_mm: float | None = fact(
        None, "free travel of the left brake when last measured", "{travel}.brakes"
    )
    free_travel_right_mm: float | None = fact(None, "of the right brake", "{travel}.brakes")
    free_travel_mm: float | None = fact(
        None, "the smallest of those that are too little, else of both", "{travel}.brakes"
    )
    free_travel_limit_mm: float | None = fact(
        None, "the least that it should be", "{travel}.brakes"
    )
    free_travel_specified_mm: float | None = fact(
        None, "what the line set states; calculated free travel starts from it", "{travel}.brakes"
    )
    free_travel_estimated: bool = fact(
        False, "one of these was calculated from the tightest line, not measured", "{travel}.brakes"
    )
    free_travel_sure: bool = fact(
        False, "those that are too little are so for certain", "{travel}.brakes"
    )
    free_travel_close: tuple[str, ...] = fact(
        (), "sides whose calculated free travel is enough, but not for certain", "{travel}.brakes"
    )
    free_travel_open: str = fact(
        "",
        "doubts or uncertain, where one could be calculated, but not well enough to report it, or "
        "where that of one brake alone is known",
        "{travel}.brakes",
    )
    free_travel_unknown: tuple[str, ...] = fact(
        (), "then the sides of which it is not known now, or close to its least", "{travel}.brakes"
    )
    free_travel_read: tuple[str, ...] = fact(
        (), "sides of which free travel was measured, as the wing came or since", "{travel}.brakes"
    )
    short_brakes: tuple[str, ...] = fact(
        (), "sides whose brake was noticeably short when last measured", "{travel}.brakes"
    )
    short_brakes_past: bool = fact(
        False, "one of these was measured only before the work", "{travel}.brakes"
    )
    brakes_unjudged: tuple[str, ...] = fact(
        (),
        "sides whose brake lengths have no verdict, neither as the wing came nor since",
        "{travel}.brakes",
    )
    brakes_outside_past: tuple[str, ...] = fact(
        (), "sides whose brake read beyond its limits before the work, not judged since", "before"
    )
    brakes_past_outside: bool = fact(
        False, "one of these was clearly outside its limits", "before.brakes"
    )
    brakes_past_again: tuple[str, ...] = fact(
        (), "those of them of which lines were measured since all the same", "before after.lines"
    )
    brakes_past_lines: int = fact(
        0, "how many brake lines of these sides were outside limits", "before.lines"
    )


@dataclass(frozen=True)
class Brakes:
    """Both brakes of one measuring, and their facts; empty where none was made."""

    by_side: Mapping[Side, BrakeFinding]
    basis: Basis
    facts: BrakeFacts

    @staticmethod
    def of(state: State | None, basis: Basis) -> "Brakes":
        """Those of a state."""
        return Brakes(state.brakes if state else {}, basis, brake_facts(state, basis))


@dataclass(frozen=True)
class _Last:
    side: str
    travel: Travel
    past: bool


def last_brakes(
    found: Brakes, now: Brakes, *, moved: Collection[str] = (), reset: Collection[str] = ()
) -> LastBrakes:
    """By side, what was measured last, of a wing that was measured again since the work.

    `moved`: sides whose lines that hold the wing were worked on. Such work may take free travel:
    what was measured before it is not known any more. `reset`: sides whose brake itself was worked
    on; where neither its free travel nor its lengths were measured since, nothing is known of it.
    Where one brake's is known, that of the other is missing; of two unknown ones nobody looked.
    """
    lasts = [_travel(side, found, now) for side in Side]
    lows = low_of({side: last.travel for side, last in zip(Side, lasts, strict=True)})
    low = [last for side, last in zip(Side, lasts, strict=True) if side in lows]
    reported = low or [last for last in lasts if last.travel.mm is not None]
    left, right = (last.travel.mm for last in lasts)
    short = [_short(side, found, now) for side in Side]
    past = [side for side in Side if _outside_past(side, found, now)]
    lost = [
        last.side
        for side, last in zip(Side, lasts, strict=True)
        if last.past
        and (
            (last.side in {*moved, *reset} and last.travel.mm is not None)
            or (last.side in reset and not _lengths_known(now.by_side.get(side)))
        )
    ]
    one = sum(x.travel.mm is not None for x in lasts) == 1
    why = next((x.travel.why for x in lasts if x.travel.why), "uncertain" if lost or one else "")
    return LastBrakes(
        free_travel_low=tuple(last.side for last in low),
        free_travel_past=any(last.past for last in low),
        free_travel_left_mm=left,
        free_travel_right_mm=right,
        free_travel_mm=min(
            (x.travel.mm for x in reported if x.travel.mm is not None), default=None
        ),
        free_travel_limit_mm=now.basis.thresholds.brake_free_travel_min_mm,
        free_travel_specified_mm=now.basis.specified_mm,
        free_travel_estimated=any(last.travel.estimated for last in reported),
        free_travel_sure=bool(low) and all(last.travel.sure for last in low),
        free_travel_close=tuple(
            last.side for last in lasts if last.travel.close and last not in low
        ),
        free_travel_open=why,
        free_travel_unknown=tuple(
            x.side
            for x in lasts
            if why and (x.travel.mm is None or x.side in lost or (x.travel.close and x not in low))
        ),
        free_travel_read=tuple(
            side.value for side in Side if any(_read(b.by_side.get(side)) for b in (found, now))
        ),
        short_brakes=tuple(side for side, past in short if side),
        short_brakes_past=any(past for side, past in short if side),
        brakes_unjudged=tuple(
            side.value for side in Side if not (_judged(side, found) or _judged(side, now))
        ),
        brakes_outside_past=tuple(side.value for side in past),
        brakes_past_outside=any(found.by_side[side].verdict.outside for side in past),
        brakes_past_again=tuple(
            side.value for side in past if side.value in now.facts.brakes_again
        ),
        brakes_past_lines=sum(Side(side) in past for _, side in found.facts.brakes_outside_lines),
    )


def _travel(side: Side, found: Brakes, now: Brakes) -> _Last:
    """What was too little stays so until it is known again; else nothing known now is not known."""
    travel = travel_of(now.by_side.get(side), now.basis)
    if travel.mm is not None:
        return _Last(side.value, travel, past=False)
    before = travel_of(found.by_side.get(side), found.basis)
    if travel.why and not before.low:
        return _Last(side.value, travel, past=False)
    return _Last(side.value, before, past=True)


def _lengths_known(brake: BrakeFinding | None) -> bool:
    return brake is not None and brake.mean_mm is not None


def _short(side: Side, found: Brakes, now: Brakes) -> tuple[str, bool]:
    """The side where its brake is short, and whether that is from before the work.

    Free travel that was measured since, and is enough, says more than what lengths said before.
    """
    for brakes, past in ((now, False), (found, True)):
        brake = brakes.by_side.get(side)
        if past and _enough(travel_of(now.by_side.get(side), now.basis)):
            return "", False
        if brake is not None and brake.travel_change.value is not None:
            return (side.value if side.value in brakes.facts.brakes_short else "", past)
    return "", False


def _enough(travel: Travel) -> bool:
    return travel.mm is not None and not travel.estimated and not travel.low


def _read(brake: BrakeFinding | None) -> bool:
    return brake is not None and brake.free_travel_mm is not None and not brake.estimated


def _judged(side: Side, brakes: Brakes) -> bool:
    brake = brakes.by_side.get(side)
    return brake is not None and brake.verdict is not Verdict.NOT_ASSESSED


def _outside_past(side: Side, found: Brakes, now: Brakes) -> bool:
    """The earlier verdict counts where none followed; lines that were carried over keep theirs."""
    before, after = found.by_side.get(side), now.by_side.get(side)
    beyond = before is not None and before.verdict.beyond
    return beyond and (after is None or after.verdict is Verdict.NOT_ASSESSED)
