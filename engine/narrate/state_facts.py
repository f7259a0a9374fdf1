"""Facts about the wing as measured once: as it came, or as it leaves."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from trimscribe.model.findings import (
    BrakeFinding,
    Effect,
    LineFinding,
    State,
    Verdict,
    WhyNot,
)
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, STABILO, Side
from trimscribe.narrate.effect_words import (
    clear_way,
    differs_clearly,
    noticeable,
    seen,
    speed_of,
    strongest,
)

__all__ = ["ABSENT", "StateFacts", "state_facts"]

_BRAKES = (BRAKE, BRAKE_MAIN)
_LINES_OPEN = {
    WhyNot.TOO_FEW_LINES: "too_few",
    WhyNot.TOO_FEW_ROWS: "too_few",
    WhyNot.NO_CHORD: "too_few",
}
_TIE_OPEN = {
    WhyNot.MEASURED_OTHERWISE: "otherwise",
    WhyNot.NO_CONTROLS: "no_controls",
    WhyNot.CONTROLS_DISAGREE: "disagree",
}


@dataclass(frozen=True)
class StateFacts:
    """One state in plain values; rules.yaml tells what each means.

    An expectation reads "none", "possible", "expected" or "not_assessed", a verdict "pass",
    "conditional_pass", "conditional_fail", "fail" or "not_assessed". Sizes carry no sign; the fact
    ending in `_way` or `_side` tells the direction, and is empty where the uncertainty leaves it
    open. None = not known. Lengths and brakes measured at another load than the specification's
    are "not_assessed" as a whole.
    """

    checked: bool = False
    measured: bool = False
    load_differs: bool = False
    load_unknown: bool = False
    lines: str = "not_assessed"
    judged: int = 0
    outside: int = 0
    close: int = 0
    missing: int = 0
    outside_lines: tuple[tuple[str, str], ...] = ()
    outside_worst_mm: float | None = None
    limit_mm: float | None = None
    lines_open: str = ""
    offset_mm: float | None = None
    level_mm: float | None = None
    level_shared: bool = False
    level_row: str = ""
    level_side: str = ""
    level_apart_mm: float | None = None
    again: int = 0
    carried: int = 0
    controls: int = 0
    tie_mm: float | None = None
    tie_u_mm: float | None = None
    tie_open: str = ""
    risers_in: str = "not_measured"
    pitch: str = "not_assessed"
    pitch_way: str = ""
    pitch_deg: float | None = None
    pitch_u_deg: float | None = None
    pitch_threshold_deg: float | None = None
    twist: str = "not_assessed"
    twist_way: str = ""
    twist_deg: float | None = None
    turn: str = "not_assessed"
    turn_side: str = ""
    turn_differs: bool = False
    turn_deg: float | None = None
    turn_mm: float | None = None
    bent: str = "not_assessed"
    bent_row: str = ""
    bent_mm: float | None = None
    speed_low: float | None = None
    speed_high: float | None = None
    speed_beyond: bool = False
    speed_base: float | None = None
    speed_assumed: bool = False
    brakes: str = "not_assessed"
    brakes_measured: bool = False
    brakes_missing: int = 0
    brake_long: str = "not_assessed"
    brake_short: str = "not_assessed"
    brake_uneven: str = "not_assessed"
    brake_uneven_mm: float | None = None
    brake_longer_side: str = ""
    brakes_long: tuple[str, ...] = ()
    brakes_short: tuple[str, ...] = ()
    brake_left_mm: float | None = None
    brake_right_mm: float | None = None
    free_travel_low: tuple[str, ...] = ()
    free_travel_mm: float | None = None
    free_travel_estimated: bool = False
    risers: str = "not_assessed"
    risers_judged: int = 0
    risers_outside: int = 0
    risers_missing: int = 0


ABSENT = StateFacts()


def state_facts(state: State | None) -> StateFacts:
    """Facts of one state; all "not assessed" when there is none."""
    if state is None:
        return ABSENT
    lines = [x for x in state.lines if not _is_brake(x)]
    off = sorted(
        (x for x in lines if x.verdict.outside and x.relative_mm is not None),
        key=lambda x: -abs(x.relative_mm or 0.0),
    )
    judged = [x for x in lines if x.verdict is not Verdict.NOT_ASSESSED]
    pitch, twist = state.pitch.wing, state.pitch.twist
    turn, level, tie = state.symmetry.turn, state.level, state.carry_over
    bent_row, bent = _bent(state)
    travel = {
        side: b.travel_change
        for side, b in state.brakes.items()
        if b.travel_change.value is not None
    }
    differs = state.comparable_load is Verdict.FAIL
    uneven = state.brake_difference
    tight = _tightest(state.brakes.values())
    risers = [r for r in state.risers if r.trim_mm is not None or r.accelerated_mm is not None]
    speed = speed_of(pitch, state.speed)
    return StateFacts(
        checked=bool(risers or tight or any(x.measured_mm is not None for x in state.lines)),
        measured=any(x.measured_mm is not None for x in lines),
        load_differs=differs,
        load_unknown=state.comparable_load is Verdict.NOT_ASSESSED,
        lines="not_assessed" if differs else state.verdict.name.lower(),
        judged=len(judged),
        outside=len(off),
        close=sum(x.verdict.conditional for x in lines),
        missing=sum(x.measured_mm is None for x in lines),
        outside_lines=tuple((_line_name(x), x.side.value) for x in off),
        outside_worst_mm=off[0].relative_mm if off else None,
        limit_mm=_one({x.tolerance_mm for x in judged}),
        lines_open=_LINES_OPEN.get(state.offset_why, ""),
        offset_mm=state.offset.value_mm if state.offset else None,
        level_mm=level.median_mm if level else None,
        level_shared=bool(level and level.shared),
        level_row=level.row if level else "",
        level_side=level.side.value if level and level.side else "",
        level_apart_mm=level.apart_mm if level else None,
        again=tie.again if tie else 0,
        carried=tie.carried if tie else 0,
        controls=tie.controls if tie else 0,
        tie_mm=tie.shift_mm if tie and tie.carried else None,
        tie_u_mm=tie.u_mm if tie and tie.carried else None,
        tie_open=_TIE_OPEN.get(tie.why_not, "") if tie else "",
        risers_in=state.risers_in.name.lower(),
        pitch=seen(pitch),
        pitch_way=clear_way(pitch, "up", "down"),
        pitch_deg=None if pitch.value is None else abs(pitch.value),
        pitch_u_deg=2 * pitch.u,
        pitch_threshold_deg=pitch.threshold,
        twist=seen(twist),
        twist_way=clear_way(twist, "up", "down"),
        twist_deg=None if twist.value is None else abs(twist.value),
        turn=turn.expectation.name.lower(),
        turn_side=turn.side.value if turn.side else "",
        turn_differs=differs_clearly(state.symmetry.angle, state.symmetry.all_lines, turn.rate),
        turn_deg=_size(state.symmetry.angle),
        turn_mm=_size(state.symmetry.all_lines),
        bent=seen(bent),
        bent_row=bent_row,
        bent_mm=bent.value if bent else None,
        speed_low=abs(speed.low_km_h) if speed else None,
        speed_high=abs(speed.high_km_h) if speed and speed.high_km_h is not None else None,
        speed_beyond=bool(speed and speed.high_km_h is None),
        speed_base=state.speed.base_km_h if state.speed else None,
        speed_assumed=bool(state.speed and state.speed.assumed),
        brakes="not_assessed" if differs else state.brake_verdict.name.lower(),
        brakes_measured=bool(travel),
        brakes_missing=sum(_is_brake(x) and x.measured_mm is None for x in state.lines),
        brake_long=_one_way(travel.values(), 1),
        brake_short=_one_way(travel.values(), -1),
        brakes_long=_sides(travel, "long"),
        brakes_short=_sides(travel, "short"),
        brake_uneven=seen(uneven),
        brake_uneven_mm=_size(uneven),
        brake_longer_side=clear_way(uneven, Side.RIGHT.value, Side.LEFT.value),
        brake_left_mm=_travel(state, Side.LEFT),
        brake_right_mm=_travel(state, Side.RIGHT),
        free_travel_low=tuple(s.value for s, b in state.brakes.items() if b.below_minimum),
        free_travel_mm=tight.free_travel_mm if tight else None,
        free_travel_estimated=bool(tight and tight.estimated),
        risers=state.riser_verdict.name.lower(),
        risers_judged=sum(r.tolerance_mm is not None for r in risers),
        risers_outside=sum(r.verdict.outside for r in risers),
        risers_missing=sum(r.missing for r in state.risers),
    )


def _is_brake(line: LineFinding) -> bool:
    return line.point.group in _BRAKES


def _line_name(line: LineFinding) -> str:
    # "stabilo2" reads as two words; a row's point reads as the trade writes it, "A3".
    group, number = line.point.group, line.point.number
    return f"{group} {number}" if group == STABILO else f"{group}{number}"


def _one(values: set[float | None]) -> float | None:
    return next(iter(values)) if len(values) == 1 else None


def _size(effect: Effect) -> float | None:
    return None if effect.value is None else abs(effect.value)


def _sides(travel: Mapping[Side, Effect], which: str) -> tuple[str, ...]:
    """The sides whose brake a pilot may notice as long, or as short."""
    return tuple(
        side.value
        for side, effect in travel.items()
        if noticeable(seen(effect)) and clear_way(effect, "long", "short") == which
    )


def _one_way(travel: Collection[Effect], sign: int) -> str:
    """How surely a brake is long (+) or short (-) against the line set; on one side is enough."""
    if not travel:
        return "not_assessed"
    strong = strongest(e for e in travel if (e.value or 0.0) * sign > 0)
    return seen(strong) if strong else "none"


def _travel(state: State, side: Side) -> float | None:
    brake = state.brakes.get(side)
    return brake.travel_change.value if brake else None


def _tightest(brakes: Iterable[BrakeFinding]) -> BrakeFinding | None:
    known = [b for b in brakes if b.free_travel_mm is not None]
    return min(known, key=lambda b: b.free_travel_mm or 0.0, default=None)


def _bent(state: State) -> tuple[str, Effect | None]:
    """The row that lies furthest from the straight line through all rows."""
    strong = strongest(state.residuals.values())
    row = next((name for name, e in state.residuals.items() if e is strong), "")
    return row, strong
