"""Many PDFs, each read in a process of its own kind that may not take more than a report needs.

A worker that a hostile file kills takes at most the few files with it that were being read; those
are read again one by one, so that only the culprit is told.
"""

import contextlib
import multiprocessing
import os
import sys
import tempfile
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from functools import cache
from pathlib import Path

from trimscribe.model.proof import Difference, Proof, Standing
from trimscribe.readback import LARGEST
from trimscribe.registry import Registry
from trimscribe.verification.check import check
from trimscribe.world import World

if sys.platform != "win32":
    import resource

__all__ = ["check_all"]

_SECONDS = 60  # of computing for one file; a report takes less than one
_MEMORY = 4_000_000_000  # bytes of address space, most of which libraries only reserve
_AT_HAND = 2  # files that each worker has at hand

Task = tuple[str, str, tuple[bytes, ...]]  # path, theme, trusted certificates


def check_all(
    paths: Iterable[Path], theme: str = "", workers: int = 0, trusted: tuple[bytes, ...] = ()
) -> Iterator[tuple[Path, Proof]]:
    """Yield each path with its proof as it comes; `workers` 0 takes as many as there are cores."""
    tasks = deque((str(path), theme, trusted) for path in paths)
    # What reports carry is laid out below one place, so that a process that is killed leaves
    # nothing behind either.
    with tempfile.TemporaryDirectory(prefix="trimscribe-") as place:
        yield from _checked(tasks, workers or os.cpu_count() or 1, place)


def _checked(waiting: deque[Task], workers: int, place: str) -> Iterator[tuple[Path, Proof]]:
    while waiting:
        running: dict[Future[Proof], Task] = {}
        try:
            with _pool(min(workers, len(waiting)), place) as pool:
                while waiting or running:
                    while waiting and len(running) < workers * _AT_HAND:
                        future = pool.submit(_check, waiting[0])
                        running[future] = waiting.popleft()
                    done, _ = wait(running, return_when=FIRST_COMPLETED)
                    for future in done:
                        proof = future.result()
                        yield Path(running.pop(future)[0]), proof
        except BrokenProcessPool:
            for task in running.values():
                yield Path(task[0]), _alone(task, place)


def _alone(task: Task, place: str) -> Proof:
    try:
        with _pool(1, place) as pool:
            return pool.submit(_check, task).result()
    except BrokenProcessPool:
        message = "Reading this PDF takes more time or memory than any report needs."
        return Proof(Standing.UNREADABLE, "", differences=(Difference("too-much", message),))


def _pool(workers: int, place: str) -> ProcessPoolExecutor:
    # Started anew, not forked: a fork copies the locks that other threads hold.
    start = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(workers, start, initializer=_set_up, initargs=(place,))


def _set_up(place: str) -> None:
    """Give this process its place for temporary files, and no more memory than a report needs."""
    tempfile.tempdir = place
    if sys.platform != "win32":
        _limit(resource.RLIMIT_AS, _MEMORY)
        _limit(resource.RLIMIT_CORE, 0)


def _limit_time() -> None:
    """Give this process so many seconds more; the system ends it when they are used up."""
    if sys.platform != "win32":
        used = resource.getrusage(resource.RUSAGE_SELF)
        _limit(resource.RLIMIT_CPU, int(used.ru_utime + used.ru_stime) + _SECONDS)


def _limit(kind: int, most: int) -> None:
    """Hold this process to a limit; where the system refuses it, reports are read without."""
    if sys.platform != "win32":
        with contextlib.suppress(OSError, ValueError):
            _, hard = resource.getrlimit(kind)
            soft = most if hard == resource.RLIM_INFINITY else min(most, hard)
            resource.setrlimit(kind, (soft, hard))


@cache
def _installed() -> tuple[Registry, World]:
    return Registry.installed(), World.real()


def _check(task: Task) -> Proof:
    path, theme, trusted = Path(task[0]), task[1], task[2]
    _limit_time()
    try:
        if not path.is_file():
            raise OSError
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except OSError:
        message = "The file cannot be read."
        return Proof(Standing.UNREADABLE, "", differences=(Difference("not-read", message),))
    registry, world = _installed()
    try:
        return check(data, registry, world, theme=theme, trusted=trusted)
    except MemoryError:
        os._exit(1)  # told as any other file that takes too much
