"""Any value of the model as plain data, ready for JSON, and the strict way back."""

import datetime as dt
import functools
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import TYPE_CHECKING, Any, TypeVar

from trimscribe.model.wing import Point

if TYPE_CHECKING:
    from cattrs import Converter

T = TypeVar("T")

Plain = None | bool | int | float | str | list["Plain"] | dict[str, "Plain"]

_DECIMALS = 9
_DIGITS = re.compile(r"(\d+)")
_AS_IS = frozenset((str, bool, int, type(None)))  # more than half of all values, which need no way
_ways: "dict[type[Any], Callable[[Any], Plain]]" = {}  # found once: a report has 10,000 values


def to_plain(value: object) -> Plain:
    """A model value as None, bool, int, float, str, list and dict.

    Dataclasses keep the order of their fields; mappings are sorted with numbers counted ("A2"
    before "A10"), so the order never depends on who filled them. Enums give their value, dates
    ISO 8601, a point reads "A3", a side and a point "left A3". Floats have at most nine decimals:
    what lies beyond differs between processors and means nothing. None stays None: nothing missing
    turns into a number. Raises ValueError for NaN or infinity and TypeError for what has no plain
    form.
    """
    way = _ways.get(type(value))
    if way is None:
        way = _ways[type(value)] = _way(type(value))
    return way(value)


def plain_fields(value: object) -> dict[str, Plain]:
    """The values of a dataclass by name, as `to_plain` has them."""
    plain = to_plain(value)
    assert isinstance(plain, dict)  # a dataclass becomes one
    return plain


def from_plain(data: object, kind: type[T]) -> T:
    """Build a dataclass from JSON that anybody may have written.

    A text is a text and a count a count: nothing is converted but whole numbers to decimals. Keys
    that are not known are passed over. Raises ValueError where a value is missing or of another
    kind.
    """
    try:
        return _converter().structure(data, kind)
    except (KeyError, TypeError, AttributeError, ValueError, OverflowError) as error:
        raise ValueError(f"this is not a {kind.__name__.lower()}: {error}") from error


@functools.cache
def _converter() -> "Converter":
    from cattrs import Converter  # here, because most commands read no report back

    converter = Converter(detailed_validation=False)
    for exact in (str, int, bool):
        converter.register_structure_hook(exact, _exactly)
    converter.register_structure_hook(float, _decimal)
    return converter


def _exactly(value: Any, kind: type[Any]) -> Any:
    if issubclass(kind, Enum):  # one whose values are texts comes here as well
        return kind(value)
    if type(value) is not kind:
        raise TypeError(f"{value!r} is of another kind")
    return value


def _decimal(value: object, _: type[float]) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError(f"{value!r} is not a number")
    return float(value)


def _way(kind: type[Any]) -> Callable[[Any], Plain]:
    """How values of one type become plain."""
    if issubclass(kind, Enum):
        return lambda value: to_plain(value.value)
    if kind is type(None) or issubclass(kind, bool | int | str):
        return lambda value: value
    if issubclass(kind, float):
        return _number
    if issubclass(kind, Point):
        return str
    if issubclass(kind, dt.date):
        return lambda value: value.isoformat()
    if issubclass(kind, Mapping):
        return _mapping
    if issubclass(kind, tuple | list):
        return lambda value: [v if type(v) in _AS_IS else to_plain(v) for v in value]
    if is_dataclass(kind):
        names = [field.name for field in fields(kind)]
        return lambda value: {
            name: v if type(v := getattr(value, name)) in _AS_IS else to_plain(v) for name in names
        }
    raise TypeError(f"{kind.__name__} has no plain form")


def _number(value: float) -> Plain:
    if not math.isfinite(value):
        raise ValueError(f"{value} has no place in findings; what is missing is None")
    return round(float(value), _DECIMALS) + 0.0  # no zero has a sign


def _mapping(value: Mapping[object, object]) -> Plain:
    pairs = [(_key(key), to_plain(item)) for key, item in value.items()]
    return dict(sorted(pairs, key=lambda pair: _natural(pair[0])))


def _key(key: object) -> str:
    if isinstance(key, tuple) and not isinstance(key, Point):
        return " ".join(_key(part) for part in key)
    return str(to_plain(key))


@functools.lru_cache(maxsize=4096)
def _natural(text: str) -> tuple[tuple[int, str], ...]:
    # Odd parts are digits; a pair compares numbers first and falls back to the text ("007").
    parts = _DIGITS.split(text)
    return tuple((int(p) if i % 2 else -1, p) for i, p in enumerate(parts))
