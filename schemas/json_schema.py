"""JSON Schemas (draft 2020-12): of the files that people write, and of the output `json`.

The files beside this module are generated: `python -m trimscribe.schemas.json_schema` writes them
again, and a test keeps them in step. An editor takes them by a first line such as

    # yaml-language-server: $schema=../schemas/job.schema.json

in YAML, or by the key `"$schema"` with the same path in JSON. They say what one value alone may be.
What only shows between values (a point that the specification lacks, dates out of order) is
reported by `trimscribe check`. That of the output is made from the dataclasses of the model and
what their docstrings say of each field, so that the two cannot part.
"""

import datetime as dt
import json
import re
import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, Union, get_args, get_origin, get_type_hints

from trimscribe.model.report_record import FORMAT, ReportRecord
from trimscribe.model.verdicts import Verdict
from trimscribe.model.wing import Point
from trimscribe.schemas.fields import JsonSchema, Schema, object_schema
from trimscribe.schemas.import_map import ImportMapFileSchema
from trimscribe.schemas.job import JobFileSchema
from trimscribe.schemas.shop import ShopFileSchema
from trimscribe.schemas.specification import SpecificationFileSchema
from trimscribe.schemas.theme import ThemeFileSchema
from trimscribe.schemas.wing_fields import DEFINITIONS

DRAFT = "https://json-schema.org/draft/2020-12/schema"
RECORD = "report.schema.json"

FILES: Mapping[str, tuple[type[Schema], str]] = {
    "job.schema.json": (JobFileSchema, "One service of one wing"),
    "shop.schema.json": (ShopFileSchema, "The workshop"),
    "specification.schema.json": (SpecificationFileSchema, "The maker's line set"),
    "import_map.schema.json": (ImportMapFileSchema, "How an export becomes measurements"),
    "theme.schema.json": (ThemeFileSchema, "The look of a report"),
}


def write(folder: Path) -> None:
    """Write all `FILES` and that of the output into a folder, over what is there."""
    for name in (*FILES, RECORD):
        (folder / name).write_text(generate(name), encoding="utf-8")


def generate(name: str) -> str:
    """The text of one of `FILES`, or of `RECORD`."""
    if name == RECORD:
        return _text(_record())
    schema, title = FILES[name]
    document: JsonSchema = {"$schema": DRAFT, "title": title, **object_schema(schema())}
    if "cascade_line" in json.dumps(document):
        document["$defs"] = DEFINITIONS
    return _text(document)


def _text(document: JsonSchema) -> str:
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"


def _record() -> JsonSchema:
    definitions: dict[str, Any] = {}
    whole = _object(ReportRecord, definitions)
    whole["properties"]["format"]["const"] = FORMAT
    document: JsonSchema = {"$schema": DRAFT, "title": "A report for programs", **whole}
    return document | {"$defs": dict(sorted(definitions.items()))}


_WORDS = {"None": "null", "True": "true", "False": "false", **{v.name: v.value for v in Verdict}}
_PLAIN: Mapping[Any, Mapping[str, Any]] = {
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    str: {"type": "string"},
    types.NoneType: {"type": "null"},
    dt.date: {"type": "string", "format": "date"},
    Point: {"type": "string", "description": "A line by its row and number, such as A3."},
}


def _object(model: type, definitions: dict[str, Any]) -> dict[str, Any]:
    """A dataclass: every field is always there, and no other."""
    hints = get_type_hints(model)
    assert is_dataclass(model)
    return {
        "type": "object",
        "description": _meaning(model),
        "properties": {
            f.name: _with_meaning(_schema(hints[f.name], definitions), _about(f.name, model))
            for f in fields(model)
        },
        "required": [f.name for f in fields(model)],
        "additionalProperties": False,
    }


def _meaning(model: type) -> str:
    """What a docstring says, in words of JSON."""
    said = " ".join((model.__doc__ or "").split())
    return re.sub(r"\b[A-Z]\w+\b", lambda word: _WORDS.get(word[0], word[0]), said)


def _about(field: str, model: type) -> str:
    """The sentences of a docstring that name a field."""
    sentences = re.split(r"(?<=\.) (?=[A-Z`])", _meaning(model))
    return " ".join(one for one in sentences if f"`{field}`" in one)


def _with_meaning(schema: dict[str, Any], words: str) -> dict[str, Any]:
    """A field with what is said of it and then of its kind."""
    said = " ".join(filter(None, (words, schema.pop("description", ""))))
    return {"description": said, **schema} if said else schema


def _schema(hint: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    if hint in _PLAIN:
        return dict(_PLAIN[hint])
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return {"anyOf": [_schema(one, definitions) for one in inner]}
    if origin is tuple:
        return _array(inner, definitions)
    if origin is not None and issubclass(origin, Mapping):
        return {"type": "object", "additionalProperties": _schema(inner[1], definitions)}
    if isinstance(hint, type) and issubclass(hint, Enum):
        return {"description": _meaning(hint), "enum": [member.value for member in hint]}
    if is_dataclass(hint) and isinstance(hint, type):
        if hint.__name__ not in definitions:
            definitions[hint.__name__] = {}  # known before its fields, which may name it again
            definitions[hint.__name__] = _object(hint, definitions)
        return {"$ref": f"#/$defs/{hint.__name__}"}
    raise TypeError(f"no schema for {hint!r}")


def _array(inner: tuple[Any, ...], definitions: dict[str, Any]) -> dict[str, Any]:
    """`tuple[X, ...]` is a list of any length, `tuple[X, Y]` one of two."""
    if inner[-1] is Ellipsis:
        return {"type": "array", "items": _schema(inner[0], definitions)}
    parts = [_schema(one, definitions) for one in inner]
    return {"type": "array", "prefixItems": parts, "minItems": len(parts), "maxItems": len(parts)}


if __name__ == "__main__":
    write(Path(__file__).parent)
