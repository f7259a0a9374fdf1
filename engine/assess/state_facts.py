"""Facts about the wing as measured once: as it came, or as it leaves."""

from dataclasses import dataclass, replace

from trimscribe.assess.declare import fact
from trimscribe.assess.effect_words import (
    differs_clearly,
    expectation,
    halves_apart,
    noticeable,
    significant_direction,
    size_of,
    speed_of,
    strongest,
    turn_seen,
    turn_side,
    wing_settled,
)
from trimscribe.assess.pairs import pairs_outside
from trimscribe.model.findings import (
    Effect,
    LineFinding,
    RiserBasis,
    RiserFinding,
    State,
    Verdict,
    WhyNot,
)
from trimscribe.model.job import OffsetMethod
from trimscribe.model.wing import GroupKind

_LINES_OPEN = {
    WhyNot.TOO_FEW_LINES: "too_few",
    WhyNot.TOO_FEW_ROWS: "too_few",
    WhyNot.NO_CHORD: "too_few",
    WhyNot.IN_DOUBT: "doubts",
}
_MUCH_LESS = 0.8  # of the furthest row: what is no less may as well be the odd one
_FAR_MM = 50.0  # of all lines: more than they usually stretch or shrink; common practice, no source
_SMALL_PART = 1.0 / 3.0  # of an angle: what makes no more of it is not named as its cause
_TIE_OPEN = {
    WhyNot.MEASURED_OTHERWISE: "otherwise",
    WhyNot.NO_CONTROLS: "no_controls",
    WhyNot.CONTROLS_DISAGREE: "disagree",
}


