"""The record for programs: as its published schema says, for every job there is."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from trimscribe.model.document import Document
from trimscribe.outputs.record import output
from trimscribe.schemas.json_schema import RECORD, generate, write

ROOT = Path(__file__).parents[2]


def test_the_published_schema_is_what_the_model_says(tmp_path: Path) -> None:
    """Mend with `python -m trimscribe.schemas.json_schema`."""
    write(tmp_path)

    assert (ROOT / "schemas" / RECORD).read_bytes() == (tmp_path / RECORD).read_bytes()
    jsonschema.Draft202012Validator.check_schema(json.loads(generate(RECORD)))


def told(schema: Any) -> bool:
    """Whether it is said what a value is: of itself, or of its kind."""
    kinds = [*schema.get("anyOf", ()), schema.get("items"), schema.get("additionalProperties")]
    return "description" in schema or "$ref" in schema or any(told(one) for one in kinds if one)


def test_the_schema_says_of_every_field_what_it_is() -> None:
    whole = json.loads(generate(RECORD))
    silent = [
        f"{name}.{key}"
        for name, one in {"": whole, **whole["$defs"]}.items()
        for key, field in one["properties"].items()
        if not told(field)
    ]

    assert silent == []
    line = whole["$defs"]["LineFinding"]["properties"]
    assert "standard uncertainty of `relative_mm`" in line["u_mm"]["description"]
    assert "None" not in json.dumps(whole)


@pytest.mark.parametrize(
    "job", ["demo", "outside", "inspection", "cloth-only", "missing-data", "five-row", "sparse"]
)
def test_every_record_is_valid(job: str, document_of: Callable[..., Document]) -> None:
    record = json.loads(output.make(document_of(job)).data)
    validator = jsonschema.Draft202012Validator(
        json.loads(generate(RECORD)), format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )

    assert [error.message for error in validator.iter_errors(record)] == []


def test_the_schema_refuses_what_is_no_record(document_of: Callable[..., Document]) -> None:
    record = json.loads(output.make(document_of("demo")).data)
    validator = jsonschema.Draft202012Validator(json.loads(generate(RECORD)))

    for change in ({"cautions": None}, {"format": 3}, {"extra": 1}, {"serial_number": 7}):
        assert not validator.is_valid({**record, **change}), change
    for key in record:
        assert not validator.is_valid({k: v for k, v in record.items() if k != key}), key


def test_it_says_whose_wing_it_is_and_what_it_was_made_of(
    document_of: Callable[..., Document],
) -> None:
    record = json.loads(output.make(document_of("demo")).data)

    assert record["service"] == "QH-2026-041"
    assert record["serial_number"] == "MD-00731"
    assert record["date"] == "2026-10-16"
    assert "findings.json" in [file["name"] for file in record["files"]]
    assert {len(file["sha256"]) for file in record["files"]} == {64}


def test_what_is_missing_is_null_and_never_a_number(document_of: Callable[..., Document]) -> None:
    record = json.loads(output.make(document_of("cloth-only")).data)

    assert record["findings"]["before"] is None
