"""Effects and verdicts in the words that rules know, and which of several is told."""

from collections.abc import Iterable

from trimscribe.model.findings import Effect, Expectation, SpeedRange

__all__ = [
    "clear_way",
    "differs_clearly",
    "noticeable",
    "outside",
    "seen",
    "speed_of",
    "strongest",
    "way",
]

_NOTHING = 1e-9  # deg km/h; what arithmetic leaves over of nothing has no direction
_ORDER = (Expectation.NONE, Expectation.POSSIBLE, Expectation.EXPECTED)


def seen(effect: Effect | None) -> str:
    """The expectation of an effect in one word; an effect without a value was not assessed."""
    if effect is None or effect.value is None:
        return "not_assessed"
    return effect.expectation.name.lower()


def noticeable(expectation: str) -> bool:
    """Whether a pilot may or should notice it."""
    return expectation in ("possible", "expected")


def outside(verdict: str) -> bool:
    """Whether a result lies outside its limit, clearly or not."""
    return verdict in ("fail", "conditional_fail")


def way(value: float | None, plus: str, minus: str) -> str:
    """Which way a signed value points; empty when it points nowhere."""
    return "" if not value else plus if value > 0 else minus


def clear_way(effect: Effect, plus: str, minus: str) -> str:
    """Which way an effect points; empty where its expanded uncertainty (2 u) reaches over zero."""
    if effect.value is None or abs(effect.value) <= 2 * effect.u:
        return ""
    return way(effect.value, plus, minus)


def differs_clearly(*effects: Effect) -> bool:
    """Whether any of them differs from nothing by more than its expanded uncertainty (2 u)."""
    return any(clear_way(effect, "more", "less") for effect in effects)


def strongest(effects: Iterable[Effect | None]) -> Effect | None:
    """The effect a pilot is most likely to notice, the larger of two alike; None without any."""
    known = [e for e in effects if e is not None and e.value is not None and _rank(e) >= 0]
    return max(known, key=lambda e: (_rank(e), abs(e.value or 0.0)), default=None)


def _rank(effect: Effect) -> int:
    return _ORDER.index(effect.expectation) if effect.expectation in _ORDER else -1


def speed_of(pitch: Effect, speed: SpeedRange | None) -> SpeedRange | None:
    """A change of speed, unless it goes against an angle that is clear: nose up is slower.

    The angle weighs all lines alike, the speed by what each band does to it; a strong twist can
    drive them apart.
    """
    if speed is None or pitch.value is None:
        return None
    size = speed.low_km_h if speed.central_km_h is None else speed.central_km_h
    against = pitch.value * size > -_NOTHING
    return None if against and clear_way(pitch, "up", "down") else speed
