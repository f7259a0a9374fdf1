"""Values as Typst literals: the one gate between a job's text and a Typst source.

Whatever a template prints passes `set_aside`. Text becomes a quoted string, so nothing that a
person typed can turn into markup or code; only what is already `Markup` (other templates' output)
passes.

While a template is rendered, a sign for each literal holds its place. So what the theme itself
wrote can be told from what it printed, in the one rendering that becomes the source.
"""

import datetime as dt
import math
import re
from collections.abc import Callable, Mapping
from contextvars import ContextVar
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

from trimscribe.errors import kind_of
from trimscribe.formats import with_units
from trimscribe.templating import Markup, Undefined, pass_context

# Names of Typst that themes may not write, since they make code of text or reach for packages.
FORBIDDEN = ("eval", "plugin", "std", "dictionary", "import", "include")
_FORBIDDEN = re.compile("|".join(FORBIDDEN))
_START, _END = "\ue000", "\ue001"
_PLACE = re.compile(f"{_START}(\\d+){_END}")

# Control characters and the marks that reorder text would hide what a reader sees.
_HIDDEN = [*range(0x20), *range(0x7F, 0xA0), *range(0x202A, 0x202F)]
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\r": "\\r", "\t": "\\t"}
_WRITTEN = str.maketrans(dict.fromkeys(map(chr, _HIDDEN), "") | _ESCAPES)


class TemplateText:
    """What a template has made: its own text, with signs in the places of literals."""

    def __init__(self, text: str, literals: list[Markup]) -> None:
        """Raises ValueError where the text has signs that no literal left."""
        self._text, self._literals = text, literals
        if set(_PLACE.sub("", text)) & {_START, _END}:
            raise ValueError("a template may not take the place of a value apart")
        if any(int(place[1]) >= len(literals) for place in _PLACE.finditer(text)):
            raise ValueError("a template may not make the place of a value")

    @property
    def whole(self) -> str:
        """The source as Typst gets it."""
        return self._filled(lambda value: value)

    def without(self, cut_out: Callable[[Markup], bool]) -> str:
        """What the theme wrote, with empty texts for the literals that are cut out."""
        return self._filled(lambda value: '""' if cut_out(value) else value)

    def _filled(self, fill: Callable[[Markup], str]) -> str:
        return _PLACE.sub(lambda place: fill(self._literals[int(place[1])]), self._text)


_set_aside: ContextVar[list[Markup]] = ContextVar("_set_aside")


def sourced(render: Callable[[], str]) -> TemplateText:
    """What a template makes whose environment sets literals aside."""
    kept: list[Markup] = []
    before = _set_aside.set(kept)
    try:
        return TemplateText(render(), kept)
    finally:
        _set_aside.reset(before)


@pass_context  # so that Jinja2 does not print constants when it compiles, but here as well
def set_aside(_: object, value: Any) -> Markup:
    """A sign for the value's literal; what a template has made itself passes."""
    if isinstance(value, Markup):
        return value
    kept = _set_aside.get()
    kept.append(literal(value))
    return Markup(f"{_START}{len(kept) - 1}{_END}")  # figures between two signs of ours


def literal(value: Any) -> Markup:
    """Write a value as a Typst literal.

    Takes None, bool, numbers, text, dates, enums, sequences, mappings and dataclasses; raises
    TypeError for anything else and ValueError for a number that is not finite.
    """
    if isinstance(value, Markup):
        return value
    try:
        return Markup(_write(value))  # every branch below quotes
    except _NotPrintableError as found:
        within = "" if found.value is value else f", which holds {kind_of(found.value)}"
        raise TypeError(f"a template cannot print {kind_of(value)}{within}") from None


class _NotPrintableError(Exception):
    """Carries the very value, however deep it is, that has no literal."""

    def __init__(self, value: object) -> None:
        self.value = value


def _write(value: Any) -> str:
    if type(value) is str:  # nearly all values of a report are
        return _quoted(value)
    if isinstance(value, Markup):
        raise TypeError("a template cannot print what it has made inside of another value")
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
            raise ValueError(f"{value} is not a number to print")
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
    raise _NotPrintableError(value)


def _quoted(text: str) -> str:
    """In quotes, without forbidden names: a theme may set a value where it is not text but code."""
    written = with_units(text).translate(_WRITTEN)
    return f'"{_FORBIDDEN.sub(_apart, written)}"'


def _apart(name: re.Match[str]) -> str:
    """The same name to a reader, none to Typst: its first letter by its number."""
    return f"\\u{{{ord(name[0][0]):x}}}{name[0][1:]}"
