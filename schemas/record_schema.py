"""JSON Schema (draft 2020-12) of the record that the output `json` writes, for those who read it.

Made from the dataclasses of the model, so that the two cannot part:
`python -m trimscribe.schemas.record_schema` rewrites it, and a test keeps it in step.
"""

import datetime as dt
import json
import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, Union, get_args, get_origin, get_type_hints

from trimscribe.model.report_record import FORMAT, ReportRecord
from trimscribe.model.wing import Point

FILE = "report.schema.json"
_DRAFT = "https://json-schema.org/draft/2020-12/schema"
_PLAIN: Mapping[Any, Mapping[str, Any]] = {
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    str: {"type": "string"},
    types.NoneType: {"type": "null"},
    dt.date: {"type": "string", "format": "date"},
    Point: {"type": "string", "description": "A line by its row and number, such as A3."},
}


def generate() -> str:
    """The text of the schema."""
    definitions: dict[str, Any] = {}
    whole = _object(ReportRecord, definitions)
    whole["properties"]["format"] = {"const": FORMAT}
    document = {"$schema": _DRAFT, "title": "A report for programs", **whole}
    document["$defs"] = dict(sorted(definitions.items()))
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"


def write(folder: Path) -> None:
    """Write the schema into a folder, over what is there."""
    (folder / FILE).write_text(generate(), encoding="utf-8")


def _object(model: type, definitions: dict[str, Any]) -> dict[str, Any]:
    """A dataclass: every field is always there, and no other."""
    hints = get_type_hints(model)
    assert is_dataclass(model)
    return {
        "type": "object",
        "description": " ".join((model.__doc__ or "").split()),
        "properties": {f.name: _schema(hints[f.name], definitions) for f in fields(model)},
        "required": [f.name for f in fields(model)],
        "additionalProperties": False,
    }


def _schema(hint: Any, definitions: dict[str, Any]) -> Mapping[str, Any]:
    if hint in _PLAIN:
        return _PLAIN[hint]
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return {"anyOf": [_schema(one, definitions) for one in inner]}
    if origin is tuple:
        return _array(inner, definitions)
    if origin is not None and issubclass(origin, Mapping):
        return {"type": "object", "additionalProperties": _schema(inner[1], definitions)}
    if isinstance(hint, type) and issubclass(hint, Enum):
        return {"enum": [member.value for member in hint]}
    if is_dataclass(hint) and isinstance(hint, type):
        if hint.__name__ not in definitions:
            definitions[hint.__name__] = {}  # known before its fields, which may name it again
            definitions[hint.__name__] = _object(hint, definitions)
        return {"$ref": f"#/$defs/{hint.__name__}"}
    raise TypeError(f"no schema for {hint!r}")


def _array(inner: tuple[Any, ...], definitions: dict[str, Any]) -> Mapping[str, Any]:
    """`tuple[X, ...]` is a list of any length, `tuple[X, Y]` one of two."""
    if inner[-1] is Ellipsis:
        return {"type": "array", "items": _schema(inner[0], definitions)}
    parts = [_schema(one, definitions) for one in inner]
    return {"type": "array", "prefixItems": parts, "minItems": len(parts), "maxItems": len(parts)}


if __name__ == "__main__":
    write(Path(__file__).parent)
