"""What people may write: single values, lists and mappings, each with its JSON Schema.

Every field says in `description` what it means and in `belongs` what is allowed, as it is read in
a fault: "a length in mm such as 7342 or 7342.5". What is wrong travels as a `Problem`; only
`trimscribe.schemas.faults` puts it into words. A list or mapping that finds faults inside still
hands on what was right, so that one mistake hides no other.
"""

import datetime as dt
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

import marshmallow as mm

from trimscribe.errors import number_hint

JsonSchema = dict[str, Any]

NAME = "[a-z][a-z0-9_]{0,39}"
NAME_HINT = "A name has small letters, digits and _ alone, 40 at most, and begins with a letter."
# What is not nothing is at least this much, in whatever unit: no instrument resolves a millionth,
# and the square of what is smaller soon is not a number any more.
SMALLEST = 1e-6

_ISO = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_LONGEST_TEXT = 10_000
# Control characters but for those that part lines and words, and those that turn the order of
# letters round; YAML can write any of them.
_INVISIBLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u202a-\u202e\u2066-\u2069]")
# Letters without a shape, beside blanks and signs of form.
_SHAPELESS = "\u115f\u1160\u2800\u3164\uffa0"


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


class Schema(mm.Schema):
    """One mapping with fixed keys; unknown ones are faults.

    One without a fault becomes what its schema `builds`; without that it stays a mapping.
    """

    builds: ClassVar[Callable[..., Any] | None] = None

    class Meta:
        """Nothing that is not known, and no registry of schemas by name."""

        unknown = mm.RAISE
        register = False

    error_messages = {"unknown": "unknown-key", "type": "not-a-mapping"}  # noqa: RUF012 (marshmallow's name)

    @mm.post_load
    def _built(self, data: dict[str, Any], **_: Any) -> Any:
        """The model's own default stands for what was left empty."""
        build = type(self).builds
        if build is None:
            return data
        stated = {name: value for name, value in data.items() if value is not None}
        lists = {name: tuple(value) for name, value in stated.items() if isinstance(value, list)}
        return build(**{**stated, **lists})


class FileSchema(Schema):
    """A mapping that is a file of its own, with the version of its format."""

    class Meta(Schema.Meta):
        """In JSON an editor finds the schema by a key; YAML has a comment for it."""

        include = {"$schema": Text("Where an editor finds the schema of this file.")}  # noqa: RUF012 (marshmallow's name)

    trimscribe = Version("Version of the format: 1.", required=True)


class Items(Value):
    """A list of values of one kind; faulty ones are handed on as None or what is right of them."""

    belongs = "a list"

    def __init__(
        self,
        description: str,
        inner: "_Entry",
        *,
        belongs: str = "a list of entries",
        required: bool = False,
    ) -> None:
        """Take the field of one entry."""
        super().__init__(description, belongs=belongs, required=required)
        self.inner = _field_of(inner)

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> list[Any]:
        if not isinstance(value, list):
            raise self.problem("not-a-list")
        if self.required and not value:
            raise self.problem("missing-value")
        return list(_collect(enumerate(value), lambda _: self.inner, list(value)))

    def json_schema(self) -> JsonSchema:
        """A list of the inner kind."""
        return {"type": "array", "items": described(self.inner)}


class NamedValues(Value):
    """A mapping whose keys are names that people choose, with values of one kind."""

    belongs = "a block of keys"

    def __init__(
        self,
        description: str,
        inner: "_Entry",
        *,
        belongs: str = "a block of keys",
        pattern: str = "",
        name_hint: str = "",
        names: Sequence[str] = (),
        required: bool = False,
    ) -> None:
        """Take the field of one value and, if names are not free, their pattern or list.

        `name_hint` says how to write a name that does not fit the pattern and is none of a row.
        """
        super().__init__(description, belongs=belongs, required=required)
        self.inner, self.pattern, self.name_hint = _field_of(inner), pattern, name_hint
        self.names = tuple(names)

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> dict[str, Any]:
        if not isinstance(value, Mapping):
            raise self.problem("not-a-mapping")
        if self.required and not value:
            raise self.problem("missing-value")
        return dict(_collect(value.items(), self._field, dict(value)))

    def _field(self, name: str) -> "Value | NestedMapping":
        if self.pattern and not re.fullmatch(self.pattern, name):
            code = "not-a-name" if self.name_hint else "bad-row-name"
            raise mm.ValidationError([Problem(code, hint=self.name_hint)])
        if self.names and name not in self.names:
            raise mm.ValidationError([Problem("unknown-key", names=self.names)])
        return self.inner

    def json_schema(self) -> JsonSchema:
        """A mapping with its names restricted where they are not free."""
        schema: JsonSchema = {"type": "object", "additionalProperties": described(self.inner)}
        if self.pattern:
            schema["propertyNames"] = {"pattern": f"^(?:{self.pattern})$"}
        if self.names:
            schema["propertyNames"] = {"enum": list(self.names)}
        return schema


