"""Facts about what the work changed: after minus before."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median

from trimscribe.assess.declare import fact
from trimscribe.assess.effect_words import (
    brake_direction,
    differs_clearly,
    expectation,
    noticeable,
    significant_direction,
    size_of,
    speed_of,
    strongest,
    turn_seen,
    turn_side,
)
from trimscribe.assess.work_facts import WorkFacts
from trimscribe.model.findings import Change, Effect, Findings
from trimscribe.model.wing import Side

_EXPANDED = 2.0  # standard uncertainties
_MOST = 0.5  # of a change: what makes so much of it is its cause
_SEEN_MM = 1.0  # what two printed lengths differ by


@dataclass(frozen=True)
class ChangeFacts:
    """Before to after in plain values; same words as `StateFacts`.

    Of a wing that nobody is said to have touched no effect is known: what differs is unexplained.
    """

    unexplained: bool = fact(
        False,
        "no work was entered, and the two measurings differ by what a pilot may notice",
        "change",
    )
    lines_alike: bool = fact(
        False,
        "no line changed by more, against the middle one, than chance makes of one among so many",
        "change.lines_mm change.chance_mm",
    )
    known: bool = fact(False, "both measurings can be compared", "change.pitch")
    pitch: str = fact("not_assessed", "expectation of an effect", "change.pitch")
    pitch_way: str = fact("", "up or down", "change.pitch")
    pitch_deg: float | None = fact(None, "the change of the angle", "change.pitch")
    pitch_u_deg: float | None = fact(None, "its expanded uncertainty (k = 2)", "change.pitch")
    pitch_threshold_deg: float | None = fact(
        None, "from which change a pilot may notice it", "change.pitch"
    )
    twist: str = fact("not_assessed", "expectation for the tips against the centre", "change.twist")
    twist_way: str = fact("", "up or down", "change.twist")
    twist_deg: float | None = fact(None, "the change of the angle", "change.twist")
    twist_u_deg: float | None = fact(None, "its expanded uncertainty (k = 2)", "change.twist")
    turn: str = fact("not_assessed", "expectation for the turn by itself", "change.turn")
    turn_side: str = fact("", "to which side it changed", "change.turn doubts")
    turn_differs: bool = fact(
        False, "both halves changed against each other by more than the uncertainty", "change.turn"
    )
    turn_deg: float | None = fact(
        None, "the change of the difference of the halves' angles", "change.turn"
    )
    speed_low: float | None = fact(None, "change of trim speed in km/h, lower end", "change.speed")
    speed_high: float | None = fact(
        None, "upper end; none beyond what the estimate was checked for", "change.speed"
    )
    speed_beyond: bool = fact(False, "before or after lies beyond it", "change.speed")
    speed_base: float | None = fact(
        None, "trim speed that the estimate starts from", "change.speed"
    )
    speed_assumed: bool = fact(False, "no trim speed was given", "change.speed")
    brake: str = fact(
        "not_assessed", "expectation for the free travel of the brakes", "change.brakes"
    )
    brake_way: str = fact("", "more, less, or mixed", "change.brakes")
    brakes_less: tuple[str, ...] = fact(
        (),
        "sides whose free travel noticeably shrank, so that the brake acts sooner",
        "change.brakes",
    )
    brakes_more: tuple[str, ...] = fact(
        (), "sides whose free travel noticeably grew", "change.brakes"
    )
    brake_least: str = fact(
        "not_assessed", "the weaker expectation of the sides named", "change.brakes"
    )
    brakes_unlike: tuple[str, ...] = fact(
        (),
        "sides whose free travel, measured both times, changed otherwise than lengths say",
        "change.brakes before.brakes after.brakes",
    )
    brake_why: str = fact(
        "",
        "lines, brakes or both: what was adjusted, where that explains it on all sides named; "
        "lines_entered or both_entered where measuring does not tell what became of the lines",
        "change.brakes change.brake_lines_mm ledger",
    )
    travel_lost: tuple[str, ...] = fact(
        (),
        "sides whose free travel shrank though their brake lines were left alone, where work on "
        "lines explains it",
        "change.brakes change.brake_lines_mm ledger before.brakes after.brakes",
    )
    brake_left_mm: float | None = fact(
        None, "change of the left free travel, + = more", "change.brakes"
    )
    brake_right_mm: float | None = fact(
        None, "change of the right free travel, + = more", "change.brakes"
    )


def unexplained(change: ChangeFacts) -> ChangeFacts:
    """What is left of a change where no work was entered that would explain it.

    Only what is more than chance is left: near a threshold, "possible" alone may be noise.
    """
    return ChangeFacts(
        unexplained=bool(
            (noticeable(change.pitch) and change.pitch_way)
            or (noticeable(change.twist) and change.twist_way)
            or (noticeable(change.turn) and change.turn_differs)
            or change.brake_way
            or change.brakes_unlike
        ),
        lines_alike=change.lines_alike,
    )


def change_facts(findings: Findings, work: WorkFacts) -> ChangeFacts:
    """Facts of the change; all "not assessed" when there is none."""
    change = findings.change
    if change is None:
        return ChangeFacts()
    pitch, speed = change.pitch, speed_of(change.pitch, change.speed)
    unlike = tuple(side for side in change.brakes if _unlike(findings, change, side))
    told = {side: effect for side, effect in change.brakes.items() if side not in unlike}
    brake = strongest(told.values())
    left, right = (_value(change, side) for side in (Side.LEFT, Side.RIGHT))
    less, more = (_changed(told, which) for which in ("less", "more"))
    whys = {_why(change, side, work) for side in (*less, *more)}
    whole = not unlike and all(e.value is not None for e in told.values())
    return ChangeFacts(
        lines_alike=_lines_alike(change),
        known=pitch.value is not None,
        pitch=expectation(pitch),
        pitch_way=significant_direction(pitch, "up", "down"),
        pitch_deg=size_of(pitch),
        pitch_u_deg=2 * pitch.u,
        pitch_threshold_deg=pitch.threshold,
        twist=expectation(change.twist),
        twist_way=significant_direction(change.twist, "up", "down"),
        twist_deg=size_of(change.twist),
        twist_u_deg=2 * change.twist.u,
        turn=turn_seen(change.turn),
        turn_side=turn_side(change.turn, change.symmetry_angle, change.all_lines),
        turn_differs=differs_clearly(change.symmetry_angle, change.all_lines, change.turn.rate),
        turn_deg=size_of(change.symmetry_angle),
        speed_low=abs(speed.low_km_h) if speed else None,
        speed_high=abs(speed.high_km_h) if speed and speed.high_km_h is not None else None,
        speed_beyond=bool(speed and speed.high_km_h is None),
        speed_base=change.speed.base_km_h if change.speed else None,
        speed_assumed=bool(change.speed and change.speed.assumed),
        # That nothing changes may be said of both brakes only.
        brake=expectation(brake) if whole or noticeable(expectation(brake)) else "not_assessed",
        brake_way="mixed" if less and more else "less" if less else "more" if more else "",
        brakes_less=tuple(side.value for side in less),
        brakes_more=tuple(side.value for side in more),
        brake_least=_least(change, (*less, *more)),
        brakes_unlike=tuple(side.value for side in unlike),
        brake_why=_as_known(whys.pop(), change) if len(whys) == 1 else "",
        travel_lost=tuple(
            side.value for side in change.brakes if _lost_to_lines(findings, change, side, work)
        ),
        brake_left_mm=left,
        brake_right_mm=right,
    )


def _lines_alike(change: Change) -> bool:
    if change.chance_mm is None:
        return False
    middle = median(change.lines_mm.values())
    return all(abs(mm - middle) <= change.chance_mm for mm in change.lines_mm.values())


def _lost_to_lines(findings: Findings, change: Change, side: Side, work: WorkFacts) -> bool:
    """Whether lines let out may have taken the free travel that a brake left alone lost.

    Both the free travel and the brake against the line set must have lost it, the one by what a
    reader sees and the other by more than its standard uncertainty.
    """
    effect = change.brakes[side]
    if work.brake_work or not work.longer or _why(change, side, work) != "lines":
        return False
    had, has = (
        state.brakes[side].free_travel_mm if state and side in state.brakes else None
        for state in (findings.before, findings.after)
    )
    if had is None or has is None or effect.value is None:
        return False
    return had - has >= _SEEN_MM and effect.value < -effect.u


def _value(change: Change, side: Side) -> float | None:
    effect = change.brakes.get(side)
    return effect.value if effect else None


def _unlike(findings: Findings, change: Change, side: Side) -> bool:
    """Whether free travel was read both times and says otherwise than lengths, by what is noticed.

    Of a change that lengths show, it must have gone the same way by half of that at least; where
    they show none, it must not be noticed either. Then neither is reported as how the brake acts.
    """
    had, has = (
        state.brakes[side] if state and side in state.brakes else None
        for state in (findings.before, findings.after)
    )
    effect = change.brakes[side]
    if had is None or has is None or effect.value is None:
        return False
    if had.free_travel_mm is None or has.free_travel_mm is None or had.estimated or has.estimated:
        return False
    read_mm = has.free_travel_mm - had.free_travel_mm
    if noticeable(expectation(effect)):
        alike = read_mm * effect.value > 0.0 and abs(read_mm) >= effect.threshold / 2.0
    else:
        alike = abs(read_mm) <= effect.threshold
    return not alike and abs(read_mm - effect.value) > effect.threshold


def _changed(brakes: Mapping[Side, Effect], which: str) -> tuple[Side, ...]:
    """The sides on which a pilot may notice more, or less, free travel.

    One that is not settled by itself, or not noticed, is named with the other where it went the
    same way and measuring does not tell both changes apart: else it looks as if it were as before.
    """
    ways = {side: brake_direction(effect, "more", "less") for side, effect in brakes.items()}
    seen = {side for side, e in brakes.items() if noticeable(expectation(e))}
    named = {side for side in seen if ways[side] == which}
    if len(named) == 1 and _alike(brakes):
        named |= {side for side in brakes if ways[side] == which or side in seen}
    return tuple(side for side in brakes if side in named)


def _alike(brakes: Mapping[Side, Effect]) -> bool:
    """Whether both changed the same way, and by no more or less than measuring tells apart."""
    known = [effect.value for effect in brakes.values() if effect.value is not None]
    if len(known) < len(Side) or known[0] * known[1] <= 0.0:
        return False
    return abs(known[0] - known[1]) <= _EXPANDED * math.hypot(*(e.u for e in brakes.values()))


def _least(change: Change, sides: tuple[Side, ...]) -> str:
    words = {expectation(change.brakes[side]) for side in sides}
    return "possible" if words - {"expected"} else "expected" if words else "not_assessed"


def _as_known(why: str, change: Change) -> str:
    """The same, but as entered where nobody knows by measuring what the lines changed by."""
    return f"{why}_entered" if why in ("lines", "both") and change.pitch.value is None else why


def _why(change: Change, side: Side, work: WorkFacts) -> str:
    """What was adjusted, the lines that hold the wing or the brakes, where it made most of it.

    Where both were adjusted both are named if both went that way.
    """
    whole, own = change.brakes[side].value, change.brake_lines_mm.get(side)
    if not whole or own is None:
        return ""
    share = own / whole
    if work.brake_work and work.lines_adjusted:
        return "lines" if share <= 0.0 else "brakes" if share >= 1.0 else "both"
    if work.brake_work:
        return "brakes" if share >= _MOST else ""
    return "lines" if work.lines_adjusted and share < _MOST else ""
