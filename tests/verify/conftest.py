"""One report to be proven, and ways to change a PDF behind its back."""

from collections.abc import Callable
from pathlib import Path

import pytest

from trimscribe.model.proof import Proof
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.verification.check import check
from trimscribe.world import World

SMALL = Path(__file__).parent / "small" / "demo.yaml"
REGISTRY = Registry.installed()
WORLD = World.real()


@pytest.fixture(scope="session")
def demo() -> bytes:
    """The demo in three pages, which is proven in a third of the time that the whole one takes."""
    return render(prepare(SMALL, REGISTRY), REGISTRY, WORLD).data


@pytest.fixture(scope="session")
def prove() -> Callable[..., Proof]:
    """Ask a PDF to prove itself with the plugins and versions that are installed."""
    return lambda data, world=WORLD, **more: check(data, REGISTRY, world, **more)
