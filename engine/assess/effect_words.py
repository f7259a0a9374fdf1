"""Effects and verdicts in the words that rules know, and which of several is reported."""

from collections.abc import Iterable

from trimscribe.model.findings import Effect, Expectation, SpeedRange, Turn
from trimscribe.model.wing import Side

_NOTHING = 1e-9  # deg km/h; what arithmetic leaves over of nothing has no direction
# Standard uncertainties beyond which a direction is reported: of anything, and of what is as large
# as a pilot notices. A brake is named sooner: to leave out a short one is worse.
_WING, _BRAKES = (3.3, 2.6), (2.6, 2.0)
ASSUMED = 4.0  # of what rests on lines or risers assumed; two mixed up by 14 mm make 2.8 u
_ORDER = (Expectation.NONE, Expectation.POSSIBLE, Expectation.EXPECTED)


def expectation(effect: Effect | None) -> str:
    """The expectation of an effect in one word; an effect without a value was not assessed."""
    if effect is None or effect.value is None:
        return "not_assessed"
    return effect.expectation.name.lower()


def size_of(effect: Effect) -> float | None:
    """How large it is, whichever way; None where it was not assessed."""
    return None if effect.value is None else abs(effect.value)


def noticeable(expectation: str) -> bool:
    """Whether a pilot may or should notice it."""
    return expectation in ("possible", "expected")


def beyond(verdict: str) -> bool:
    """Whether a result lies on the wrong side of its limit, clearly or not."""
    return verdict in ("fail", "conditional_fail")


def way(value: float | None, plus: str, minus: str) -> str:
    """Which way a signed value points; empty when it points nowhere."""
    return "" if not value else plus if value > 0 else minus


def significant_direction(
    effect: Effect, plus: str, minus: str, *, assumed: bool = False, one_half: bool = False
) -> str:
    """Which way an effect points; empty where its uncertainty leaves it open.

    A report makes several such tests of one wing. At 2 u each, 6 % of perfect wings would be given
    a direction (our own trial); so it takes 3.3 u, or 2.6 u of what is as large as a pilot notices:
    by chance that happens once in a thousand times, or in a hundred (normal distribution). Where u
    is `assumed`, as of a rear row that nobody measured, it takes 4 u.
    `one_half` of a wing speaks for both where it is off by what a pilot notices besides: halves of
    a wing that turns differ by more than a degree.
    """
    least = wing_settled(effect, assumed=assumed, one_half=one_half)
    return _way_beyond(least, effect, plus, minus)


def wing_settled(effect: Effect, *, assumed: bool = False, one_half: bool = False) -> float:
    """From which size on that is settled, in the effect's unit."""
    least = ASSUMED * effect.u if assumed or one_half else _settled_from(effect, *_WING)
    return least + (effect.threshold if one_half else 0.0)


def brake_direction(effect: Effect, plus: str, minus: str, *, assumed: bool = False) -> str:
    """Which way a brake, a change of it or the difference of both points; empty where left open.

    It takes 2.6 u, or 2 u of what is as large as a pilot notices: of 2,243 brakes that our own
    trial named so, none was named the wrong way.
    """
    return _way_beyond(brake_settled(effect, assumed=assumed), effect, plus, minus)


def brake_settled(effect: Effect, *, assumed: bool = False) -> float:
    """From which size on that is settled, in the effect's unit."""
    return ASSUMED * effect.u if assumed else _settled_from(effect, *_BRAKES)


def _settled_from(effect: Effect, any_size: float, noticeable: float) -> float:
    return min(any_size * effect.u, max(noticeable * effect.u, effect.threshold))


def _way_beyond(least: float, effect: Effect, plus: str, minus: str) -> str:
    return "" if abs(effect.value or 0.0) <= least else way(effect.value, plus, minus)


def turn_seen(turn: Turn) -> str:
    """The expectation of a turn in one word; "expected" only where the turn itself is.

    Where one half is surely longer or more nose up than the other, but what that adds up to may be
    too small to notice, it is "possible".
    """
    if turn.expectation is Expectation.EXPECTED is not turn.rate.expectation:
        return "possible"
    return turn.expectation.name.lower()


def turn_side(turn: Turn, angle: Effect, lengths: Effect) -> str:
    """The side to which a wing turns; empty unless a difference that says so is clear by itself.

    It turns to the half that is more nose up, and to the side whose lines are all short.
    """
    ways = (
        significant_direction(angle, Side.RIGHT.value, Side.LEFT.value),
        significant_direction(lengths, Side.LEFT.value, Side.RIGHT.value),
        significant_direction(turn.rate, Side.RIGHT.value, Side.LEFT.value),
    )
    return turn.side.value if turn.side and turn.side.value in ways else ""


def differs_clearly(*effects: Effect) -> bool:
    """Whether any of them differs clearly from nothing, whichever way."""
    return any(significant_direction(effect, "more", "less") for effect in effects)


def halves_apart(turn: Turn, *halves: Effect) -> bool:
    """Whether both halves clearly differ by what a pilot may notice, and no turn was assessed."""
    return turn.expectation is Expectation.NOT_ASSESSED and any(
        noticeable(expectation(effect)) and significant_direction(effect, "more", "less")
        for effect in halves
    )


def strongest(effects: Iterable[Effect | None]) -> Effect | None:
    """The effect a pilot is most likely to notice, the larger of two alike; None without any."""
    known = [e for e in effects if e is not None and e.value is not None and _rank(e) >= 0]
    return max(known, key=lambda e: (_rank(e), abs(e.value or 0.0)), default=None)


def _rank(effect: Effect) -> int:
    return _ORDER.index(effect.expectation) if effect.expectation in _ORDER else -1


def speed_of(pitch: Effect, speed: SpeedRange | None) -> SpeedRange | None:
    """A change of speed whose direction is settled and goes with the angle: nose up is slower.

    The angle weighs all lines alike, the speed by what each band does to it; a strong twist can
    drive them apart. A range that begins at nothing may as well go the other way.
    """
    if speed is None or pitch.value is None or abs(speed.low_km_h) < _NOTHING:
        return None
    size = speed.low_km_h if speed.central_km_h is None else speed.central_km_h
    against = pitch.value * size > -_NOTHING
    return None if against and significant_direction(pitch, "up", "down") else speed
