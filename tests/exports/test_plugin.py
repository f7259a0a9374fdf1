"""A third importer, of another package, is steered by a map like the built-in ones."""

import math
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from trimscribe.contracts import ImportedLength, TableImporter
from trimscribe.errors import Fault, Mark
from trimscribe.exports.export import read_export
from trimscribe.exports.importers import csv
from trimscribe.exports.line_sets import find_line_set
from trimscribe.exports.mapping.extract import import_export, importers_for, read_lengths, sheets_of
from trimscribe.exports.mapping.load import load_map
from trimscribe.model.tables import Cell, Sheet, TableFormat
from trimscribe.model.wing import Side
from trimscribe.registry import Registry

EXAMPLES = Path(__file__).parents[2] / "examples"
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

    for name, kind, expected in (
        ("jig.coast", "", "coast"),
        ("JIG.XLSX", "", "workbook"),
        ("jig.dat", "csv", "csv"),
    ):
        found = importers_for(importers, name, Mark("job.yaml"), kind)
        assert [one.name for one in found] == [expected]


def test_the_shipped_importers_and_that_of_a_package_hand_over_cells(with_plugin: Registry) -> None:
    for name in ("coast", "csv", "json", "workbook"):
        assert isinstance(with_plugin.get("importers", name), TableImporter)


class Bench:
    """An importer that returns what it is given, without a look at it."""

    contract, name, suffixes = 2, "bench", (".gul",)

    def __init__(self, *lengths: tuple[str, int, float]) -> None:
        self.lengths = tuple(
            ImportedLength(
                side=Side.LEFT, group=group, point=point, length_mm=mm, mark=Mark("wing.gul", line)
            )
            for line, (group, point, mm) in enumerate(lengths, 1)
        )

    def read(self, data: bytes, name: str) -> tuple[tuple[ImportedLength, ...], tuple[Fault, ...]]:
        return self.lengths, ()


@pytest.mark.parametrize(
    ("length", "code"),
    [
        (("A", 1, 7335.0), "duplicate-point"),
        (("A", 0, 7335.0), "point-not-a-number"),
        (("A", -1, 7335.0), "point-not-a-number"),
        (("A3", 1, 7335.0), "bad-row-name"),
        (("A", 2, -5.0), "out-of-range"),
        (("A", 2, math.nan), "out-of-range"),
        (("A", 2, math.inf), "out-of-range"),
        (("A", 2, 1e300), "out-of-range"),
    ],
)
def test_what_no_line_can_have_is_a_fault_whoever_has_read_it(
    monkeypatch: pytest.MonkeyPatch, length: tuple[str, int, float], code: str
) -> None:
    registry = Registry.installed()
    bench = Bench(("A", 1, 7334.0), length, ("B", 1, 7400.0))
    monkeypatch.setattr(registry, "all", lambda kind: [bench])

    lengths, faults = read_lengths(registry, b"", "wing.gul", Mark("job.yaml"))

    assert [(one.group, one.point, one.length_mm) for one in lengths] == [
        ("A", 1, 7334.0),
        ("B", 1, 7400.0),
    ]
    assert [(fault.code, str(fault.mark)) for fault in faults] == [(code, "wing.gul:2")]
    assert "bench" in faults[0].hint  # whose doing it is


def test_lines_that_the_wing_does_not_have_are_not_laid_out_in_its_job(
    with_plugin: Registry, tmp_path: Path
) -> None:
    many = "7334\n" * 30  # row A has twelve points
    line_set = find_line_set("medlar m", EXAMPLES)
    found = read_export(
        with_plugin, tmp_path / "jig.coast", None, line_set, "before", many.encode()
    )

    assert [fault.code for fault in found.faults].count("point-not-in-specification") == 18
    assert {value.path[-1] for value in found.imported.values} == set(range(1, 13))


@pytest.mark.parametrize(
    ("name", "kind", "hint"),
    [("jig.dat", "", "Files that can be read end in .coast, .csv"), ("jig.dat", "cvs", "`csv`")],
)
def test_a_file_that_nobody_reads_is_reported(
    with_plugin: Registry, name: str, kind: str, hint: str
) -> None:
    fault = importers_for(list(with_plugin.all("importers")), name, Mark("job.yaml"), kind)

    assert fault.code == "no-importer"
    assert hint in fault.hint


class Choosy:
    """Reads CSV files that begin with a word of its own, and declines all others."""

    name = "choosy"
    suffixes = (".csv",)

    def read(self, data: bytes, name: str) -> tuple[tuple, tuple] | None:
        return ((), ()) if data.startswith(b"choosy") else None

    def tables(self, data: bytes, name: str, table_format: TableFormat) -> tuple | None:
        if not data.startswith(b"choosy"):
            return None
        return (Sheet("", {(1, 1): Cell(1, 1, "x", Mark(name))}, Mark(name)),), ()


class With:
    """A registry of some importers."""

    def __init__(self, *importers: object) -> None:
        self.importers = importers

    def all(self, kind: str) -> tuple[object, ...]:
        return self.importers


def test_an_importer_declines_what_is_not_its_own_and_the_next_reads_it() -> None:
    plain = b"side,row,point,length_mm\nleft,A,1,7334\n"
    both = With(csv.importer, Choosy())

    lengths, faults = read_lengths(both, plain, "jig.csv", Mark("job.yaml"))
    assert ([one.length_mm for one in lengths], faults) == ([7334], ())
    assert read_lengths(both, b"choosy", "jig.csv", Mark("job.yaml")) == ((), ())
    for data, cells in ((plain, 8), (b"choosy", 1)):
        sheets, _ = sheets_of(both, data, "jig.csv", TableFormat(), Mark("job.yaml"))
        assert [len(sheet.cells) for sheet in sheets] == [cells]


def test_a_file_that_all_decline_is_reported() -> None:
    _, (fault,) = read_lengths(With(Choosy()), b"", "jig.csv", Mark("job.yaml", 3))

    assert (fault.code, str(fault.mark)) == ("no-importer", "job.yaml:3")
    assert fault.message == "“jig.csv” is not a file that “choosy” can read."


class Grumpy(Choosy):
    """Takes every CSV file and finds fault with it."""

    def read(self, data: bytes, name: str) -> tuple[tuple, tuple] | None:
        faults = [Fault(code, "Not so.", Mark(name), "Mend it.") for code in ("one", "two")]
        return (), tuple(faults)


def test_who_took_a_file_and_found_fault_with_it_is_reported_once() -> None:
    _, faults = read_lengths(With(csv.importer, Grumpy()), b"side,row", "jig.csv", Mark("job.yaml"))

    assert [fault.hint for fault in faults] == [
        "Mend it. It was read by the importer “choosy”, which another package adds.",
        "Mend it.",
    ]


def test_endings_are_found_however_they_are_written_and_told_once() -> None:
    made = [SimpleNamespace(name=n, suffixes=(".TXT", ".plb")) for n in ("one", "two")]
    found = importers_for(made, "bench.Txt", Mark("job.yaml"))
    fault = importers_for(made, "bench.xyz", Mark("job.yaml"))

    assert [one.name for one in found] == ["one", "two"]
    assert fault.hint == "Files that can be read end in .txt, .plb."
