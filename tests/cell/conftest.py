"""Workers as they are: each may read what its task names, and nothing else."""

import pytest


@pytest.fixture(autouse=True)
def warm_worker() -> None:
    """Not here: see tests/conftest.py."""