@dataclass(frozen=True)
class StateFacts:
    """One state in plain values; rules.yaml says what each means.

    An expectation reads "none", "possible", "expected" or "not_assessed", a verdict "pass",
    "conditional_pass", "conditional_fail", "fail" or "not_assessed". Sizes carry no sign; the fact
    ending in `_way` or `_side` tells the direction, and is empty where the uncertainty leaves it
    open. None = not known. Lengths and brakes measured at another load than the specification's
    are "not_assessed" as a whole.
    """

    checked: bool = fact(
        False,
        "anything at all was measured, be it a line, a riser or a brake's free travel",
        "lines",
    )
    measured: bool = fact(False, "any row or stabilo line was measured", "lines")
    load_differs: bool = fact(
        False, "measured at another tension than the specification's", "comparable_load"
    )
    load_unknown: bool = fact(False, "one of the two tensions is not stated", "comparable_load")
    lines: str = fact("not_assessed", "verdict on all row and stabilo lines", "verdict")
    judged: int = fact(0, "how many lines were judged", "lines")
    outside: int = fact(0, "how many of them are outside limits", "lines")
    close: int = fact(
        0,
        "how many more lie so near their limit, on either side, that measuring cannot settle it",
        "lines",
    )
    over_lines: tuple[tuple[str, str], ...] = fact(
        (), "those of them that read beyond their limit, with their side, worst first", "lines"
    )
    missing: int = fact(0, "how many lines were not measured", "lines")
    rows_missing: tuple[str, ...] = fact(
        (), "rows of which no line was measured that could be used", "lines"
    )
    doubted: int = fact(
        0, "how many lines are in doubt: they have no verdict, and nothing rests on them", "lines"
    )
    doubted_lines: tuple[tuple[str, str], ...] = fact((), "these with their side", "lines")
    outside_lines: tuple[tuple[str, str], ...] = fact(
        (), "the lines outside limits with their side, worst first", "lines"
    )
    outside_worst_mm: float | None = fact(
        None, "deviation of the worst of them, + = longer", "lines"
    )
    limit_mm: float | None = fact(None, "the limit, where all lines share one", "lines")
    pairs_outside: tuple[tuple[str, str], ...] = fact(
        (),
        "pairs of lines that differ left to right by more than the limit, with the longer side, "
        "worst first",
        "tolerances lines",
    )
    pairs_beside: tuple[str, ...] = fact(
        (), "those of them of which neither line is outside limits by itself", "tolerances lines"
    )
    pairs_worst_mm: float | None = fact(None, "what the first of them differs by", "lines")
    pairs_limit_mm: float | None = fact(None, "the limit between left and right", "tolerances")
    line_u_mm: float | None = fact(
        None, "the expanded uncertainty (k = 2) of the least certain line judged", "lines"
    )
    lines_unsure: bool = fact(
        False, "measuring is too uncertain for a clear pass: 2 u is beyond the limit", "lines"
    )
    lines_open: str = fact(
        "",
        "too_few where too few lines were measured to know what all share; else empty",
        "offset_why",
    )
    lines_open_row: str = fact(
        "",
        "then the row that all others are judged by, if it is one row, of which too little was "
        "measured",
        "lines offset",
    )
    offset_mm: float | None = fact(
        None, "what all lines share, + = longer; taken out before judging", "offset"
    )
    level_mm: float | None = fact(
        None, "what all lines are off on average, + = longer", "level offset"
    )
    level_median: bool = fact(
        False, "that is the middle one of all lines, not their mean", "level offset"
    )
    level_counts: bool = fact(False, "nothing is taken out: each line is judged with it", "offset")
    level_shared: bool = fact(
        False, "every row of each side, and nearly every line, lies near it", "level"
    )
    level_far: bool = fact(False, "they share it, and it is more than usual", "level")
    level_uneven: bool = fact(False, "a row, or one side of it, lies far off it", "level")
    level_row: str = fact("", "the one that lies clearly furthest off", "level")
    level_side: str = fact("", "its side; empty where both lie there", "level")
    level_apart_mm: float | None = fact(None, "how far it lies off, + = longer", "level")
    again: int = fact(
        0, "lines measured again, where others were carried over or could not be", "carry_over"
    )
    read: int = fact(0, "how many lines were measured, none carried over", "lines")
    only_side: str = fact("", "the side, where lines of one side alone are known", "lines")
    carried: int = fact(
        0, "lines that nobody moved, carried over from the measuring before", "carry_over"
    )
    controls: int = fact(
        0, "untouched lines, measured both times, that tie both measurings", "carry_over"
    )
    tie_mm: float | None = fact(None, "what the session changed them by, + = longer", "carry_over")
    tie_u_mm: float | None = fact(None, "its standard uncertainty", "carry_over")
    tie_open: str = fact(
        "",
        "otherwise, no_controls or disagree, where nothing could be carried over; else empty",
        "carry_over",
    )
    risers_in: str = fact(
        "not_measured", "included, measured, partly_measured or not_measured", "risers_in"
    )
    pitch: str = fact(
        "not_assessed",
        "expectation of an effect of the wing's angle, nose up or down",
        "pitch.wing",
    )
    by_lines: bool = fact(
        False, "angles are those of the lines alone: not all risers were measured", "risers_in"
    )
    angle_by: str = fact(
        "",
        "lines, half, half_lines, rows or rows_lines, where angles are not those of the whole "
        "wing: risers, a side or a row were not measured, or are in doubt",
        "risers_in lines",
    )
    angle_side: str = fact(
        "",
        "then the side of whose rows alone they are, if it is one: the other was not measured, "
        "or is in doubt",
        "lines",
    )
    pitch_way: str = fact("", "up or down", "pitch.wing")
    tilted_by: str = fact(
        "lines",
        "lines, risers or both: what most of the angle comes from",
        "pitch.by_risers_deg pitch.wing",
    )
    pitch_deg: float | None = fact(None, "the angle", "pitch.wing")
    pitch_u_deg: float | None = fact(None, "its expanded uncertainty (k = 2)", "pitch.wing")
    pitch_within_deg: float | None = fact(
        None, "what the angle is at most, with its expanded uncertainty", "pitch.wing"
    )
    pitch_settled_deg: float | None = fact(
        None, "from which angle on its way is settled", "pitch.wing"
    )
    pitch_threshold_deg: float | None = fact(
        None, "from which angle a pilot may notice it", "pitch.wing"
    )
    pitch_in_doubt: bool = fact(
        False, "it is not assessed, as it hangs on lengths in doubt", "pitch.wing"
    )
    twist: str = fact(
        "not_assessed",
        "expectation of an effect of the tips' angle against the centre's",
        "pitch.twist",
    )
    twist_way: str = fact("", "up or down", "pitch.twist")
    twist_deg: float | None = fact(None, "the angle", "pitch.twist")
    twist_u_deg: float | None = fact(None, "its expanded uncertainty (k = 2)", "pitch.twist")
    rows_unlike: bool = fact(
        False, "a row has so few lines that nobody knows how far out they hang", "pitch.twist"
    )
    turn: str = fact("not_assessed", "expectation of a turn by itself", "symmetry")
    turn_in_doubt: bool = fact(
        False, "it is not assessed, as it hangs on lengths in doubt", "symmetry.turn"
    )
    turn_side: str = fact("", "to which side; empty where that is not settled", "symmetry doubts")
    turn_differs: bool = fact(False, "both halves differ by more than the uncertainty", "symmetry")
    halves_apart: bool = fact(
        False,
        "both halves clearly differ by what a pilot may notice, though no turn was assessed",
        "symmetry",
    )
    halves_mm: float | None = fact(
        None, "how much longer the right half is than the left, on average", "symmetry"
    )
    turn_deg: float | None = fact(None, "difference of the angles of the two halves", "symmetry")
    turn_mm: float | None = fact(
        None, "difference of the mean lengths of the two halves", "symmetry"
    )
    bent: str = fact(
        "not_assessed",
        "expectation for the row furthest from the straight line through all rows",
        "residuals",
    )
    bent_row: str = fact("", "its name, where that is clear", "residuals")
    bent_mm: float | None = fact(None, "how far it lies off, + = longer", "residuals")
    bent_u_mm: float | None = fact(None, "its expanded uncertainty (k = 2)", "residuals")
    speed_low: float | None = fact(
        None, "change of trim speed by the angle in km/h, lower end", "speed"
    )
    speed_high: float | None = fact(
        None,
        "upper end; none where the angle lies beyond what the estimate was checked for",
        "speed",
    )
    speed_beyond: bool = fact(False, "it does", "speed")
    speed_base: float | None = fact(None, "trim speed that the estimate starts from", "speed")
    speed_assumed: bool = fact(False, "no trim speed was given", "speed")
    risers: str = fact("not_assessed", "verdict on the risers", "risers")
    risers_judged: int = fact(0, "how many risers were judged", "risers")
    risers_outside: int = fact(0, "how many of them are outside limits", "risers")
    risers_outside_names: tuple[tuple[str, str], ...] = fact(
        (), "these with their side, worst first", "risers"
    )
    risers_worst_mm: float | None = fact(
        None, "by how much the first of them is off, + = longer", "risers"
    )
    risers_worst_pushed: bool = fact(False, "that is with the bar pushed", "risers")
    risers_limit_mm: float | None = fact(None, "their limit", "risers")
    risers_close: int = fact(
        0, "of how many measuring does not settle whether they are within limits", "risers"
    )
    risers_missing: int = fact(0, "how many lengths of risers were not measured", "risers")


