"""A report to put on disk, and what is in the folder afterwards."""

from collections.abc import Callable
from pathlib import Path

import pytest

from trimscribe.errors import ArchiveError, Fault
from trimscribe.model.report import Report

DATA = b"%PDF-1.7 the whole report"


def report_of(data: bytes = DATA) -> Report:
    return Report(data=data, suffix=".pdf", media_type="application/pdf", pages=1)


@pytest.fixture
def report() -> Report:
    return report_of()


@pytest.fixture
def other() -> Report:
    return report_of(b"%PDF-1.7 another report")


@pytest.fixture
def names() -> Callable[[Path], list[str]]:
    """The names of all that is in a folder."""
    return lambda folder: sorted(path.name for path in folder.iterdir())


@pytest.fixture
def refused() -> Callable[[Callable[[], object]], Fault]:
    """The one fault with which the archive refuses."""

    def fault(put: Callable[[], object]) -> Fault:
        with pytest.raises(ArchiveError) as caught:
            put()
        (found,) = caught.value.faults
        return found

    return fault
