"""Facts about the brakes as measured once: as the wing came, or as it leaves."""

from collections.abc import Collection, Iterable, Mapping, Set
from dataclasses import dataclass

from trimscribe.assess.brake_ways import BrakeWays, brake_ways
from trimscribe.assess.declare import fact
from trimscribe.assess.effect_words import (
    ASSUMED,
    brake_direction,
    expectation,
    significant_direction,
    size_of,
    strongest,
)
from trimscribe.model.findings import BrakeFinding, Effect, LineFinding, State, Verdict, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import BRAKE_MAIN, Point, Side

_EXPANDED = 2.0
_WAYS = {"long": "longer", "short": "shorter", "": ""}
# What the lines that hold the wing lack where no free travel can be calculated from them.
_CANNOT_CARRY = (
    WhyNot.NOT_MEASURED,
    WhyNot.TOO_FEW_LINES,
    WhyNot.TOO_FEW_ROWS,
    WhyNot.TOO_UNCERTAIN,
    WhyNot.NO_CHORD,
    WhyNot.NO_TRAILING_EDGE,
    WhyNot.IN_DOUBT,
)


@dataclass(frozen=True)
class Travel:
    """One brake's free travel in mm, None where it is not known; `why` then says why.

    `low` is below the least as it is; `close` is not, but its uncertainty does not rule it out, and
    `near` means that it is less than one standard uncertainty above the least.
    `sure`: measured, or so far below that its uncertainty does not matter.
    """

    mm: float | None = None
    estimated: bool = False
    low: bool = False
    close: bool = False
    near: bool = False
    sure: bool = False
    why: str = ""


@dataclass(frozen=True)
class BrakeFacts:
    """The brakes of one state in plain values, as in `StateFacts`.

    A side is long or short against the lines that hold the wing; it is named only where the
    uncertainty settles that. Free travel that was calculated from lengths in doubt is not known.
    """

    brakes: str = fact(
        "not_assessed",
        "verdict on the brakes: the worst of each brake's mean and of all its lines",
        "brake_verdict",
    )
    brakes_judged: int = fact(0, "how many brake lines were judged", "lines")
    brakes_outside: int = fact(0, "how many of them are outside limits", "lines")
    brakes_outside_lines: tuple[tuple[str, str], ...] = fact(
        (), "these with their side, worst first", "lines"
    )
    brakes_outside_sides: tuple[str, ...] = fact(
        (), "sides whose brake is outside limits", "brakes"
    )
    brakes_worst_mm: float | None = fact(
        None, "by how much the first of them is off, + = longer", "lines"
    )
    brakes_limit_mm: float | None = fact(None, "its limit", "lines")
    brakes_close: int = fact(
        0, "how many brake lines lie so near their limit that measuring cannot settle it", "lines"
    )
    brakes_close_sides: tuple[str, ...] = fact(
        (), "sides whose brake measuring cannot settle to be within or outside limits", "brakes"
    )
    brakes_missing: int = fact(0, "how many brake lines were not measured", "brake_verdict")
    brakes_read: tuple[str, ...] = fact(
        (), "sides of which any brake line was measured, or carried over", "lines"
    )
    brakes_again: tuple[str, ...] = fact(
        (), "those of them of which any was measured this time, not carried over", "lines"
    )
    brakes_doubted: int = fact(0, "how many brake lines are in doubt, without a verdict", "brakes")
    brakes_carried: int = fact(
        0, "how many brake lines count as measured before, as nobody touched them", "lines"
    )
    brakes_measured: bool = fact(False, "a brake can be judged against the line set", "brakes")
    brakes_act: str = fact(
        "not_assessed",
        "whether a pilot notices anything of the brakes; not assessed unless all of it is known",
        "brakes brake_difference",
    )
    brake_long: str = fact(
        "not_assessed", "expectation for the brake that is long against the line set", "brakes"
    )
    brake_short: str = fact("not_assessed", "expectation for the brake that is short", "brakes")
    brakes_long: tuple[str, ...] = fact((), "sides whose brake is noticeably long", "brakes")
    brakes_short: tuple[str, ...] = fact((), "sides whose brake is noticeably short", "brakes")
    brakes_little: tuple[str, ...] = fact(
        (), "those of them that are off by less than a pilot notices", "brakes"
    )
    brakes_unlike: tuple[str, ...] = fact(
        (),
        "sides whose measured free travel speaks against what the brake's length says of it",
        "brakes",
    )
    brake_uneven: str = fact(
        "not_assessed", "expectation for the difference between the brakes", "brake_difference"
    )
    brake_uneven_mm: float | None = fact(None, "the difference", "brake_difference")
    brake_uneven_u_mm: float | None = fact(
        None, "its expanded uncertainty (k = 2)", "brake_difference"
    )
    brake_longer_side: str = fact("", "the longer one, where that is settled", "brake_difference")
    brake_odd_side: str = fact(
        "", "then the one that lies further from its table", "brakes brake_difference"
    )
    brake_odd_way: str = fact("", "longer or shorter than the other", "brake_difference")
    travel_uneven: str = fact(
        "not_assessed",
        "expectation for the difference of free travel, where it was measured on both sides",
        "travel_difference",
    )
    travel_uneven_mm: float | None = fact(None, "the difference", "travel_difference")
    travel_more_side: str = fact(
        "", "the side with more of it, where that is settled", "travel_difference"
    )
    brake_left_mm: float | None = fact(
        None, "left brake against the line set, + = longer", "brakes"
    )
    brake_right_mm: float | None = fact(
        None, "right brake against the line set, + = longer", "brakes"
    )
    brake_left_way: str = fact(
        "", "longer or shorter by its length, where that is settled", "brakes"
    )
    brake_right_way: str = fact(
        "", "longer or shorter by its length, where that is settled", "brakes"
    )
    brake_by_other: tuple[str, ...] = fact(
        (),
        "sides that count as longer or shorter because the other one does, from which measuring "
        "does not tell them",
        "brakes brake_difference",
    )
    brake_u_mm: float | None = fact(
        None, "the expanded uncertainty (k = 2) of the larger of both", "brakes"
    )
    brake_settled_mm: float | None = fact(
        None, "from which size on one is called longer or shorter by itself", "brakes"
    )
    free_travel_low: tuple[str, ...] = fact(
        (), "sides whose brake has less free travel than the minimum", "brakes"
    )
    free_travel_close: tuple[str, ...] = fact(
        (), "sides whose calculated free travel is enough, but not for certain", "brakes"
    )
    free_travel_left_mm: float | None = fact(None, "free travel of the left brake", "brakes")
    free_travel_right_mm: float | None = fact(None, "free travel of the right brake", "brakes")
    brakes_travel_only: tuple[str, ...] = fact(
        (),
        "sides of which free travel was measured, and is enough, and the length has no verdict",
        "brakes",
    )
    free_travel_mm: float | None = fact(
        None, "the smaller free travel; below zero the brake is pulled with hands up", "brakes"
    )
    free_travel_estimated: bool = fact(
        False, "one that is too little, else one that is known, was calculated", "brakes"
    )
    free_travel_u_mm: float | None = fact(
        None, "the expanded uncertainty (k = 2) of what was calculated from lengths alone", "brakes"
    )
    free_travel_on_u_mm: float | None = fact(
        None,
        "the same where it was measured the other time and lengths say what it changed by",
        "brakes",
    )
    free_travel_sure: bool = fact(False, "those below the minimum are so for certain", "brakes")
    free_travel_open: str = fact(
        "", "doubts or uncertain, where it was calculated from what does not carry it", "brakes"
    )


