"""One report to be proven, and ways to change a PDF behind its back."""

import functools
from collections.abc import Callable
from pathlib import Path

import pytest

from trimscribe.model.proof import Proof
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.verification.check import check
from trimscribe.world import World

ROOT = Path(__file__).parents[2]
REGISTRY = Registry.installed()
WORLD = World.real()


@functools.cache
def made(name: str = "demo") -> bytes:
    content = prepare(ROOT / "examples" / f"{name}.yaml", REGISTRY)
    return render(content, REGISTRY, WORLD).data


@pytest.fixture(scope="session")
def demo() -> bytes:
    return made()


@pytest.fixture(scope="session")
def prove() -> Callable[..., Proof]:
    """Ask a PDF to prove itself with the plugins and versions that are installed."""
    return lambda data, world=WORLD, **more: check(data, REGISTRY, world, **more)
