"""The record for programs: as its published schema says, for every job there is."""

import json
from collections.abc import Callable
from pathlib import Path

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