ABSENT = StateFacts()


def state_facts(state: State | None, reference: str = "") -> StateFacts:
    """Facts of one state; all "not assessed" when there is none.

    `reference` is the row whose mean is taken out of all lines, if it is one row's.
    """
    if state is None:
        return ABSENT
    lines = [x for x in state.lines if not x.kind.is_brake]
    worst_first = sorted(lines, key=lambda x: -abs(x.relative_mm or 0.0))
    off = [x for x in worst_first if x.verdict.outside and x.relative_mm is not None]
    over = [x for x in worst_first if x.verdict is Verdict.CONDITIONAL_FAIL]
    missing = sum(x.measured_mm is None for x in lines)
    doubted = [x for x in lines if x.doubted]
    judged = [x for x in lines if x.verdict is not Verdict.NOT_ASSESSED]
    pitch, twist = state.pitch.wing, state.pitch.twist
    turn, level, tie = state.symmetry.turn, state.level, state.carry_over
    bent_row, bent = _bent(state)
    differs = state.comparable_load is Verdict.FAIL
    free = any(b.free_travel_mm is not None for b in state.brakes.values())
    risers = [r for r in state.risers if r.trim_mm is not None or r.accelerated_mm is not None]
    off_risers = sorted((r for r in risers if r.verdict.outside), key=lambda r: -abs(_furthest(r)))
    # Lines alone do not tell how fast a wing is whose risers may be off.
    speed = None if lines_alone(state) else speed_of(pitch, state.speed)
    one_half = _one_half(lines)
    whole_mm = _whole_mm(state)
    return StateFacts(
        checked=bool(risers or free or any(x.measured_mm is not None for x in state.lines)),
        measured=any(x.measured_mm is not None for x in lines),
        load_differs=differs,
        load_unknown=state.comparable_load is Verdict.NOT_ASSESSED,
        lines="not_assessed" if differs else state.verdict.name.lower(),
        judged=len(judged),
        outside=len(off),
        close=sum(x.verdict.conditional for x in lines),
        over_lines=tuple((x.point.name, x.side.value) for x in over),
        missing=missing,
        rows_missing=_rows_missing(lines),
        doubted=len(doubted),
        doubted_lines=tuple((x.point.name, x.side.value) for x in doubted),
        outside_lines=tuple((x.point.name, x.side.value) for x in off),
        outside_worst_mm=off[0].relative_mm if off else None,
        limit_mm=_one({x.tolerance_mm for x in judged}),
        pairs_outside=(pairs := pairs_outside(state)).outside,
        pairs_beside=tuple(
            name for name, _ in pairs.outside if name not in {x.point.name for x in off}
        ),
        pairs_worst_mm=pairs.worst_mm,
        pairs_limit_mm=pairs.limit_mm,
        line_u_mm=2 * max((x.u_mm for x in judged if x.u_mm is not None), default=0.0) or None,
        lines_unsure=any(
            x.u_mm is not None and x.tolerance_mm is not None and 2 * x.u_mm > x.tolerance_mm
            for x in lines
        ),
        lines_open=(lines_open := _lines_open(state, lines)),
        # With the whole of that row the others can always be judged.
        lines_open_row=reference if lines_open == "too_few" else "",
        offset_mm=state.offset.value_mm if state.offset else None,
        level_mm=whole_mm,
        level_median=level is not None and not _by_mean(state),
        level_counts=state.offset is not None and state.offset.method is OffsetMethod.NONE,
        level_shared=bool(level and level.shared),
        level_far=bool(level and level.shared and abs(whole_mm or 0.0) > _FAR_MM),
        level_uneven=bool(level and level.apart_mm),
        level_row=level.row if level else "",
        level_side=level.side.value if level and level.side else "",
        level_apart_mm=level.apart_mm + level.median_mm - (whole_mm or 0.0) if level else None,
        again=tie.again if tie else 0,
        read=sum(x.measured_mm is not None and not x.carried for x in lines),
        only_side=_one_side(lines),
        carried=tie.carried if tie else 0,
        controls=tie.controls if tie else 0,
        tie_mm=tie.shift_mm if tie and tie.carried else None,
        tie_u_mm=tie.u_mm if tie and tie.carried else None,
        tie_open=_TIE_OPEN.get(tie.why_not, "") if tie and missing else "",
        risers_in=state.risers_in.name.lower(),
        by_lines=lines_alone(state),
        angle_by=_angle_by(state, lines),
        angle_side=one_half,
        pitch=expectation(pitch),
        pitch_way=significant_direction(
            pitch, "up", "down", assumed=assumed(state), one_half=bool(one_half)
        ),
        tilted_by=_tilted_by(state),
        pitch_deg=size_of(pitch),
        pitch_u_deg=2 * pitch.u,
        pitch_within_deg=None if pitch.value is None else abs(pitch.value) + 2 * pitch.u,
        pitch_settled_deg=None
        if pitch.value is None
        else wing_settled(pitch, assumed=assumed(state), one_half=bool(one_half)),
        pitch_threshold_deg=pitch.threshold,
        pitch_in_doubt=pitch.why_not is WhyNot.IN_DOUBT,
        rows_unlike=twist.why_not is WhyNot.ROWS_UNLIKE,
        twist=expectation(twist),
        twist_way=significant_direction(twist, "up", "down", one_half=bool(one_half)),
        twist_deg=size_of(twist),
        twist_u_deg=2 * twist.u,
        turn=turn_seen(turn),
        halves_apart=halves_apart(turn, state.symmetry.angle, state.symmetry.all_lines),
        halves_mm=state.symmetry.all_lines.value,
        turn_in_doubt=turn.rate.why_not is WhyNot.IN_DOUBT,
        turn_side=turn_side(turn, state.symmetry.angle, state.symmetry.all_lines),
        turn_differs=differs_clearly(state.symmetry.angle, state.symmetry.all_lines, turn.rate),
        turn_deg=size_of(state.symmetry.angle),
        turn_mm=size_of(state.symmetry.all_lines),
        bent=expectation(bent),
        bent_row=bent_row,
        bent_mm=bent.value if bent else None,
        bent_u_mm=2 * bent.u if bent else None,
        speed_low=abs(speed.low_km_h) if speed else None,
        speed_high=abs(speed.high_km_h) if speed and speed.high_km_h is not None else None,
        speed_beyond=bool(speed and speed.high_km_h is None),
        speed_base=state.speed.base_km_h if state.speed else None,
        speed_assumed=bool(state.speed and state.speed.assumed),
        risers=state.riser_verdict.name.lower(),
        risers_judged=sum(r.tolerance_mm is not None for r in risers),
        risers_outside=len(off_risers),
        risers_outside_names=tuple((r.name, r.side.value) for r in off_risers),
        risers_worst_mm=_furthest(off_risers[0]) if off_risers else None,
        risers_worst_pushed=bool(off_risers) and _furthest(off_risers[0]) != off_risers[0].trim_mm,
        risers_limit_mm=off_risers[0].tolerance_mm if off_risers else None,
        risers_close=sum(r.verdict.conditional for r in risers),
        risers_missing=sum(r.missing for r in state.risers),
    )