NO_BRAKES = BrakeFacts()


@dataclass(frozen=True)
class Basis:
    """What free travel that was not measured can be calculated from.

    `specified_mm` is what the line set states; `in_doubt`: lengths look wrong and nobody confirmed
    them; `assumed`: a side, the front or the rear was not measured, so that the line set behind a
    brake is assumed; `by_lines`: not all risers were measured, so that it is that of lines alone.
    """

    thresholds: Thresholds
    specified_mm: float | None
    in_doubt: bool
    assumed: bool = False
    by_lines: bool = False

    def ways(self, state: State) -> BrakeWays:
        """Which way each brake lies against the line set, where that may be said."""
        return brake_ways(
            state.brakes,
            state.brake_difference,
            self.specified_mm,
            assumed=self.assumed,
            by_lines=self.by_lines,
        )


def brake_facts(state: State | None, basis: Basis) -> BrakeFacts:
    """Facts of one state's brakes; all "not assessed" when there is no state."""
    if state is None:
        return NO_BRAKES
    ways, uneven = basis.ways(state), state.brake_difference
    effects = ways.effects
    travels = {side: travel_of(state.brakes.get(side), basis) for side in Side}
    known = [t for t in travels.values() if t.mm is not None]
    lows = low_of(travels)
    low = [travels[side] for side in lows]
    reported = low or known
    lines = [x for x in state.lines if x.kind.is_brake]
    long, short = (tuple(s.value for s in ways.noticed(which)) for which in ("long", "short"))
    more = significant_direction(state.travel_difference, Side.RIGHT.value, Side.LEFT.value)
    # Lengths that may stand on the wrong side do not tell which brake is the longer one, nor is it
    # told where its free travel, which is the surer to measure, is clearly the smaller one.
    longer = "" if basis.in_doubt else _longer(state)
    longer = "" if more and more != longer else longer
    odd_side, odd_way = _odd(state) if longer else ("", "")
    worst_first = sorted(lines, key=lambda x: -abs(x.relative_mm or 0.0))
    off = [x for x in worst_first if x.verdict.outside]
    return BrakeFacts(
        brakes="not_assessed"
        if state.comparable_load is Verdict.FAIL
        else state.brake_verdict.name.lower(),
        brakes_judged=sum(x.verdict is not Verdict.NOT_ASSESSED for x in lines),
        brakes_outside=len(off),
        brakes_outside_lines=tuple((line_name(x.point), x.side.value) for x in off),
        brakes_outside_sides=tuple(
            side.value for side, brake in state.brakes.items() if brake.verdict.outside
        ),
        brakes_worst_mm=off[0].relative_mm if off else None,
        brakes_limit_mm=off[0].tolerance_mm if off else None,
        brakes_close=sum(x.verdict.conditional for x in lines),
        brakes_close_sides=tuple(
            side.value for side, brake in state.brakes.items() if brake.verdict.conditional
        ),
        brakes_missing=sum(x.measured_mm is None for x in lines),
        brakes_read=_sides(x for x in lines if x.measured_mm is not None),
        brakes_again=_sides(x for x in lines if x.measured_mm is not None and not x.carried),
        brakes_doubted=sum(x.doubted for x in lines),
        brakes_carried=sum(x.carried for x in lines),
        brakes_measured=bool(effects),
        brakes_act="not_assessed" if ways.unlike else _act(ways, uneven, basis, more),
        brake_long=_one_way(effects.values(), 1),
        brake_short=_one_way(effects.values(), -1),
        brakes_long=long,
        brakes_short=short,
        brakes_little=_little(effects, uneven, {*long, *short}),
        brakes_unlike=tuple(side.value for side in ways.unlike),
        brake_uneven=expectation(uneven),
        brake_uneven_mm=size_of(uneven),
        brake_uneven_u_mm=None if uneven.value is None else _EXPANDED * uneven.u,
        brake_longer_side=longer,
        brake_odd_side=odd_side,
        brake_odd_way=odd_way,
        travel_uneven=expectation(state.travel_difference),
        travel_uneven_mm=size_of(state.travel_difference),
        travel_more_side=more,
        brake_left_mm=_value(effects, Side.LEFT),
        brake_right_mm=_value(effects, Side.RIGHT),
        brake_left_way=_WAYS[ways.by_length.get(Side.LEFT, "")],
        brake_right_way=_WAYS[ways.by_length.get(Side.RIGHT, "")],
        brake_u_mm=max((_EXPANDED * e.u for e in effects.values()), default=None),
        brake_by_other=tuple(side.value for side in ways.by_other),
        brake_settled_mm=ways.settled_mm,
        free_travel_low=tuple(side.value for side in lows),
        free_travel_close=tuple(
            side.value for side, t in travels.items() if t.close and side not in lows
        ),
        free_travel_left_mm=travels[Side.LEFT].mm,
        free_travel_right_mm=travels[Side.RIGHT].mm,
        brakes_travel_only=_travel_only(state, travels, lows),
        free_travel_mm=min((t.mm for t in known if t.mm is not None), default=None),
        free_travel_estimated=any(t.estimated for t in reported),
        free_travel_u_mm=_calculated_u_mm(state, travels, from_reading=False),
        free_travel_on_u_mm=_calculated_u_mm(state, travels, from_reading=True),
        free_travel_sure=bool(low) and all(t.sure for t in low),
        free_travel_open=next((t.why for t in travels.values() if t.why), ""),
    )


