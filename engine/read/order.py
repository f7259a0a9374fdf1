"""Jobs by the date of their service, before any of them is read as a whole."""

from collections.abc import Iterable
from pathlib import Path

from trimscribe.marked_yaml import load
from trimscribe.read.files import JobFolder


def oldest_first(jobs: Iterable[str]) -> list[tuple[str, str]]:
    """The jobs by date of service, each with its wing's serial number.

    Those of one day stay in order, those without a date lead. Nothing is checked, and no fault
    reported: that is for `read`.
    """
    found = [(job, *_outline(job)) for job in jobs]
    return [(job, serial) for job, _, serial in sorted(found, key=lambda one: one[1])]


def _outline(job: str) -> tuple[str, str]:
    """Date of service and serial number as written; empty where there is none."""
    data = JobFolder(Path(job)).open_job()
    found = load(data, job).data if isinstance(data, bytes) else None
    return _text(found, "service", "done"), _text(found, "wing", "serial_number")


def _text(found: object, part: str, key: str) -> str:
    inner = found.get(part) if isinstance(found, dict) else None
    value = inner.get(key) if isinstance(inner, dict) else None
    return value if isinstance(value, str) else ""
