"""A third importer, of another package, is steered by a map like the built-in ones."""

import sys
from pathlib import Path

import pytest

from trimscribe.contracts import Importer, TableImporter
from trimscribe.errors import Mark
from trimscribe.exports.mapping.extract import find_importer, import_export
from trimscribe.exports.mapping.load import load_map
from trimscribe.registry import Registry

PACKAGE = Path(__file__).parents[1] / "fake_plugin" / "good"
MAP = b"""\
trimscribe: 1
tables: [{side: right, labels: [{at: A, form: "{row}{point}"}], values: [{at: B}]}]
"""


@pytest.fixture
def with_plugin(monkeypatch: pytest.MonkeyPatch) -> Registry:
    monkeypatch.syspath_prepend(PACKAGE)
    monkeypatch.delitem(sys.modules, "coast_tools", raising=False)
    return Registry.installed()


def test_its_cells_become_lengths_by_a_map(with_plugin: Registry) -> None:
    plan, _ = load_map(MAP, "map.yaml")
    imported = import_export(with_plugin, b"7342\nx\n", "jig.coast", plan, Mark("job.yaml"))

    assert {value.name: value.value for value in imported.values} == {"before.right.A.1": 7342}
    assert [(f.code, str(f.mark)) for f in imported.faults] == [
        ("length-not-a-number", "jig.coast:2:1")
    ]


def test_an_importer_is_chosen_by_its_name_or_by_the_ending(with_plugin: Registry) -> None:
    importers = list(with_plugin.all("importers"))

    assert all(isinstance(one, TableImporter) for one in importers)
    for name, kind, expected in (
        ("jig.coast", "", "coast"),
        ("JIG.XLSX", "", "workbook"),
        ("jig.dat", "csv", "csv"),
    ):
        found = find_importer(importers, name, Mark("job.yaml"), kind)
        assert isinstance(found, Importer)
        assert found.name == expected


@pytest.mark.parametrize(
    ("name", "kind", "hint"),
    [("jig.dat", "", "Files that can be read end in .coast, .csv"), ("jig.dat", "cvs", "`csv`")],
)
def test_a_file_that_nobody_reads_is_told(
    with_plugin: Registry, name: str, kind: str, hint: str
) -> None:
    fault = find_importer(list(with_plugin.all("importers")), name, Mark("job.yaml"), kind)

    assert fault.code == "no-importer"
    assert hint in fault.hint