def _sides(lines: Iterable[LineFinding]) -> tuple[str, ...]:
    """The sides that they are on, left first."""
    there = {x.side for x in lines}
    return tuple(side.value for side in Side if side in there)


def _little(effects: Mapping[Side, Effect], uneven: Effect, off: Set[str]) -> tuple[str, ...]:
    """Of the sides that are off, those off by less than is noticed; alike where nobody can tell."""
    little = [s.value for s, e in effects.items() if abs(e.value or 0.0) < e.threshold]
    found = tuple(side for side in little if side in off)
    alike = uneven.value is None or abs(uneven.value) <= _EXPANDED * uneven.u
    return () if len(found) < len(off) and alike else found


def _calculated_u_mm(
    state: State, travels: Mapping[Side, Travel], *, from_reading: bool
) -> float | None:
    return max(
        (
            _EXPANDED * brake.free_travel_u_mm
            for side, brake in state.brakes.items()
            if brake.free_travel_u_mm is not None
            and brake.from_reading is from_reading
            and travels[side].mm is not None
        ),
        default=None,
    )


def _travel_only(
    state: State, travels: Mapping[Side, Travel], lows: Collection[Side]
) -> tuple[str, ...]:
    """The sides of which nothing but enough free travel is known, by measuring."""
    return tuple(
        side.value
        for side, brake in state.brakes.items()
        if brake.verdict is Verdict.NOT_ASSESSED
        and travels[side].mm is not None
        and not travels[side].estimated
        and side not in lows
    )


