"""Documents to make outputs of, composed once."""

import functools
from collections.abc import Callable
from pathlib import Path

import pytest

from trimscribe.compose.document import compose
from trimscribe.model.document import Document
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).parents[2]
REGISTRY = Registry.installed()
WORLD = World({"trimscribe": "1.2.3", "typst": "4.5.6"})
JOBS = {
    **{path.stem: path for path in sorted((ROOT / "tests" / "jobs").glob("*.yaml"))},
    **{path.stem: path for path in sorted((ROOT / "examples").glob("*.yaml"))},
}


@functools.cache
def _document(job: str, theme: str) -> Document:
    return compose(prepare(JOBS[job], REGISTRY), REGISTRY, WORLD, theme)


@pytest.fixture
def document_of() -> Callable[..., Document]:
    """The document of a job of the examples or of tests/jobs, in a theme."""
    return lambda job, theme="": _document(job, str(theme))


@pytest.fixture
def registry() -> Registry:
    return REGISTRY


@pytest.fixture
def world() -> World:
    return WORLD
