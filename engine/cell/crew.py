"""Workers of one owner, each doing one task at a time within limits.

Each worker has pipes of its own, so that one that dies, even in the middle of an answer, takes
nothing with it but its own task. Workers are started fresh, never forked: a fork after Typst has
run hangs for ever.
"""

import contextlib
import os
import pickle
import queue
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, BinaryIO, Generic, TypeVar, cast

from trimscribe.cell.child import ANSWER, AT, BROKEN, READY, TOO_LARGE
from trimscribe.cell.frames import data_of, read_frame, write_frame
from trimscribe.errors import Fault, InputError

_CHILD = "from trimscribe.cell.child import main; main()"
_START_S = 120.0  # until a process must be ready, on a machine that has much else to do
_TICK_S = 0.1  # how often limits are looked at
_PATIENCE = 5  # times as long as it may compute, a task may take by the clock: it may have to wait
# Variables that a process cannot start without; nothing else is handed on.
_KEPT = ("SYSTEMROOT", "SYSTEMDRIVE", "TEMP", "TMP", "TMPDIR", "MPLCONFIGDIR", "HOME")

T = TypeVar("T")
A = TypeVar("A")


@dataclass(frozen=True)
class Limits:
    """How long one task may compute, how much memory a worker may hold, when one is replaced."""

    seconds: float = 60.0
    memory_mb: float = 1024.0
    jobs: int = 1000


class Why(StrEnum):
    """Why a task came to nothing."""

    TIME = "time"
    MEMORY = "memory"
    DIED = "died"


@dataclass(frozen=True)
class Stop:
    """A task that was stopped: why, after how long, and the file that was worked on, if known."""

    why: Why
    seconds: float = 0.0
    place: str = ""


@dataclass(eq=False)
class _Worker:
    """One process; `task` is what it is doing, `since` when it began, `place` where it is."""

    process: "subprocess.Popen[bytes]"
    ready: bool = False
    done: int = 0
    task: Any = None
    since: float = field(default_factory=time.monotonic)
    computed: float | None = None  # before this task
    seen_mb: float = 0.0
    place: str = ""
    watched: Any = None  # psutil's view of it
    world: tuple[str, ...] | None = None  # what it may read; None before its first task

    def give(self, task: Any, message: bytes) -> None:
        self.task, self.since, self.place = task, time.monotonic(), ""
        self.computed, self.seen_mb = None, 0.0
        with contextlib.suppress(OSError):  # it is dead, which its pipe tells
            write_frame(cast(BinaryIO, self.process.stdin), message)

    def kill(self) -> None:
        self.process.kill()
        self.process.wait()
        for pipe in (self.process.stdin, self.process.stdout):
            with contextlib.suppress(OSError):
                cast(BinaryIO, pipe).close()

    def look(self) -> tuple[float, float]:
        """Seconds computed for this task, and resident memory in MB; zeros when it is gone."""
        import psutil  # only work that takes a while is worth loading it

        try:
            self.watched = self.watched or psutil.Process(self.process.pid)
            with self.watched.oneshot():
                times, memory = self.watched.cpu_times(), self.watched.memory_info()
        except psutil.Error:
            return 0.0, 0.0
        computed = times.user + times.system
        if self.computed is None:
            self.computed = computed
        self.seen_mb = max(self.seen_mb, memory.rss / 2**20)
        return computed - self.computed, memory.rss / 2**20