def line_name(point: Point) -> str:
    """As a reader calls it: A3, stabilo 2; a brake has one main line, which needs no number."""
    return BRAKE_MAIN if point.group == BRAKE_MAIN else point.name


def travel_of(brake: BrakeFinding | None, basis: Basis) -> Travel:
    """What may be said of one brake's free travel.

    One that was calculated is not reported where its lengths are in doubt, nor where it is so
    uncertain that nothing could be called enough; unless it is too little all the same. Where the
    lines that hold the wing do not carry a calculation at all, it is as uncertain.
    """
    if brake is None:
        return Travel()
    if brake.free_travel_mm is None:
        unknown = basis.specified_mm is not None and brake.travel_change.why_not in _CANNOT_CARRY
        return Travel(why="uncertain" if brake.mean_mm is not None and unknown else "")
    mm, least = brake.free_travel_mm, basis.thresholds.brake_free_travel_min_mm
    if not brake.estimated or brake.free_travel_u_mm is None:
        return Travel(mm, low=mm < least, sure=True)
    if basis.in_doubt:
        return Travel(why="doubts")
    expanded = _EXPANDED * brake.free_travel_u_mm
    times = ASSUMED if basis.assumed or basis.by_lines else _EXPANDED
    sure = mm + times * brake.free_travel_u_mm < least
    if expanded > basis.thresholds.brake_mm and not sure:
        return Travel(why="uncertain")
    return Travel(
        mm,
        estimated=True,
        low=mm < least,
        close=least <= mm < least + expanded,
        near=least <= mm < least + brake.free_travel_u_mm,
        sure=sure,
    )


def low_of(travels: Mapping[Side, Travel]) -> tuple[Side, ...]:
    """The sides with too little free travel, for certain or perhaps.

    Where that is not certain of one, the other is named as well where it is as uncertain: nobody
    shall set one of two brakes that measuring does not tell apart.
    """
    low = [side for side, travel in travels.items() if travel.low]
    if not low or all(travels[side].sure for side in low):
        return tuple(low)
    return tuple(side for side, travel in travels.items() if travel.low or travel.near)


def _act(ways: BrakeWays, uneven: Effect, basis: Basis, more: str) -> str:
    """The strongest of both brakes and of their difference, where all three are known.

    Risers that nobody measured may be mixed up: then no brake is said to act as intended, nor is
    one whose free travel was measured otherwise than specified, or clearly otherwise than the other
    one's: `more` is the side that has more of it.
    """
    words = [expectation(uneven), *(expectation(ways.effects.get(side)) for side in Side)]
    if "not_assessed" in words:
        return "not_assessed"
    strong = max(words, key=("none", "possible", "expected").index)
    unsure = basis.assumed or basis.by_lines or ways.travel_off or more != ""
    return "not_assessed" if strong == "none" and unsure else strong


def _one_way(effects: Collection[Effect], sign: int) -> str:
    """How surely a brake is long (+) or short (-) against the line set; on one side is enough."""
    if not effects:
        return "not_assessed"
    strong = strongest(e for e in effects if (e.value or 0.0) * sign > 0)
    return expectation(strong) if strong else "none"


def _odd(state: State) -> tuple[str, str]:
    """Which brake to name where they differ: the one further off, and that it is long or short.

    Two short brakes differ by one that is shorter; to call the other one longer would mislead.
    """
    longer = _longer(state)
    offs = {side.value: brake.relative_mm for side, brake in state.brakes.items()}
    if not longer or None in offs.values() or len(offs) < len(Side):
        return longer, "longer" if longer else ""
    shorter = Side.LEFT.value if longer == Side.RIGHT.value else Side.RIGHT.value
    known: dict[str, float] = {side: mm for side, mm in offs.items() if mm is not None}
    return (shorter, "shorter") if known[longer] + known[shorter] < 0.0 else (longer, "longer")


def _longer(state: State) -> str:
    return brake_direction(state.brake_difference, Side.RIGHT.value, Side.LEFT.value)


def _value(effects: Mapping[Side, Effect], side: Side) -> float | None:
    return effects[side].value if side in effects else None
