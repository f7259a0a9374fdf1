"""The examples are read; the one broken on purpose tells all its faults."""

import copy
from collections.abc import Callable
from pathlib import Path

import pytest
from pytest_regressions.file_regression import FileRegressionFixture

from trimscribe.errors import Fault, InputError
from trimscribe.model.job import Reading
from trimscribe.pipeline import render, understand
from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).parents[2]
JOBS = sorted(
    path.relative_to(ROOT)
    for path in (ROOT / "examples").glob("*.yaml")
    if "\nservice:" in path.read_text(encoding="utf-8") and path.stem != "broken"
)


@pytest.fixture(autouse=True)
def at_the_root(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


@pytest.mark.parametrize("path", JOBS, ids=[path.stem for path in JOBS])
def test_every_example_is_read_without_errors(
    path: Path, read_example: Callable[[Path], Reading]
) -> None:
    reading = read_example(path)

    assert reading.job.service.number
    assert reading.files[0].data == path.read_bytes()


@pytest.mark.parametrize("path", JOBS, ids=[path.stem for path in JOBS])
@pytest.mark.typesets
def test_a_report_changes_nothing_of_what_was_read(
    path: Path, read_example: Callable[[Path], Reading]
) -> None:
    """Jobs share what was understood of their line set and their shop file."""
    registry = Registry.installed()
    kept = copy.deepcopy(read_example(path))

    render(understand(read_example(path), registry), registry, World.real())

    assert read_example(path) == kept


def test_there_are_examples() -> None:
    assert Path("examples/demo.yaml") in JOBS


def test_the_broken_example_tells_all_its_faults(
    read_example: Callable[[Path], Reading], file_regression: FileRegressionFixture
) -> None:
    with pytest.raises(InputError) as caught:
        read_example(Path("examples/broken.yaml"))

    file_regression.check("\n".join(map(line, caught.value.faults)) + "\n", encoding="utf-8")


def line(fault: Fault) -> str:
    hint = f" ({fault.hint})" if fault.hint else ""
    word = "" if fault.severity == "error" else f"{fault.severity}: "
    return f"{fault.mark}: {word}{fault.code}: {fault.message}{hint}"
