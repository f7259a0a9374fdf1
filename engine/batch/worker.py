"""One job to the bytes of its report, whatever goes wrong: what a worker does.

And the worker processes of this machine, each doing one job at a time within limits.
"""

import functools
import time
import traceback
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

from trimscribe.archive import Cache, file_name
from trimscribe.batch.fingerprint import inputs_of
from trimscribe.batch.run import JobResult, Task
from trimscribe.cell import Crew, Limits, Stop, fault_of
from trimscribe.errors import StoppedError, TrimscribeError, bug
from trimscribe.model.job import Reading
from trimscribe.pipeline import render, understand
from trimscribe.read import read
from trimscribe.registry import installed
from trimscribe.world import World

BUG = 70  # the exit code of the error tree's root


def make(task: Task) -> JobResult:
    """Read one job and make its report in memory, or say why that cannot be."""

    def work() -> JobResult:
        reading = read(task.job, installed(), task.shop, task.root)
        inputs = inputs_of(reading, task.theme)
        if task.standing and task.standing.inputs == inputs:
            return JobResult(current=True, inputs=inputs)
        cache = _cache(task.cache, task.software) if task.cache else None
        return replace(made_of(reading, task.theme, cache), inputs=inputs)

    return attempted(work)


def made_of(reading: Reading, theme: str, cache: Cache | None = None) -> JobResult:
    """Make the report of a job that was read; raises TrimscribeError."""
    content = understand(reading, installed())
    report = render(content, installed(), World.real(), theme=theme, cache=cache)
    name = file_name(reading.job, report.suffix)
    return JobResult(faults=(*content.warnings, *report.warnings), report=report, name=name)


def attempted(work: Callable[[], JobResult]) -> JobResult:
    """Do some work and time it; whatever goes wrong becomes faults of this job alone."""
    start = time.perf_counter()
    try:
        made = work()
    except TrimscribeError as error:
        made = JobResult.failed(error)
    except MemoryError:
        raise  # the process has no room left to go on
    except Exception as error:
        reported = "".join(traceback.format_exception(error))
        made = JobResult(BUG, (bug(error),), traceback=reported)
    return replace(made, seconds=time.perf_counter() - start)


def get_ready() -> None:
    """Load whatever reports may need, so that no job's time is spent on it."""
    installed().listing()
    World.real()


@functools.cache
def _cache(folder: str, software: str) -> Cache:
    return Cache(Path(folder), software)


class Local(Crew[Task, JobResult]):
    """A crew of `size` worker processes."""

    def __init__(
        self,
        size: int,
        limits: Limits,
        work: Callable[[Task], JobResult] = make,
        prepare: Callable[[], object] = get_ready,
        reads: Iterable[str] = (),
        writes: Iterable[str] = (),
    ) -> None:
        """Workers start when they are first needed; `work` is what they do with a task.

        `prepare` is what they do before, which counts for no job. They may read below `reads`, and
        write below `writes`.
        """

        def stopped(task: Task, stop: Stop) -> JobResult:
            return JobResult.failed(StoppedError(fault_of(stop, task.job, limits)), stop.seconds)

        super().__init__(size, limits, work, stopped, prepare, reads=reads, writes=writes)