class Crew(Generic[T, A]):
    """A crew of `size` workers that do the same work; tasks must be values that can be pickled."""

    def __init__(
        self,
        size: int,
        limits: Limits,
        work: Callable[..., A] | str,
        stopped: Callable[[T, Stop], A],
        prepare: Callable[[], object] | str = "",
        *,
        reads: Iterable[str] = (),
        writes: Iterable[str] = (),
    ) -> None:
        """Workers start when they are first needed; `work` is what they do with a task.

        They may read what is installed and below `reads`, and write below `writes` and in a place
        of their own, where the system can hold them to it.
        `stopped` says the result of a task that was stopped. `prepare` is what workers do before
        their first, which counts for none. Both are functions of modules, or `module:function`.
        """
        self.size, self._limits, self._stopped = size, limits, stopped
        self._work, self._prepare = name_of(work), name_of(prepare)
        self._reads, self._writes = tuple(reads), tuple(writes)
        self._workers: list[_Worker] = []
        self._again: set[int] = set()
        self._frames: queue.SimpleQueue[tuple[_Worker, bytes | None]] = queue.SimpleQueue()
        # Where workers put temporary files: one that is killed does not clear up after itself.
        self._place: tempfile.TemporaryDirectory[str] | None = None

    @property
    def busy(self) -> int:
        """How many tasks are being worked on."""
        return sum(worker.task is not None for worker in self._workers)

    @property
    def free(self) -> int:
        """How many more tasks may be given now."""
        return self.size - self.busy

    def warm(self, prepare: str = "") -> None:
        """Start a worker before there is a task for it, if none is there; it begins to prepare.

        Those that take its place later prepare in the same way.
        """
        self._prepare = prepare or self._prepare
        if not self._workers:
            self._start()

    def give(self, task: T) -> None:
        """Hand a task to an idle worker, started if need be."""
        idle = next((w for w in self._workers if w.task is None), None)
        if idle is not None and not self._fits(idle):
            self._dismiss(idle)
            idle = None
        idle = idle or self._start()
        message = {
            "work": self._work,
            "given": (task,),
            "here": _standing_in(),
            "loads": [module for module in [_module_of(task)] if module],
            "reads": self._reads,
            "writes": self._writes,
            # The owner stops it sooner; the system does where the owner is gone.
            "seconds": 2 * self._limits.seconds,
        }
        if idle.world is None:
            idle.world = self._reads
        idle.give(task, pickle.dumps(message))

    def let_read(self, reads: Iterable[str], writes: Iterable[str] = ()) -> None:
        """What is given from now on needs these; a worker that may not read them is replaced."""
        self._reads, self._writes = tuple(reads), tuple(writes)

    def hold_to(self, limits: Limits) -> None:
        """What is given from now on is held to these; a worker's own limits stay as they are."""
        self._limits = limits

    def _fits(self, worker: _Worker) -> bool:
        """Whether a worker can be given another task."""
        spent = worker.done >= self._limits.jobs or worker.process.poll() is not None
        return not spent and (worker.world is None or _covers(worker.world, self._reads))

    def take(self) -> Sequence[tuple[T, A]]:
        """Wait until at least one task is done or had to be stopped.

        Raises EOFError when there is none any more: somebody has stopped the crew.
        """
        while True:
            if not self.busy:
                raise EOFError("the crew was stopped")
            done: list[tuple[T, A]] = []
            looked = time.monotonic()
            while not done and (left := looked + _TICK_S - time.monotonic()) > 0:
                with contextlib.suppress(queue.Empty):
                    worker, frame = self._frames.get(timeout=left)
                    done += self._heard(worker, frame)
            if not done:
                for worker in [*self._workers]:
                    done += self._over_limits(worker)
            if done:
                return done

    def stop(self) -> None:
        """Kill all workers; none of them writes results, so nothing is left half done."""
        for worker in self._workers:
            worker.kill()
        self._workers.clear()
        self._again.clear()
        if self._place:
            self._place.cleanup()
            self._place = None

    def _start(self) -> _Worker:
        self._place = self._place or tempfile.TemporaryDirectory(prefix="trimscribe-")
        path = os.pathsep.join(entry for entry in sys.path if entry)
        process = subprocess.Popen(
            [sys.executable, "-P", "-c", _CHILD],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            # Of a session of its own, it can put nothing into the terminal as if it were typed.
            start_new_session=True,
            env={
                **{name: os.environ[name] for name in _KEPT if name in os.environ},
                "PYTHONPATH": path,
                "PYTHONUTF8": "1",
                "OPENBLAS_NUM_THREADS": "1",  # nothing here is large enough for more
            },
        )
        worker = _Worker(process)
        set_up = {
            "path": list(sys.path),
            "place": self._place.name,
            "memory_mb": self._limits.memory_mb,
            "prepare": self._prepare,
        }
        with contextlib.suppress(OSError):
            write_frame(cast(BinaryIO, process.stdin), pickle.dumps(set_up))
        threading.Thread(target=_listen, args=(worker, self._frames), daemon=True).start()
        self._workers.append(worker)
        return worker

    def _heard(self, worker: _Worker, frame: bytes | None) -> Sequence[tuple[T, A]]:
        if worker not in self._workers:
            return ()  # its last words
        if frame is None:
            return self._died(worker)
        kind, data = frame[:1], frame[1:]
        if kind == READY:
            worker.ready, worker.since = True, time.monotonic()
        elif kind == AT:
            worker.place = data.decode("utf-8", "replace")
        elif kind == TOO_LARGE:
            return self._over(worker, Why.MEMORY)
        elif worker.task is not None and kind in (ANSWER, BROKEN):
            try:
                answer = data_of(data) if kind == ANSWER else _broken(data)
            except EOFError:
                return self._died(worker)
            task, worker.task = worker.task, None
            worker.done += 1
            self._again.discard(id(task))
            return ((task, answer),)
        return ()

    def _over_limits(self, worker: _Worker) -> Sequence[tuple[T, A]]:
        if worker.task is None:
            return ()
        spent = time.monotonic() - worker.since
        if not worker.ready:  # what it does now counts for no task
            return self._died(worker) if spent > _START_S else ()
        computed, memory_mb = worker.look()
        if computed > self._limits.seconds or spent > _PATIENCE * self._limits.seconds:
            return self._over(worker, Why.TIME)
        if memory_mb > self._limits.memory_mb:
            return self._over(worker, Why.MEMORY)
        return ()

    def _over(self, worker: _Worker, why: Why) -> Sequence[tuple[T, A]]:
        task, spent = worker.task, time.monotonic() - worker.since
        self._dismiss(worker)
        if task is None:
            return ()
        self._again.discard(id(task))
        return ((task, self._stopped(task, Stop(why, spent, worker.place))),)

    def _died(self, worker: _Worker) -> Sequence[tuple[T, A]]:
        """Give the task to another worker: it may have been the system. Twice, it is the task."""
        worker.process.kill()
        code, task = worker.process.wait(), worker.task
        if code == -getattr(signal, "SIGXCPU", 0):
            return self._over(worker, Why.TIME)
        # A library that gets no more memory gives up like this, and says so on standard error.
        if code == -getattr(signal, "SIGABRT", 0) or worker.seen_mb > self._limits.memory_mb / 2:
            return self._over(worker, Why.MEMORY)
        if task is None or id(task) in self._again:
            return self._over(worker, Why.DIED)
        self._dismiss(worker)
        self._again.add(id(task))
        self.give(task)
        return ()

    def _dismiss(self, worker: _Worker) -> None:
        self._workers.remove(worker)
        worker.kill()


