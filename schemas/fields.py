"""Single values that people write, each with what belongs there and its JSON Schema.

Every field says in `description` what it means and in `belongs` what is allowed, as it is read in
a fault: "a length in mm such as 7342 or 7342.5". What is wrong travels as a `Problem`; only
`trimscribe.schemas.faults` puts it into words.
"""

import datetime as dt
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import marshmallow as mm

from trimscribe.hints import number_hint

JsonSchema = dict[str, Any]

_ISO = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_LONGEST_TEXT = 10_000


@dataclass(frozen=True)
class Problem:
    """A fault before it is worded: its code, what belongs there, and how to mend it if known."""

    code: str
    belongs: str = ""
    hint: str = ""
    names: tuple[str, ...] = ()


class Value(mm.fields.Field[Any]):
    """Base of all fields. Where a value may be left out, `~` leaves it out."""

    default_error_messages = {"required": "missing-key", "null": "missing-value"}  # noqa: RUF012 (marshmallow's name)
    belongs = "a value"

    def __init__(self, description: str, *, belongs: str = "", required: bool = False) -> None:
        """Take the description for editors and, where the kind's own will not do, `belongs`."""
        super().__init__(
            required=required, allow_none=not required, metadata={"description": description}
        )
        self.belongs = belongs or self.belongs

    def problem(self, code: str, hint: str = "", names: Sequence[str] = ()) -> mm.ValidationError:
        """Make the error of this field."""
        return mm.ValidationError([Problem(code, self.belongs, hint, tuple(names))])

    def json_schema(self) -> JsonSchema:
        """What editors need to know, without the description."""
        raise TypeError(f"{type(self).__name__} has no JSON Schema")


# Control characters but for those that part lines and words, and those that turn the order of
# letters round; YAML can write any of them.
_INVISIBLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u202a-\u202e\u2066-\u2069]")
# Letters without a shape, beside blanks and signs of form.
_SHAPELESS = "\u115f\u1160\u2800\u3164\uffa0"


class Text(Value):
    """Text on one or more lines. A whole number is taken as it was written."""

    belongs = "text"

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> str:
        if isinstance(value, int) and not isinstance(value, bool):
            return str(value)
        if not isinstance(value, str):
            raise self.problem("not-text", "Put it in quotes to have it read as text.")
        if len(value) > _LONGEST_TEXT:
            raise self.problem("text-too-long", f"{_LONGEST_TEXT} characters are allowed.")
        if _INVISIBLE.search(value):
            raise self.problem("invisible-sign", "Take it out, also where it is written as \\0.")
        if all(map(_unseen, value)):
            if self.required:
                raise self.problem("missing-value")
            return ""
        return value.strip()

    def json_schema(self) -> JsonSchema:
        """Text, or a whole number read as text."""
        return {"type": ["string", "integer"]}


def _unseen(letter: str) -> bool:
    return letter.isspace() or letter in _SHAPELESS or unicodedata.category(letter) == "Cf"


class Called(Text):
    """Text that a name is made of, so that there is a letter or a digit of any script in it."""

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> str:
        text = super()._deserialize(value, attr, data, **kwargs)
        if not any(map(str.isalnum, text)):
            raise self.problem("wrong-form", "It needs a letter or a digit.")
        return text


class Pattern(Text):
    """Text of one form."""

    def __init__(
        self, description: str, pattern: str, *, belongs: str, required: bool = False
    ) -> None:
        """Take the regular expression that the whole text must fit."""
        super().__init__(description, belongs=belongs, required=required)
        self.pattern = pattern

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> str:
        if not isinstance(value, str) or not re.fullmatch(self.pattern, value):
            raise self.problem("wrong-form")
        return value

    def json_schema(self) -> JsonSchema:
        """Text with its pattern."""
        return {"type": "string", "pattern": f"^{self.pattern}$"}


# What is not nothing is at least this much, in whatever unit: no instrument resolves a millionth,
# and the square of what is smaller soon is not a number any more.
SMALLEST = 1e-6


class Number(Value):
    """A finite number between `least` and `most`; `above` excludes the lower end.

    One that is not 0 is not smaller than `SMALLEST` either way.
    """

    def __init__(
        self,
        description: str,
        belongs: str,
        *,
        least: float | None = None,
        most: float | None = None,
        above: float | None = None,
        whole: bool = False,
        code: str = "not-a-number",
        required: bool = False,
    ) -> None:
        """Take the limits in the value's own unit."""
        super().__init__(description, belongs=belongs, required=required)
        self.least, self.most, self.above, self.whole = least, most, above, whole
        self.code = code

    def check(self, value: Any) -> float:
        """The value as a number; ValidationError when it is none or out of range."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.problem(self.code, number_hint(value))
        if self.whole and not isinstance(value, int):
            raise self.problem("not-a-whole-number")
        if (
            (self.least is not None and value < self.least)
            or (self.above is not None and value <= self.above)
            or (self.most is not None and value > self.most)
            or 0 < abs(value) < SMALLEST
        ):
            raise self.problem("out-of-range", self._range())
        return value if self.whole else float(value)

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> float:
        return self.check(value)

    def _range(self) -> str:
        low = f"from {self.least:g}" if self.least is not None else ""
        low = f"above {self.above:g}" if self.above is not None else low
        low = f"from {SMALLEST:f}" if self.above == 0 else low
        high = f"up to {self.most:g}" if self.most is not None and self.most < 1e6 else ""
        return f"Allowed: {' '.join(part for part in (low, high) if part)}."

    def json_schema(self) -> JsonSchema:
        """A number with its limits."""
        least = SMALLEST if self.above == 0 else self.least
        above = None if self.above == 0 else self.above
        limits = {"minimum": least, "exclusiveMinimum": above, "maximum": self.most}
        kind = "integer" if self.whole else "number"
        return {"type": kind} | {k: v for k, v in limits.items() if v is not None}


class Date(Value):
    """A day, written year first."""

    belongs = "a date such as 2026-10-16"

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> dt.date:
        if isinstance(value, str) and _ISO.fullmatch(value):
            try:
                return dt.date.fromisoformat(value)
            except ValueError:
                raise self.problem("not-a-date", "There is no such day.") from None
        raise self.problem("not-a-date", "Write year-month-day with four, two and two digits.")

    def json_schema(self) -> JsonSchema:
        """An ISO 8601 calendar date."""
        return {"type": "string", "format": "date"}


class Flag(Value):
    """True or false."""

    belongs = "true or false"

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> bool:
        if not isinstance(value, bool):
            raise self.problem("not-true-or-false")
        return value

    def json_schema(self) -> JsonSchema:
        """A boolean."""
        return {"type": "boolean"}


class Choice(Value):
    """One of some fixed words."""

    def __init__(self, description: str, words: Iterable[str], *, required: bool = False) -> None:
        """Take the words allowed, such as an enumeration: it is what comes out."""
        self.words: tuple[str, ...] = tuple(words)
        listed = ", ".join(self.words[:-1]) + f" or {self.words[-1]}"
        super().__init__(description, belongs=f"one of {listed}", required=required)

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> str:
        if value not in self.words:
            raise self.problem("not-one-of", names=self.words)
        return self.words[self.words.index(value)]

    def json_schema(self) -> JsonSchema:
        """The words."""
        return {"enum": list(self.words)}


class Version(Value):
    """The version of the format, so that old files can still be read later."""

    belongs = "the version 1 of the format"

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> int:
        if isinstance(value, bool) or value != 1:
            raise self.problem("wrong-version", "This program reads version 1.")
        return 1

    def json_schema(self) -> JsonSchema:
        """Always 1."""
        return {"const": 1}
