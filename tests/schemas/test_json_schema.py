"""The JSON Schemas for editors: in step with the code, valid, and of one mind with it."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from trimscribe.errors import Mark
from trimscribe.marked_text import MarkedText
from trimscribe.marked_yaml import LoadedYaml, load
from trimscribe.schemas.faults import check
from trimscribe.schemas.json_schema import FILES, RECORD, generate, write

ROOT = Path(__file__).parents[2]
KINDS = {
    "job.schema.json": ["examples/demo.yaml"],
    "import_map.schema.json": [
        "examples/exports/tape-jig-map.yaml",
        "examples/exports/laser-bench-map.yaml",
    ],
    "shop.schema.json": ["examples/shop.yaml"],
    "specification.schema.json": ["examples/medlar-m.yaml"],
    "theme.schema.json": ["themes/base/theme.yaml"],
}


def validator(name: str) -> jsonschema.Draft202012Validator:
    schema = json.loads((ROOT / "schemas" / name).read_text(encoding="utf-8"))
    return jsonschema.Draft202012Validator(
        schema, format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )


def example(name: str) -> Any:
    return load((ROOT / name).read_bytes(), name).data


@pytest.mark.parametrize("name", list(FILES))
def test_the_file_is_what_the_code_generates(name: str) -> None:
    """Mend with `python -m trimscribe.schemas.json_schema`."""
    assert (ROOT / "schemas" / name).read_text(encoding="utf-8") == generate(name)


def test_writing_makes_all_files(tmp_path: Path) -> None:
    write(tmp_path)

    assert {path.name for path in tmp_path.iterdir()} == {*FILES, RECORD} == {*KINDS, RECORD}


@pytest.mark.parametrize("name", list(FILES))
def test_the_schema_itself_is_valid(name: str) -> None:
    """The metaschema of draft 2020-12, as shipped by jsonschema, is the reference."""
    jsonschema.Draft202012Validator.check_schema(json.loads(generate(name)))


@pytest.mark.parametrize("name", list(FILES))
def test_examples_are_valid(name: str) -> None:
    for file in KINDS[name]:
        assert list(validator(name).iter_errors(example(file))) == []


def properties(schema: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(schema, dict):
        for key, value in schema.get("properties", {}).items():
            yield f"{path}.{key}", value
        for key, value in schema.items():
            yield from properties(value, f"{path}.{key}")
    elif isinstance(schema, list):
        for index, value in enumerate(schema):
            yield from properties(value, f"{path}.{index}")


@pytest.mark.parametrize("name", list(FILES))
def test_every_key_is_described_in_a_sentence(name: str) -> None:
    found = list(properties(json.loads(generate(name))))

    assert len(found) > 10
    for path, schema in found:
        if path != ".properties.common_offset.anyOf.1.row":
            text = schema.get("description", "")
            assert text.endswith((".", ")", "1")), path
            assert text[0].isupper() or text.startswith("s "), path


def shortened(data: Any) -> Any:
    """The same with two entries of each list: the others are alike."""
    if isinstance(data, dict):
        return {key: shortened(value) for key, value in data.items()}
    return [shortened(value) for value in data[:2]] if isinstance(data, list) else data


def places(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every path, of lists the first entry only: the others are alike."""
    yield path
    below = data.items() if isinstance(data, dict) else ()
    below = [(0, data[0])] if isinstance(data, list) and data else below
    for key, value in below:
        yield from places(value, (*path, key))


WRONG: list[Any] = [
    *(None, -1, 2.5, 1e12, True, "", "x", "2026-02-30"),
    *([], [None], ["x"], {}, {"x": 1}),
]


@pytest.mark.thorough
@pytest.mark.parametrize("name", list(FILES))
def test_editors_and_the_program_agree_on_what_one_value_may_be(name: str) -> None:
    """jsonschema and marshmallow judge the same data, every value in turn replaced.

    An editor may let pass what the program refuses (empty texts and lists, what shows only
    between values), but never refuses what the program takes. Beside the part that the value
    lies in stands what a file must have.
    """
    schema, _ = FILES[name]
    editor, program = validator(name), schema()
    agreed = 0
    for file in KINDS[name]:
        every = shortened(example(file))
        assert editor.is_valid(every)
        for path in places(every):
            needed = {*editor.schema["required"], *path[:1]}
            whole = {key: value for key, value in every.items() if key in needed}
            assert editor.is_valid(whole)
            for value in WRONG if path else []:
                at = whole
                for part in path[:-1]:
                    at = at[part]
                right, at[path[-1]] = at[path[-1]], value
                _, faults = check(program, LoadedYaml(whole, {}, {}, (), MarkedText("x")))
                refused = not editor.is_valid(whole)
                at[path[-1]] = right
                assert not refused or faults, (path, value)
                agreed += refused == bool(faults)
                assert all(isinstance(fault.mark, Mark) for fault in faults)
    assert agreed > 50
