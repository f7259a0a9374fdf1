"""Values as Typst literals: the one gate between a job's text and a Typst source.

Whatever a template prints passes `literal`. Text becomes a quoted string, so nothing that a person
typed can turn into markup or code; only what is already `Markup` (other templates' output) passes.
"""

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

from trimscribe.templating import Markup, Undefined

__all__ = ["literal"]

# Control characters and the marks that reorder text would hide what a reader sees.
_HIDDEN = [*range(0x20), *range(0x7F, 0xA0), *range(0x202A, 0x202F)]
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\r": "\\r", "\t": "\\t"}
_WRITTEN = str.maketrans(dict.fromkeys(map(chr, _HIDDEN), "") | _ESCAPES)


def literal(value: Any) -> Markup:
    """Write a value as a Typst literal.

    Takes None, bool, numbers, text, dates, enums, sequences, mappings and dataclasses; raises
    TypeError for anything else and ValueError for a number that is not finite.
    """
    if isinstance(value, Markup):
        return value
    return Markup(_write(value))  # every branch below quotes


def _write(value: Any) -> str:
    if type(value) is str:  # nearly all values of a report are
        return _quoted(value)
    if isinstance(value, Markup):
        return str(value)
    if isinstance(value, Undefined):
        return str(value)  # raises UndefinedError, which names what is missing
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Enum):
        return _write(value.value)
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, int | float):
        if not math.isfinite(value):
            raise ValueError(f"{value} is no number to print")
        return f"({value!r})"
    if isinstance(value, dt.date):
        return f"datetime(year: {value.year}, month: {value.month}, day: {value.day})"
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{_write(str(k))}: {_write(v)}" for k, v in value.items())
        return f"({pairs})" if pairs else "(:)"
    if isinstance(value, list | tuple):
        return f"({''.join(f'{_write(item)}, ' for item in value)})"
    if is_dataclass(value) and not isinstance(value, type):
        return _write({field.name: getattr(value, field.name) for field in fields(value)})
    raise TypeError(f"a template cannot print a {type(value).__name__}")


def _quoted(text: str) -> str:
    return f'"{text.translate(_WRITTEN)}"'
