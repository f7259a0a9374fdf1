"""Exports of one wing in many shapes; `export_shapes` and its neighbours make them."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from export_wing import Wing, demo_wing

from trimscribe.cli import main
from trimscribe.registry import Registry

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="session")
def registry() -> Registry:
    return Registry.installed()


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Result]:
    """Run a command where the examples are."""
    shutil.copytree(EXAMPLES, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return lambda *arguments: CliRunner().invoke(main, [*map(str, arguments)])


@pytest.fixture(scope="session")
def demo() -> Wing:
    return demo_wing()