def _furthest(riser: RiserFinding) -> float:
    """The larger of a riser's deviations in mm, at trim where both are alike."""
    return max((riser.trim_mm or 0.0, riser.accelerated_mm or 0.0), key=abs)


def assumed(state: State) -> bool:
    """Whether the lines' angle rests on what nobody measured: a side, the front or the rear.

    Completion bridges those with what wings are usually like; the one on the bench may be another.
    """
    rows = [x for x in state.lines if x.kind is GroupKind.ROW]
    ends = {rows[0].point.group, rows[-1].point.group} if rows else set()
    return bool(_one_half(rows)) or not ends <= {x.point.group for x in rows if _counts(x)}


def lines_alone(state: State) -> bool:
    """Whether angles are those of the lines alone: not all risers that count were measured."""
    return state.risers_in in (RiserBasis.NOT_MEASURED, RiserBasis.PARTLY_MEASURED)


def turning_alike(state: StateFacts, other: StateFacts) -> StateFacts:
    """The state with the turn that the other one shows, where no work changed it.

    Two measurings of one wing near the threshold fall on either side of it by chance. It may turn
    before as well as after, then, or it would be "no change" beside a turn that is new. Where they
    name opposite sides, neither is settled.
    """
    if {state.turn_side, other.turn_side} == {"left", "right"}:
        return replace(state, turn_side="")
    settled = noticeable(state.turn) and state.turn_side
    if settled or state.turn == "not_assessed" or not (noticeable(other.turn) and other.turn_side):
        return state
    turn = state.turn if noticeable(state.turn) else "possible"
    return replace(state, turn=turn, turn_side=other.turn_side)


