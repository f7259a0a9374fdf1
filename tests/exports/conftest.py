"""Exports of one wing in many shapes; `export_shapes` and its neighbours make them."""

import sys
from pathlib import Path

import pytest

sys.path.append(str(Path(__file__).parent))  # for the modules that the tests here share

from export_wing import Wing, demo_wing

from trimscribe.registry import Registry


@pytest.fixture(scope="session")
def registry() -> Registry:
    return Registry.installed()


@pytest.fixture(scope="session")
def demo() -> Wing:
    return demo_wing()
