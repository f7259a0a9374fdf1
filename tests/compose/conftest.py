"""Real jobs as far as they go without a page, and what sections and figures look at."""

import functools
from collections.abc import Callable
from pathlib import Path

import pytest

from trimscribe.compose.document import view_of
from trimscribe.compose.themes import resolve
from trimscribe.contracts import View
from trimscribe.model.document import Content
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).parents[2]
# Fixed, so that golden files do not change with the libraries.
WORLD = World({"trimscribe": "1.2.3", "typst": "4.5.6"})
REGISTRY = Registry.installed()


@functools.cache
def _content(name: str) -> Content:
    folder = "examples" if (ROOT / "examples" / f"{name}.yaml").exists() else "tests/jobs"
    return prepare(ROOT / folder / f"{name}.yaml", REGISTRY)


@pytest.fixture
def content_of() -> Callable[[str], Content]:
    """A job of the examples or of tests/jobs by name."""
    return _content


@pytest.fixture
def see() -> Callable[[str], View]:
    """What sections and figures see of a job in the base theme."""

    def see(name: str) -> View:
        content = _content(name)
        look = resolve("base", content.reading.job.workshop, REGISTRY)
        return view_of(content, look, REGISTRY, WORLD)

    return see


@pytest.fixture
def world() -> World:
    return WORLD


@pytest.fixture
def registry() -> Registry:
    return REGISTRY
