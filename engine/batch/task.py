"""One job as a worker gets it, what comes of it there, and what a crew of workers offers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from trimscribe.errors import Fault, TrimscribeError
from trimscribe.model.report import Report

__all__ = ["Crew", "Made", "Task"]


@dataclass(frozen=True)
class Task:
    """A job by its path as typed, and the look of its report.

    `cache` is a folder for finished reports, or empty.
    """

    job: str
    theme: str = ""
    cache: str = ""


@dataclass(frozen=True)
class Made:
    """A report and its file name, or why there is none.

    `inputs` is the SHA-256 of each file that was read, by its name as seen from the job's folder;
    `theme` is what the job asks for where the task does not. `traceback` tells of a bug.
    """

    exit_code: int = 0
    faults: tuple[Fault, ...] = ()
    report: Report | None = None
    name: str = ""
    inputs: Mapping[str, str] = field(default_factory=dict)
    theme: str = ""
    seconds: float = 0.0
    traceback: str = ""

    @classmethod
    def failed(cls, error: TrimscribeError, seconds: float = 0.0) -> "Made":
        """No report, for the reason that an error gives."""
        return cls(error.exit_code, error.faults, seconds=seconds)


class Crew(Protocol):
    """Workers that take one task each, in the order given, and return them in any order."""

    @property
    def free(self) -> int:
        """How many more tasks may be given now."""

    @property
    def busy(self) -> int:
        """How many tasks were given and not returned."""

    def give(self, task: Task) -> None:
        """Hand a task to a worker."""

    def take(self) -> Sequence[tuple[Task, Made]]:
        """Wait until at least one task is done, and return those that are."""

    def stop(self) -> None:
        """Drop what is being done and let all workers go."""
