"""A run over many jobs: hand out, put on disk, report the result of each as it comes.

A crew of workers, of whatever kind, takes a `Task` for each job and gives back a `JobResult`; what
then became of the job is a `BatchOutcome`.
"""

from collections.abc import Generator, Iterable, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from pathlib import Path
from typing import Protocol

from trimscribe.archive import put_once
from trimscribe.archive.names import bare
from trimscribe.errors import ArchiveError, Fault, TrimscribeError
from trimscribe.model.report import Record, Report


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

    `theme`, `shop` and `root` are as `trimscribe.pipeline.prepare` has them; `cache` is a folder
    for finished reports, or empty; `software` the hash that goes with it.
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


class JobCrew(Protocol):
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


class Status(StrEnum):
    """What a run did about one job."""

    MADE = "made"
    UNCHANGED = "unchanged"  # made again, and the same was there
    CURRENT = "up to date"  # not made again
    FAILED = "failed"


@dataclass(frozen=True)
class BatchOutcome:
    """The result of one job; `record` is None where no report stands on disk for it."""

    job: str
    status: Status
    exit_code: int = 0
    faults: tuple[Fault, ...] = ()
    record: Record | None = None
    pages: int = 0
    seconds: float = 0.0
    inputs: str = ""
    traceback: str = ""


def run(
    tasks: Iterable[Task],
    crew: JobCrew,
    folder: Path,
    *,
    force: bool = False,
    fail_fast: bool = False,
) -> Generator[BatchOutcome, None, None]:
    """Do all tasks and yield the result of each, in the order in which they are finished.

    Reports go into `folder`, never over a different one unless `force`. With `fail_fast` the run
    ends at the first failure. The crew is stopped at the end, also when the caller stops early or
    is interrupted.
    """
    reports = _Reports(folder, force)
    waiting = iter(tasks)

    def hand_out() -> None:
        while crew.free > 0 and (task := next(waiting, None)) is not None:
            crew.give(task)

    try:
        hand_out()
        while crew.busy:
            for task, made in crew.take():
                hand_out()  # no worker waits while we write
                outcome = reports.put(task, made)
                yield outcome
                if fail_fast and outcome.status is Status.FAILED:
                    return
    finally:
        crew.stop()


@dataclass
class _Reports:
    """The folder of the reports, and which job of this run each came from."""

    folder: Path
    force: bool
    made: dict[Path, str] = field(default_factory=dict)

    def put(self, task: Task, made: JobResult) -> BatchOutcome:
        """Put what a worker made on disk; a refusal is a failure of this job alone."""
        failed = BatchOutcome(
            task.job,
            Status.FAILED,
            made.exit_code,
            made.faults,
            seconds=made.seconds,
            traceback=made.traceback,
        )
        if made.current and task.standing:
            stands = task.standing
            record = Record(self.folder / stands.name, stands.sha256, unchanged=True)
            self.made.setdefault(record.path, task.job)
            return replace(
                failed,
                status=Status.CURRENT,
                record=record,
                pages=stands.pages,
                inputs=stands.inputs,
            )
        if made.report is None:
            return failed
        try:
            named = [(made.report, self.folder / bare(made.name))]
            (record,) = put_once(task.job, named, self.made, force=self.force)
        except ArchiveError as error:
            faults = (*made.faults, *error.faults)
            return replace(failed, exit_code=error.exit_code, faults=faults)
        return replace(
            failed,
            status=Status.UNCHANGED if record.unchanged else Status.MADE,
            record=record,
            pages=made.report.pages,
            inputs=made.inputs,
        )
