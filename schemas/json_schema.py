"""JSON Schema (draft 2020-12) of the files that people write, for editors.

The files beside this module are generated: `python -m trimscribe.schemas.json_schema` writes them
again, and a test keeps them in step. An editor takes them by a first line such as

    # yaml-language-server: $schema=../schemas/job.schema.json

in YAML, or by the key `"$schema"` with the same path in JSON.
They say what one value alone may be. What only shows between values (a point that the
specification lacks, dates out of order) is reported by `trimscribe check`.
"""

import json
from collections.abc import Mapping
from pathlib import Path

from trimscribe.schemas.containers import Schema, object_schema
from trimscribe.schemas.fields import JsonSchema
from trimscribe.schemas.import_map import ImportMapFileSchema
from trimscribe.schemas.job import JobFileSchema
from trimscribe.schemas.shop import ShopFileSchema
from trimscribe.schemas.specification import SpecificationFileSchema
from trimscribe.schemas.theme import ThemeFileSchema
from trimscribe.schemas.wing_fields import DEFINITIONS

DRAFT = "https://json-schema.org/draft/2020-12/schema"

FILES: Mapping[str, tuple[type[Schema], str]] = {
    "job.schema.json": (JobFileSchema, "One service of one wing"),
    "shop.schema.json": (ShopFileSchema, "The workshop"),
    "specification.schema.json": (SpecificationFileSchema, "The maker's line set"),
    "import_map.schema.json": (ImportMapFileSchema, "How an export becomes measurements"),
    "theme.schema.json": (ThemeFileSchema, "The look of a report"),
}


def generate(name: str) -> str:
    """The text of one of `FILES`."""
    schema, title = FILES[name]
    document: JsonSchema = {"$schema": DRAFT, "title": title, **object_schema(schema())}
    if "cascade_line" in json.dumps(document):
        document["$defs"] = DEFINITIONS
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"


def write(folder: Path) -> None:
    """Write all `FILES` into a folder, over what is there."""
    for name in FILES:
        (folder / name).write_text(generate(name), encoding="utf-8")


if __name__ == "__main__":
    write(Path(__file__).parent)
