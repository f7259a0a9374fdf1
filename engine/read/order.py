"""Jobs by the date of their service, before any of them is read as a whole."""

from collections.abc import Iterable
from pathlib import Path

from trimscribe.marked_yaml import load
from trimscribe.read.files import JobFolder

__all__ = ["oldest_first"]


def oldest_first(jobs: Iterable[str]) -> list[str]:
    """The jobs by date of service; those of one day stay in order, those without a date lead.

    Nothing is checked, and no fault told: that is for `read`.
    """
    return sorted(jobs, key=_done)


def _done(job: str) -> str:
    data = JobFolder(Path(job)).open_job()
    found = load(data, job).data if isinstance(data, bytes) else None
    service = found.get("service") if isinstance(found, dict) else None
    done = service.get("done") if isinstance(service, dict) else None
    return done if isinstance(done, str) else ""
