"""Workbooks that LibreOffice wrote are read as those that we wrote."""

from pathlib import Path

import pytest
from export_shapes import SHAPES, Wing

from trimscribe.errors import Mark
from trimscribe.exports.mapping.extract import import_export
from trimscribe.exports.mapping.load import load_map
from trimscribe.registry import Registry

FILES = sorted((Path(__file__).parent / "made").iterdir())


def test_there_are_files_of_all_three_kinds() -> None:
    assert {path.suffix for path in FILES} == {".ods", ".xls", ".xlsx"}


@pytest.mark.parametrize("path", FILES, ids=[path.name for path in FILES])
def test_a_workbook_of_libreoffice_holds_the_wing(
    demo: Wing, registry: Registry, path: Path
) -> None:
    export = SHAPES[path.stem](demo)
    plan, _ = load_map(export.map.encode(), "map.yaml")
    imported = import_export(registry, path.read_bytes(), path.name, plan, Mark("job.yaml"))

    assert imported.faults == ()
    assert {value.path: value.value for value in imported.values} == {
        key: length for key, length in demo.lengths.items() if key[0] in export.measurings
    }