def _listen(worker: _Worker, frames: "queue.SimpleQueue[tuple[_Worker, bytes | None]]") -> None:
    """Hand on all that a worker sends, and then that it is gone."""
    try:
        while True:
            frames.put((worker, read_frame(cast(BinaryIO, worker.process.stdout))))
    except (EOFError, OSError, ValueError):
        frames.put((worker, None))


def _standing_in() -> str:
    """The folder that relative paths start from; InputError where it was deleted meanwhile."""
    try:
        return os.getcwd()
    except FileNotFoundError:
        message = "The folder that you are in is not there any more."
        raise InputError([Fault("file-not-found", message, hint="Go to another one.")]) from None


def name_of(function: Callable[..., Any] | str) -> str:
    """A function of a module as a worker finds it."""
    if isinstance(function, str):
        return function
    return f"{function.__module__}:{function.__qualname__}"


def _covers(world: Sequence[str], wanted: Iterable[str]) -> bool:
    """Whether all that is wanted lies below a folder of a world."""
    below = tuple(os.path.join(folder, "") for folder in world)
    return all(path in world or path.startswith(below) for path in wanted)


def _module_of(task: Any) -> str:
    """The module of the function that a task names, if it does."""
    return str(getattr(task, "function", "")).partition(":")[0]


def _broken(data: bytes) -> Any:
    raise TypeError(f"a worker cannot send its answer: {data.decode('utf-8', 'replace')}")
