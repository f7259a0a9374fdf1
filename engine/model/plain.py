"""Any value of the model as plain data, ready for JSON."""

import datetime as dt
import functools
import math
import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any, cast

from trimscribe.model.wing import Point

__all__ = ["Plain", "to_plain"]

Plain = None | bool | int | float | str | list["Plain"] | dict[str, "Plain"]

_AS_THEY_ARE = {bool, int, str}  # most values are of these, asked for first
_DIGITS = re.compile(r"(\d+)")


def to_plain(value: object) -> Plain:
    """A model value as None, bool, int, float, str, list and dict.

    Dataclasses keep the order of their fields; mappings are sorted with numbers counted ("A2"
    before "A10"), so the order never depends on who filled them. Enums give their value, dates
    ISO 8601, a point reads "A3", a side and a point "left A3". Floats are not rounded and None
    stays None: nothing missing turns into a number. Raises ValueError for NaN or infinity and
    TypeError for what has no plain form.
    """
    if value is None or type(value) in _AS_THEY_ARE:
        return cast(Plain, value)
    match value:
        case Enum():
            return to_plain(value.value)
        case bool() | int() | str():
            return value
        case float():
            if not math.isfinite(value):
                raise ValueError(f"{value} has no place in findings; what is missing is None")
            return float(value)
        case Point():
            return str(value)
        case dt.date():
            return value.isoformat()
        case Mapping():
            pairs = [(_key(key), to_plain(item)) for key, item in value.items()]
            return dict(sorted(pairs, key=lambda pair: _natural(pair[0])))
        case tuple() | list():
            return [to_plain(item) for item in value]
    if is_dataclass(value) and not isinstance(value, type):
        return {name: to_plain(getattr(value, name)) for name in _names(type(value))}
    raise TypeError(f"{type(value).__name__} has no plain form")


def _key(key: object) -> str:
    if isinstance(key, tuple) and not isinstance(key, Point):
        return " ".join(_key(part) for part in key)
    return str(to_plain(key))


@functools.cache
def _names(kind: type[Any]) -> tuple[str, ...]:
    """The names of a dataclass's fields, which `fields` takes long to find."""
    return tuple(field.name for field in fields(kind))


@functools.lru_cache(maxsize=4096)
def _natural(text: str) -> tuple[tuple[int, str], ...]:
    # Odd parts are digits; a pair compares numbers first and falls back to the text ("007").
    parts = _DIGITS.split(text)
    return tuple((int(p) if i % 2 else -1, p) for i, p in enumerate(parts))
