"""One job as a worker gets it, the result of it there, and what a crew of workers offers."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from trimscribe.errors import Fault, TrimscribeError
from trimscribe.model.report import Report


@dataclass(frozen=True)
class PreviousResult:
    """A report that an earlier run made: its file name, pages and hash.

    It is up to date if its job's inputs, as a hash, are still `inputs`.
    """

    name: str
    pages: int
    sha256: str
    inputs: str


@dataclass(frozen=True)
class Task:
    """A job by its path as typed, what is asked for beside it, its report so far.

    `theme`, `shop` and `root` are as `trimscribe.pipeline.prepare` has them.

    `cache` is a folder for finished reports, or empty; `software` the hash that goes with it.
    """

    job: str
    theme: str = ""
    shop: str = ""
    root: str = ""
    cache: str = ""
    software: str = ""
    standing: PreviousResult | None = None


@dataclass(frozen=True)
class JobResult:
    """A report and its file name, or why there is none, or that the one it has is `current`.

    `inputs` is the hash of all that was read for it; `traceback` reports a bug.
    """

    exit_code: int = 0
    faults: tuple[Fault, ...] = ()
    report: Report | None = None
    name: str = ""
    current: bool = False
    inputs: str = ""
    seconds: float = 0.0
    traceback: str = ""

    @classmethod
    def failed(cls, error: TrimscribeError, seconds: float = 0.0) -> "JobResult":
        """No report, for the reason that an error gives."""
        return cls(error.exit_code, error.faults, seconds=seconds)


class Executor(Protocol):
    """Workers that take tasks in the order given and return them in any order."""

    @property
    def free(self) -> int:
        """How many more tasks may be given now."""

    @property
    def busy(self) -> int:
        """How many tasks were given and not returned."""

    def give(self, task: Task) -> None:
        """Hand a task to a worker."""

    def take(self) -> Sequence[tuple[Task, JobResult]]:
        """Wait until at least one task is done, and return those that are."""

    def stop(self) -> None:
        """Drop what is being done and let all workers go."""
