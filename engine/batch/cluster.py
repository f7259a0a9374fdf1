"""The workers of a Dask cluster that is there already: no scheduler of our own.

Dask gives a job whose worker was lost to another one. Memory is limited by the cluster's own
settings; a job that takes too long ends its worker process, which the cluster starts again, and
counts as lost there. Dask blames every job that a lost worker held, also those that only waited:
such a job is sent once more, alone, after all others. Workers with one thread each are quickest,
because one report keeps Python's lock most of the time.
"""

import faulthandler
import os
from collections import deque
from collections.abc import Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, wait
from typing import Any

from trimscribe.batch.job_bundle import JobBundle, unpack
from trimscribe.batch.jobs import CODES
from trimscribe.batch.run import JobResult, Task
from trimscribe.batch.worker import get_ready
from trimscribe.cell import Limits, SerialWorker
from trimscribe.errors import Mark, PluginError, StoppedError
from trimscribe.resources.worlds import world_of

_PATIENCE_S = 10
_PACK = "trimscribe.batch.job_bundle:pack"
_TOGETHER = 2  # parcels for each thread of the cluster, so that none waits for the next


class Cluster:
    """A crew made of a cluster's workers."""

    def __init__(self, address: str, seconds: float) -> None:
        """Connect to the scheduler at `HOST:PORT`; raises PluginError when that cannot be.

        A job that takes longer than `seconds` ends its worker process.
        """
        try:
            import distributed
        except ImportError as error:
            hint = "Install it with: pip install 'trimscribe[dask]'"
            raise PluginError.of("dask-missing", CODES["dask-missing"], hint=hint) from error
        try:
            connect: Any = distributed.Client  # it publishes no types
            self._client = connect(address, timeout=_PATIENCE_S, set_as_default=False)
        except (OSError, ValueError) as error:
            message = f"No Dask scheduler answers at {address}."
            hint = "Check that the scheduler runs and that its address is HOST:PORT."
            raise PluginError.of("cluster-not-found", message, hint=hint) from error
        self._reader = SerialWorker(Limits(seconds))
        self._executor = self._client.get_executor(pure=False)
        self._seconds = seconds
        self._sent: dict[Future[JobResult], Task] = {}
        self._settled: list[tuple[Task, JobResult]] = []  # without travelling
        self._blamed: type[Exception] = distributed.KilledWorker
        self._suspects: deque[Task] = deque()  # blamed once, perhaps for another's doing

    @property
    def busy(self) -> int:
        """How many tasks are on their way or wait to be sent once more."""
        return len(self._sent) + len(self._settled) + len(self._suspects)

    @property
    def free(self) -> int:
        """How many more tasks may be given, which grows and shrinks with the cluster."""
        threads: int = sum(self._client.nthreads().values())
        return max(threads, 1) * _TOGETHER - len(self._sent) - len(self._settled)

    def give(self, task: Task) -> None:
        """Have a job read by a worker here, and send it with all its files."""
        try:
            world = world_of([task.job], root=task.root, shop=task.shop, theme=task.theme)
            bundle: JobBundle | JobResult = self._reader.call(task.job, _PACK, task, reads=world)
        except StoppedError as error:
            bundle = JobResult.failed(error)
        if isinstance(bundle, JobBundle):
            self._sent[self._executor.submit(_unpack_within, bundle, self._seconds)] = task
        else:
            self._settled.append((task, bundle))

    def take(self) -> Sequence[tuple[Task, JobResult]]:
        """Wait until at least one task has come back or is given up."""
        back: list[tuple[Task, JobResult]] = []
        while not back:
            alone = not self._sent and not self._settled
            if alone:
                self.give(self._suspects.popleft())
            if self._settled:
                back, self._settled = self._settled, []
                return back
            done, _ = wait(self._sent, return_when=FIRST_COMPLETED)
            for future in done:
                task, lost = self._sent.pop(future), _loss(future)
                if isinstance(lost, self._blamed) and not alone:
                    self._suspects.append(task)
                else:
                    back.append((task, _given_up(task, lost) if lost else future.result()))
        return back

    def stop(self) -> None:
        """Cancel what is on its way, and leave the cluster."""
        self._reader.close()
        self._executor.shutdown(wait=False)
        self._client.close()


def _loss(future: "Future[JobResult]") -> BaseException | None:
    """What Dask raises instead of a result, which means that the job's workers were lost."""
    try:
        return future.exception()
    except CancelledError as error:
        return error


def _given_up(task: Task, lost: BaseException) -> JobResult:
    message = f"{CODES['worker-lost']} Dask says: {type(lost).__name__}."
    hint = "See the logs of the cluster; a time limit or one of memory may have ended workers."
    return JobResult.failed(StoppedError.of("worker-lost", message, Mark(task.job), hint))


def _unpack_within(bundle: JobBundle, seconds: float) -> JobResult:
    """Make a report, or end this process: nothing else stops a library that does not return."""
    get_ready()
    with open(os.devnull, "w") as nowhere:
        faulthandler.dump_traceback_later(seconds, exit=True, file=nowhere)
        try:
            return unpack(bundle)
        finally:
            faulthandler.cancel_dump_traceback_later()
