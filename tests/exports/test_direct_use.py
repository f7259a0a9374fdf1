"""A job that names an export and its map: faults point to the cell, and both travel along."""

import shutil
from pathlib import Path

import pytest
from export_files import xlsx

from trimscribe.errors import InputError, Severity
from trimscribe.read import read
from trimscribe.registry import Registry

EXAMPLES = Path(__file__).parents[2] / "examples"
MAP = """\
trimscribe: 1
tables:
  - labels: [{column: Line, form: "{row}{point}"}]
    values: [{column: left, side: left}, {column: right, side: right}]
"""
GRID = [["Line", "left", "right"], ["A1", 7334, 7339], ["A2", 7334, 7332]]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(EXAMPLES, tmp_path, dirs_exist_ok=True)
    text = (tmp_path / "demo.yaml").read_text(encoding="utf-8")
    text = text.replace("file: demo-before.csv ", "file: jig.xlsx\n  map: jig.yaml ")
    (tmp_path / "demo.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "jig.yaml").write_text(MAP, encoding="utf-8")
    (tmp_path / "jig.xlsx").write_bytes(xlsx({"Sheet1": GRID}))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def errors(registry: Registry) -> list[tuple[str, str]]:
    with pytest.raises(InputError) as caught:
        read("demo.yaml", registry)
    return [(f.code, str(f.mark)) for f in caught.value.faults if f.severity is Severity.ERROR]


def test_lengths_and_their_marks_come_from_the_cells(folder: Path, registry: Registry) -> None:
    reading = read("demo.yaml", registry)

    assert str(reading.marks["before", "right", "A", 2]) == "jig.xlsx:Sheet1!C3"
    names = {file.name: file for file in reading.files}
    assert names["jig.xlsx"].data == (folder / "jig.xlsx").read_bytes()
    assert names["jig.xlsx"].media_type.endswith("spreadsheetml.sheet")
    assert names["jig.yaml"].media_type == "application/yaml"
    assert {f.code for f in reading.warnings} == {"point-not-measured"}


def test_faults_of_all_kinds_are_reported_at_once_in_file_order(
    folder: Path, registry: Registry
) -> None:
    rows = [*GRID, ["A3", "seven", 734], ["K1", 7000, None]]
    (folder / "jig.xlsx").write_bytes(xlsx({"Sheet1": rows}))
    text = (folder / "demo.yaml").read_text(encoding="utf-8")
    (folder / "demo.yaml").write_text(text.replace("number: QH", "nmber: QH"), encoding="utf-8")

    assert errors(registry) == [
        ("unknown-key", "demo.yaml:7:3"),
        ("length-not-a-number", "jig.xlsx:Sheet1!B4"),
        ("unit-slip", "jig.xlsx:Sheet1!C4"),
        ("unknown-row", "jig.xlsx:Sheet1!B5"),
    ]


def test_the_same_cell_of_two_sheets_has_two_faults(folder: Path, registry: Registry) -> None:
    rows = [["Line", "left", "right"], ["A1", "x", 7339]]
    (folder / "jig.xlsx").write_bytes(xlsx({"One": rows, "Two": rows}))
    tables = MAP.partition("tables:\n")[2]
    plan = "trimscribe: 1\ntables:\n" + "".join(
        tables.replace("  - labels", f"  - sheet: {sheet}\n    labels").replace(
            "side: right}", f"side: right, point: {point}}}"
        )
        for sheet, point in (("Two", 1), ("One", 1))
    )
    (folder / "jig.yaml").write_text(plan, encoding="utf-8")

    assert [one for one in errors(registry) if one[0] == "length-not-a-number"] == [
        ("length-not-a-number", "jig.xlsx:One!B2"),
        ("length-not-a-number", "jig.xlsx:Two!B2"),
    ]


@pytest.mark.parametrize(
    ("file", "old", "new", "expected"),
    [
        ("demo.yaml", "  map: jig.yaml ", "  ", ("map-needed", "demo.yaml:46:9")),
        ("demo.yaml", "  file: jig.xlsx\n", "", ("map-without-file", "demo.yaml:46:3")),
        ("demo.yaml", "map: jig.yaml ", "map: jog.yaml ", ("file-not-found", "demo.yaml:47:8")),
        ("demo.yaml", "map: jig.yaml ", "map: [] ", ("not-text", "demo.yaml:47:3")),
        ("jig.yaml", "{row}", "{rwo}", ("form-not-clear", "jig.yaml:3:35")),
    ],
)  # fmt: skip
def test_each_slip_has_its_place(
    folder: Path, registry: Registry, file: str, old: str, new: str, expected: tuple[str, str]
) -> None:
    text = (folder / file).read_text(encoding="utf-8")
    assert text.count(old) == 1
    (folder / file).write_text(text.replace(old, new), encoding="utf-8")

    assert errors(registry) == [expected]


def test_an_export_that_gives_nothing_for_a_measuring_is_reported(
    folder: Path, registry: Registry
) -> None:
    text = MAP.replace("  - labels", "  - when: after\n    labels")
    (folder / "jig.yaml").write_text(text, encoding="utf-8")

    assert errors(registry) == [("no-values", "jig.xlsx")]


def test_lengths_that_stand_in_job_and_export_are_reported(
    folder: Path, registry: Registry
) -> None:
    text = (folder / "demo.yaml").read_text(encoding="utf-8")
    text = text.replace("  file: jig.xlsx\n", "  left: {A: [7000]}\n  file: jig.xlsx\n")
    (folder / "demo.yaml").write_text(text, encoding="utf-8")

    assert ("length-given-twice", "jig.xlsx:Sheet1!B2") in errors(registry)