def _collect(pairs: Any, field: Callable[[Any], Any], into: Any) -> Any:
    """Deserialise each value in place; one ValidationError for all that failed."""
    errors = {}
    for name, value in pairs:
        try:
            into[name] = field(name).deserialize(value)
        except mm.ValidationError as error:
            errors[name] = error.messages
            into[name] = error.valid_data or None
    if errors:
        raise mm.ValidationError(errors, valid_data=into)
    return into


class NestedMapping(mm.fields.Nested):
    """A mapping with a schema of its own."""

    default_error_messages = {"required": "missing-key", "null": "missing-value"}  # noqa: RUF012 (marshmallow's name)
    belongs = "a block of keys"

    def __init__(
        self,
        schema: type[mm.Schema],
        description: str,
        *,
        belongs: str = "",
        required: bool = False,
    ) -> None:
        """Take the schema of the mapping and, to show what it holds, `belongs`."""
        super().__init__(
            schema,
            required=required,
            allow_none=not required,
            metadata={"description": description},
        )
        self.belongs = belongs or self._example()

    def _example(self) -> str:
        """What belongs here, with the keys that must be there, else the first two."""
        fields = self.schema.fields
        shown = [name for name, field in fields.items() if field.required] or [*fields][:2]
        return f"{self.belongs} such as {{{': …, '.join(shown)}: …}}"

    def json_schema(self) -> JsonSchema:
        """The mapping's own schema."""
        return object_schema(self.schema)


class PartOrFile(NestedMapping):
    """A mapping written here, or the name of a file that holds it."""

    belongs = "the name of a file, or a block of keys"

    def _deserialize(
        self, value: Any, attr: Any, data: Any, partial: Any = None, **kwargs: Any
    ) -> Any:
        if isinstance(value, str) and value.strip():
            return value
        return super()._deserialize(value, attr, data, partial, **kwargs)

    def json_schema(self) -> JsonSchema:
        """Either form."""
        return {"anyOf": [{"type": "string", "minLength": 1}, super().json_schema()]}


_Entry = Value | NestedMapping | type[Value] | type[Schema]


def _field_of(entry: _Entry) -> Value | NestedMapping:
    """The field of an entry: one that must be there, where only its class or schema is given."""
    if not isinstance(entry, type):
        return entry
    if issubclass(entry, Schema):
        return NestedMapping(entry, "", required=True)
    return entry("", required=True)


def described(field: Any) -> JsonSchema:
    """A field's JSON Schema with its description; what may be left empty may also be null."""
    schema: JsonSchema = field.json_schema()
    text = field.metadata["description"]
    if field.allow_none:
        schema = _or_null(schema)
    return {"description": text, **schema} if text else schema


def _or_null(schema: JsonSchema) -> JsonSchema:
    kind = schema.get("type")
    if isinstance(kind, str) and "enum" not in schema:
        return {**schema, "type": [kind, "null"]}
    if isinstance(kind, list):
        return {**schema, "type": [*kind, "null"]}
    if "enum" in schema:
        return {**schema, "enum": [*schema["enum"], None]}
    return {"anyOf": [*schema.get("anyOf", [schema]), {"type": "null"}]}


def object_schema(schema: mm.Schema) -> JsonSchema:
    """The JSON Schema of a mapping with fixed keys."""
    required = [name for name, field in schema.fields.items() if field.required]
    result: JsonSchema = {
        "type": "object",
        "additionalProperties": False,
        "properties": {name: described(field) for name, field in schema.fields.items()},
    }
    return result | ({"required": required} if required else {})
