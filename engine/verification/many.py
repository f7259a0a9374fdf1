"""Many PDFs, each read in a worker that may not take more than a report needs.

A worker that a hostile file kills takes nothing with it but that file, which is told.
"""

import os
from collections import deque
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

from trimscribe.cell import Crew, Limits, Stop
from trimscribe.model.proof import Difference, Proof, Standing
from trimscribe.readback import LARGEST
from trimscribe.registry import Registry
from trimscribe.resources import plain_bytes
from trimscribe.verification.check import check
from trimscribe.verification.codes import CODES
from trimscribe.world import World

__all__ = ["check_all"]

_LIMITS = Limits(seconds=9.0, memory_mb=700.0)  # a report takes less than one second, and 300 MB

VerifyTask = tuple[str, str, tuple[bytes, ...]]  # path, theme, trusted certificates


def check_all(
    paths: Iterable[Path], theme: str = "", workers: int = 0, trusted: tuple[bytes, ...] = ()
) -> Iterator[tuple[Path, Proof]]:
    """Yield each path with its proof as it comes; `workers` 0 takes as many as there are cores."""
    waiting = deque((str(path), theme, trusted) for path in paths)
    crew = Crew(workers or os.cpu_count() or 1, _LIMITS, _check, _stopped, _installed)
    try:
        while waiting or crew.busy:
            while waiting and crew.free:
                crew.give(waiting.popleft())
            for task, proof in crew.take():
                yield Path(task[0]), proof
    finally:
        crew.stop()


def _stopped(_: VerifyTask, __: Stop) -> Proof:
    return _unreadable("too-much")


def _unreadable(code: str) -> Proof:
    return Proof(Standing.UNREADABLE, "", differences=(Difference(code, CODES[code]),))


@cache
def _installed() -> tuple[Registry, World]:
    return Registry.installed(), World.real()


def _check(task: VerifyTask) -> Proof:
    path, theme, trusted = Path(task[0]), task[1], task[2]
    try:
        data = plain_bytes(path, LARGEST + 1)
    except (OSError, ValueError):
        data = None
    if data is None:
        return _unreadable("not-read")
    return check(data, *_installed(), theme=theme, trusted=trusted)
