"""The same wing in every shape is the same job with the same findings, to the last digit.

Workbooks that LibreOffice wrote are read as those that we wrote.
"""

import json
from pathlib import Path

import pytest
import yaml
from export_shapes import SHAPES, Export, Wing
from hypothesis import given, settings
from hypothesis import strategies as st
from trials import trials

from trimscribe.analyse import analyse
from trimscribe.errors import Mark
from trimscribe.exports.mapping.extract import import_export
from trimscribe.exports.mapping.load import load_map
from trimscribe.exports.mapping.normalise import Imported
from trimscribe.model.job import Reading
from trimscribe.model.plain import to_plain
from trimscribe.read import read
from trimscribe.registry import Registry

ROOT = Path(__file__).parents[2]
MADE = sorted((Path(__file__).parent / "made").iterdir())


def written_out(wing: Wing, when: str) -> dict[str, dict[str, list[float]]]:
    """The lengths as they are in a job."""
    sides: dict[str, dict[str, list[float]]] = {"left": {}, "right": {}}
    for (_, side, group, _), length in wing.only(when).items():
        sides[side].setdefault(group, []).append(length)
    return sides


def read_job(folder: Path, registry: Registry, measurings: dict[str, dict[str, object]]) -> Reading:
    """The demo's job with other measurings; files that it names lie in the folder already."""
    job = yaml.safe_load((ROOT / "examples" / "demo.yaml").read_text(encoding="utf-8"))
    job["workshop"] = {"name": "Quarry Hill Canopy Works"}
    line_set = job["specification"]
    (folder / line_set).write_bytes((ROOT / "examples" / line_set).read_bytes())
    for when, lengths in measurings.items():
        kept = {k: v for k, v in job[when].items() if k not in ("left", "right", "file")}
        job[when] = kept | lengths
    (folder / "job.json").write_text(json.dumps(job, default=str), encoding="utf-8")
    return read(folder / "job.json", registry)


@pytest.fixture(scope="module")
def expected(demo: Wing, registry: Registry, tmp_path_factory: pytest.TempPathFactory) -> Reading:
    folder = tmp_path_factory.mktemp("expected")
    measurings = {when: written_out(demo, when) for when in ("before", "after")}
    return read_job(folder, registry, measurings)


@pytest.mark.parametrize("shape", SHAPES)
def test_a_job_that_names_an_export_has_the_same_findings(
    demo: Wing, expected: Reading, registry: Registry, tmp_path: Path, shape: str
) -> None:
    export = SHAPES[shape](demo)
    (tmp_path / export.name).write_bytes(export.data)
    (tmp_path / "map.yaml").write_text(export.map, encoding="utf-8")
    named = {"file": export.name, "map": "map.yaml"}
    measurings = {
        when: named if when in export.measurings else written_out(demo, when)
        for when in ("before", "after")
    }
    reading = read_job(tmp_path, registry, measurings)

    assert len(demo.only("before")) >= 60
    assert reading.warnings == expected.warnings == ()
    assert reading.job == expected.job
    assert to_plain(analyse(reading.job, registry)) == to_plain(analyse(expected.job, registry))
    # The export and its map travel with the report, byte for byte.
    kept = {file.name: file.data for file in reading.files}
    assert kept[export.name] == export.data
    assert kept["map.yaml"] == export.map.encode()


def run(export: Export, wing: Wing, registry: Registry) -> Imported:
    plan, faults = load_map(export.map.encode(), "map.yaml")
    assert plan is not None, faults
    assert faults == ()
    return import_export(
        registry, export.data, export.name, plan, Mark("job.yaml"), specified=wing.specified
    )


@pytest.mark.parametrize("shape", SHAPES)
def test_every_cell_of_an_export_is_accounted_for_once(
    demo: Wing, registry: Registry, shape: str
) -> None:
    imported = run(SHAPES[shape](demo), demo, registry)
    taken = [cell for value in imported.values for cell in value.cells]
    left = [one.cell for one in imported.left_out]

    assert imported.faults == ()
    assert not set(taken) & set(left)
    assert len(left) == len(set(left))
    assert len(taken) == len(set(taken)) >= 60


NAMES = st.sampled_from(["A", "B", "C", "D", "Ä", "rear main", "stabilo", "brake", "brake_main"])


@st.composite
def wings(draw: st.DrawFn) -> Wing:
    """Any wing: rows of any names, points that were not measured, lengths to a hundredth."""
    groups = draw(st.lists(NAMES, min_size=1, max_size=5, unique=True))
    length = st.integers(100_000, 999_999).map(lambda n: n / 100)
    specified, lengths = {}, {}
    for group in groups:
        count = 1 if group == "brake_main" else draw(st.integers(2, 5))
        specified[group] = draw(st.lists(length, min_size=count, max_size=count))
        for when in ("before", "after"):
            for side in ("left", "right"):
                for point in range(1, count + 1):
                    # The first is always there, so that no block is empty.
                    value = draw(length if point == 1 else length | st.none())
                    if value is not None:
                        lengths[when, side, group, point] = value
    return Wing(lengths, specified)


@pytest.mark.parametrize("shape", SHAPES)
@settings(max_examples=trials(12))
@given(wing=wings())
def test_any_wing_comes_back_out_of_any_shape(registry: Registry, shape: str, wing: Wing) -> None:
    export = SHAPES[shape](wing)
    imported = run(export, wing, registry)

    assert imported.faults == ()
    assert {value.path: value.value for value in imported.values} == {
        key: length for key, length in wing.lengths.items() if key[0] in export.measurings
    }


def test_there_are_files_of_all_three_kinds() -> None:
    assert {path.suffix for path in MADE} == {".ods", ".xls", ".xlsx"}


@pytest.mark.parametrize("path", MADE, ids=[path.name for path in MADE])
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
