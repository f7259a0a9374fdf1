"""Values as YAML text that our own strict loader reads back as they were."""

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

from trimscribe.marked_yaml import plain_value

# Words that need no quotes wherever they are, in brackets too.
_PLAIN = re.compile(r"[^\W\d_][\w .+/()-]*", re.ASCII)


def scalar(value: Any) -> str:
    """One value: numbers as short as they can be, text in quotes only where it needs them."""
    if value is None:
        return "~"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, int | float):
        return repr(value)
    text = str(value)
    plain = _PLAIN.fullmatch(text) and text == text.strip() and plain_value(text) == text
    return text if plain else json.dumps(text, ensure_ascii=False)


def flow(value: Any) -> str:
    """A value on one line, collections in brackets."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{scalar(k)}: {flow(v)}" for k, v in value.items()) + "}"
    if _is_list(value):
        return "[" + ", ".join(map(flow, value)) + "]"
    return scalar(value)


def block(key: str, value: Any, indent: int) -> list[str]:
    """A key and its value as lines; lists of numbers and mappings of single values on one line."""
    start = " " * indent + scalar(key) + ":"
    if isinstance(value, Mapping) and any(_is_deep(one) for one in value.values()):
        below = [line for k, v in value.items() for line in block(k, v, indent + 2)]
        return [start, *below]
    if _is_list(value) and any(isinstance(one, Mapping) for one in value):
        return [start, *(f"{' ' * (indent + 2)}- {flow(one)}" for one in value)]
    return [f"{start} {flow(value)}"]


def _is_list(value: Any) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str)


def _is_deep(value: Any) -> bool:
    return isinstance(value, Mapping) or _is_list(value)