def _angle_by(state: State, lines: list[LineFinding]) -> str:
    """What angles are taken from, in one word; half a wing may miss rows as well."""
    part = "half" if _one_half(lines) else "rows" if _rows_missing(lines) else ""
    return "_".join(filter(None, (part, "lines" if lines_alone(state) else "")))


def _rows_missing(lines: list[LineFinding]) -> tuple[str, ...]:
    rows = {x.point.group: False for x in lines if x.kind is GroupKind.ROW}
    for line in lines:
        if line.point.group in rows and _counts(line):
            rows[line.point.group] = True
    return tuple(row for row, known in rows.items() if not known)


def _lines_open(state: State, lines: list[LineFinding]) -> str:
    """Why lines are not judged; those at the tip alone, with no row measured, are too few."""
    if state.offset_why is WhyNot.NOT_MEASURED and any(x.measured_mm is not None for x in lines):
        return "too_few"
    return _LINES_OPEN.get(state.offset_why, "")


def _one_half(lines: list[LineFinding]) -> str:
    """The only side with rows that angles can be taken from; empty where both have, or neither."""
    sides = {x.side.value for x in lines if x.kind is GroupKind.ROW and _counts(x)}
    return next(iter(sides)) if len(sides) == 1 else ""


def _counts(line: LineFinding) -> bool:
    return line.measured_mm is not None and not line.doubted


