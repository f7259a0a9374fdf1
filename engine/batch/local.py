"""Worker processes of this machine, each doing one job at a time within limits.

Each worker has a pipe of its own, so that one that dies, even in the middle of an answer, takes
nothing with it but its own job. Processes are spawned, never forked: a fork after Typst has run
hangs for ever.
"""

import contextlib
import multiprocessing
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess

import psutil

from trimscribe.batch.codes import CODES
from trimscribe.batch.task import Made, Task
from trimscribe.batch.worker import get_ready, make, serve
from trimscribe.errors import Fault, Mark, StoppedError

__all__ = ["Limits", "Local"]

_START_S = 120.0  # until a process must be ready, on a machine that has much else to do
_END_S = 5.0  # for a process that was told to go
_TICK_S = 0.1  # how often limits are looked at
_spawn = multiprocessing.get_context("spawn")


@dataclass(frozen=True)
class Limits:
    """How long one job may take, how much memory a worker may hold, when a worker is replaced."""

    seconds: float = 60.0
    memory_mb: float = 1024.0
    jobs: int = 1000


@dataclass(eq=False)
class _Worker:
    """One process and our end of its pipe; `task` is what it is doing, `since` when it began."""

    process: SpawnProcess
    pipe: Connection
    ready: bool = False
    done: int = 0
    task: Task | None = None
    since: float = field(default_factory=time.monotonic)

    @classmethod
    def start(
        cls, work: Callable[[Task], Made], prepare: Callable[[], object], place: str
    ) -> "_Worker":
        pipe, theirs = _spawn.Pipe()
        process = _spawn.Process(target=serve, args=(theirs, work, prepare, place), daemon=True)
        process.start()
        theirs.close()  # or we would never see that it is gone
        return cls(process, pipe)

    def give(self, task: Task) -> None:
        self.task, self.since = task, time.monotonic()
        with contextlib.suppress(OSError):  # it is dead, which `answer` will find
            self.pipe.send(task)

    def answer(self) -> Made | None:
        """What it has sent; None when it is only ready now. EOFError when it died."""
        try:
            made: Made | None = self.pipe.recv()
        except OSError as error:
            raise EOFError from error
        if not self.ready:
            self.ready, self.since = True, time.monotonic()
        return made

    def end(self, *, at_once: bool) -> None:
        self.pipe.close()
        if not at_once:
            self.process.join(_END_S)
        self.process.kill()
        self.process.join()
        self.process.close()

    def memory_mb(self) -> float:
        try:
            return float(psutil.Process(self.process.pid).memory_info().rss) / 2**20
        except psutil.Error:
            return 0.0  # gone; its pipe tells


class Local:
    """A crew of `size` worker processes; tasks and their results are pickled by multiprocessing."""

    def __init__(
        self,
        size: int,
        limits: Limits,
        work: Callable[[Task], Made] = make,
        prepare: Callable[[], object] = get_ready,
    ) -> None:
        """Workers start when they are first needed; `work` is what they do with a task.

        `prepare` is what they do before, which counts for no job.
        """
        self.size, self._limits, self._work, self._prepare = size, limits, work, prepare
        self._workers: list[_Worker] = []
        self._again: set[Task] = set()
        # Where workers put temporary files: one that is killed does not clear up after itself.
        self._place = tempfile.TemporaryDirectory(prefix="trimscribe-")

    @property
    def busy(self) -> int:
        """How many tasks are being worked on."""
        return sum(worker.task is not None for worker in self._workers)

    @property
    def free(self) -> int:
        """How many more tasks may be given now."""
        return self.size - self.busy

    def give(self, task: Task) -> None:
        """Hand a task to an idle worker, started if need be."""
        idle = next((w for w in self._workers if w.task is None), None)
        if idle is not None and (idle.done >= self._limits.jobs or not idle.process.is_alive()):
            self._dismiss(idle)
            idle = None
        if idle is None:
            idle = _Worker.start(self._work, self._prepare, self._place.name)
            self._workers.append(idle)
        idle.give(task)

    def take(self) -> Sequence[tuple[Task, Made]]:
        """Wait until at least one task is done or had to be stopped."""
        done: list[tuple[Task, Made]] = []
        while not done:
            working = {w.pipe: w for w in self._workers if w.task is not None}
            answered = wait([*working], timeout=_TICK_S)
            for pipe, worker in working.items():
                look = self._answered if pipe in answered else self._over_limits
                done += look(worker)
        return done

    def stop(self) -> None:
        """Kill all workers; none of them writes to disk, so nothing is left half done."""
        for worker in self._workers:
            worker.end(at_once=True)
        self._workers.clear()
        self._place.cleanup()

    def _answered(self, worker: _Worker) -> Sequence[tuple[Task, Made]]:
        task = worker.task
        assert task is not None  # only busy workers are asked
        try:
            made = worker.answer()
        except EOFError:
            return self._died(worker, task)
        if made is None:
            return ()
        worker.task = None
        worker.done += 1
        self._again.discard(task)
        return ((task, made),)

    def _over_limits(self, worker: _Worker) -> Sequence[tuple[Task, Made]]:
        task, limits = worker.task, self._limits
        assert task is not None
        spent = time.monotonic() - worker.since
        if not worker.ready:  # what it does now counts for no job
            return self._died(worker, task) if spent > _START_S else ()
        if spent > limits.seconds:
            fault = _fault(task, "job-too-slow", f"took longer than {limits.seconds:g} s")
        elif worker.memory_mb() > limits.memory_mb:
            fault = _fault(
                task, "job-too-large", f"took more than {limits.memory_mb:g} MB of memory"
            )
        else:
            return ()
        self._dismiss(worker, at_once=True)
        return ((task, Made.failed(StoppedError(fault), spent)),)

    def _died(self, worker: _Worker, task: Task) -> Sequence[tuple[Task, Made]]:
        """Give the job to another worker: it may have been the system. Twice, it is the job."""
        spent = time.monotonic() - worker.since
        self._dismiss(worker, at_once=True)
        if task not in self._again:
            self._again.add(task)
            self.give(task)
            return ()
        self._again.discard(task)
        fault = Fault(
            "worker-died",
            CODES["worker-died"],
            Mark(task.job),
            "A plugin may have crashed it, or the system stopped it for want of memory.",
        )
        return ((task, Made.failed(StoppedError(fault), spent)),)

    def _dismiss(self, worker: _Worker, *, at_once: bool = False) -> None:
        self._workers.remove(worker)
        worker.end(at_once=at_once)


def _fault(task: Task, code: str, what: str) -> Fault:
    hint = "Raise the limit if the job is as large as that; else report what it does."
    return Fault(code, f"This job {what} and was stopped.", Mark(task.job), hint)
