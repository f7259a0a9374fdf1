"""Lists and mappings of values. One that finds faults inside still hands on what was right, so
that one mistake hides no other.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, ClassVar

import marshmallow as mm

from trimscribe.schemas.fields import JsonSchema, Problem, Text, Value, Version

NAME = "[a-z][a-z0-9_]{0,39}"
NAME_HINT = "A name has small letters, digits and _ alone, 40 at most, and begins with a letter."


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

    belongs = "a mapping"

    def __init__(
        self,
        description: str,
        inner: "_Entry",
        *,
        belongs: str = "a mapping",
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
    belongs = "a mapping"

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
        self.belongs = belongs or self.belongs

    def json_schema(self) -> JsonSchema:
        """The mapping's own schema."""
        return object_schema(self.schema)


class PartOrFile(NestedMapping):
    """A mapping written here, or the name of a file that holds it."""

    belongs = "a mapping or the name of a file"

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