def _one_side(lines: list[LineFinding]) -> str:
    """The only side of which lines are known; empty where both are, or one line says nothing."""
    known = [x.side for x in lines if x.measured_mm is not None]
    return known[0].value if len(known) > 1 and len(set(known)) == 1 else ""


def _whole_mm(state: State) -> float | None:
    """What the lines are off as a whole: the mean that is taken out, so that pages name one value.

    Where another offset or none is taken out it is the median, which no single row carries along.
    """
    if state.level is None:
        return None
    return state.offset.value_mm if state.offset and _by_mean(state) else state.level.median_mm


def _by_mean(state: State) -> bool:
    return state.offset is not None and state.offset.method is OffsetMethod.MEAN


def _tilted_by(state: State) -> str:
    """What an angle comes from, so that lines are not called short where a riser is."""
    whole, risers = state.pitch.wing.value, state.pitch.by_risers_deg
    share = risers / whole if whole and risers else 0.0
    return "risers" if share >= 1.0 - _SMALL_PART else "both" if share > _SMALL_PART else "lines"


def _one(values: set[float | None]) -> float | None:
    return next(iter(values)) if len(values) == 1 else None


def _bent(state: State) -> tuple[str, Effect | None]:
    """The row that lies furthest from the straight line through all rows.

    Of two that lie about as far off, either may be the odd one: then none is named.
    """
    strong = strongest(state.residuals.values())
    if strong is None or not significant_direction(strong, "longer", "shorter"):
        return "", strong
    row = next((name for name, e in state.residuals.items() if e is strong), "")
    least = _MUCH_LESS * abs(strong.value or 0.0)
    alike = sum(abs(e.value or 0.0) >= least for e in state.residuals.values())
    return row if alike == 1 else "", strong
