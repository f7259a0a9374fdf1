"""Which way each brake lies against the lines that hold the wing, and where that may be said."""

from collections.abc import Mapping
from dataclasses import dataclass

from trimscribe.assess.effect_words import brake_direction, brake_settled, expectation, noticeable
from trimscribe.model.findings import BrakeFinding, Effect
from trimscribe.model.wing import Side

_EXPANDED = 2.0  # standard uncertainties
_SIGN = {"long": 1.0, "short": -1.0}


@dataclass(frozen=True)
class BrakeWays:
    """By side `long`, `short` or empty, and what speaks against it.

    `by_length` is so whatever was measured of free travel; `of` is empty where that is `unlike` it.
    `settled_mm`: from which size on one is by itself. `alike`: measuring does not tell both apart.
    Then one that is settled speaks for the other that lies the same way, which is in `by_other`:
    nobody shall set one of two brakes that measuring does not tell apart. `unlike`: by its length
    the brake is long or short, but its measured free travel lies clearly on the other side of the
    specified one, or it is neither, and that lies clearly off it; to measure free travel is the
    surer of both. `travel_off`: it differs from the
    specified one by more than 2 u of what the lengths say of it.
    """

    effects: Mapping[Side, Effect]
    by_length: Mapping[Side, str]
    of: Mapping[Side, str]
    settled_mm: float | None
    alike: bool
    by_other: tuple[Side, ...]
    unlike: tuple[Side, ...]
    travel_off: tuple[Side, ...]

    def noticed(self, which: str) -> tuple[Side, ...]:
        """The sides whose brake a pilot may notice as long, or as short."""
        sides = tuple(side for side, way in self.of.items() if way == which)
        seen = {side: noticeable(expectation(self.effects[side])) for side in sides}
        return sides if self.alike and any(seen.values()) else tuple(s for s in sides if seen[s])


def brake_ways(
    brakes: Mapping[Side, BrakeFinding],
    difference: Effect,
    specified_mm: float | None,
    *,
    assumed: bool,
    by_lines: bool,
) -> BrakeWays:
    """What may be said of the brakes of one measuring; `specified_mm` is of free travel.

    `assumed` and `by_lines`: the line set behind a brake is in part, or is that without risers.
    """
    effects = {s: b.travel_change for s, b in brakes.items() if b.travel_change.value is not None}
    ways = {
        side: brake_direction(effect, "long", "short", assumed=assumed)
        for side, effect in effects.items()
    }
    by_itself = {side for side, way in ways.items() if way}
    settled = {ways[side] for side in by_itself}
    apart = difference.value is None or brake_direction(difference, "right", "left")
    alike = len(settled) == 1 and not apart
    for side in ways if alike else ():
        (way,) = settled
        ways[side] = way if (effects[side].value or 0.0) * _SIGN[way] > 0.0 else ""
    whole = not (assumed or by_lines)  # else that may be what a level brake is unlike by
    unlike = tuple(
        side
        for side, way in ways.items()
        if (way and _unlike(brakes[side], specified_mm))
        or (whole and not way and _off_level(brakes[side], specified_mm))
    )
    of = {side: "" if side in unlike else way for side, way in ways.items()}
    least = max((brake_settled(e, assumed=assumed) for e in effects.values()), default=None)
    # Of two that are not as uncertain one may be settled below what the other one takes.
    sizes = [abs(effects[side].value or 0.0) for side in by_itself]
    settled_mm = None if least is None else min([least, *sizes])
    by_other = tuple(side for side, way in ways.items() if way and side not in by_itself)
    off = tuple(
        side
        for side, brake in brakes.items()
        if abs(_more_mm(brake, specified_mm) or 0.0) > _EXPANDED * brake.travel_change.u
    )
    return BrakeWays(effects, ways, of, settled_mm, alike, by_other, unlike, off)


def _more_mm(brake: BrakeFinding, specified_mm: float | None) -> float | None:
    """How much more free travel was measured than specified; None where either is not known."""
    if brake.free_travel_mm is None or brake.estimated or specified_mm is None:
        return None
    return brake.free_travel_mm - specified_mm


def _off_level(brake: BrakeFinding, specified_mm: float | None) -> bool:
    """Whether one by length neither long nor short was measured as such, by what is noticed."""
    effect, more_mm = brake.travel_change, _more_mm(brake, specified_mm) or 0.0
    least_mm = max(brake_settled(effect), effect.threshold)
    return min(abs(more_mm), abs(more_mm - (effect.value or 0.0))) > least_mm


def _unlike(brake: BrakeFinding, specified_mm: float | None) -> bool:
    """Whether it was measured as more where it should be less, by more than a pilot notices."""
    more_mm = _more_mm(brake, specified_mm)
    if more_mm is None:
        return False
    by_length_mm, effect = brake.travel_change.value or 0.0, brake.travel_change
    return more_mm * by_length_mm <= 0.0 and abs(more_mm - by_length_mm) > effect.threshold
