"""Worker processes of this machine, each doing one job at a time within limits."""

from collections.abc import Callable, Iterable

from trimscribe.batch.task import JobResult, Task
from trimscribe.batch.worker import get_ready, make
from trimscribe.cell import Crew, Limits, Stop, fault_of
from trimscribe.errors import StoppedError

__all__ = ["Limits", "Local"]


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
