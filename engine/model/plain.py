"""Any value of the model as plain data, ready for JSON."""

import datetime as dt
import math
import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum

from trimscribe.model.wing import Point

__all__ = ["Plain", "to_plain"]

Plain = None | bool | int | float | str | list["Plain"] | dict[str, "Plain"]

_DIGITS = re.compile(r"(\d+)")


def to_plain(value: object) -> Plain:
    """A model value as None, bool, int, float, str, list and dict.

    Dataclasses keep the order of their fields; mappings are sorted with numbers counted ("A2"
    before "A10"), so the order never depends on who filled them. Enums give their value, dates
    ISO 8601, a point reads "A3", a side and a point "left A3". Floats are not rounded and None
    stays None: nothing missing turns into a number. Raises ValueError for NaN or infinity and
    TypeError for what has no plain form.
    """
    match value:
        case Enum():
            return to_plain(value.value)
        case None | bool() | int() | str():
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
        return {f.name: to_plain(getattr(value, f.name)) for f in fields(value)}
    raise TypeError(f"{type(value).__name__} has no plain form")


def _key(key: object) -> str:
    if isinstance(key, tuple) and not isinstance(key, Point):
        return " ".join(_key(part) for part in key)
    return str(to_plain(key))


def _natural(text: str) -> list[tuple[int, str]]:
    # Odd parts are digits; a pair compares numbers first and falls back to the text ("007").
    parts = _DIGITS.split(text)
    return [(int(p) if i % 2 else -1, p) for i, p in enumerate(parts)]
