"""The real analysis, to ask about made-up wings."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from trimscribe.analyse import analyse
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job
from trimscribe.registry import Registry

Ask = Callable[[Job], Findings]


@pytest.fixture(scope="session")
def registry() -> Registry:
    return Registry.installed()


@pytest.fixture(scope="session")
def real(registry: Registry) -> Ask:
    """The whole analysis, as the command asks it."""
    return lambda job: analyse(job, registry)


@pytest.fixture(scope="session")
def ask(real: Ask) -> Ask:
    """The same without doubts: scatter drawn by a generator may look like a slip."""
    return lambda job: replace(real(job), doubts=())
