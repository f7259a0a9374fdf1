"""Many PDFs, each read in a worker that may not take more than a report needs.

A worker that a hostile file kills takes nothing with it but that file, which is reported.
"""

import os
from collections import deque
from collections.abc import Iterable, Iterator
from pathlib import Path

from trimscribe.cell import SINGLE, Crew, Stop
from trimscribe.model.proof import Difference, Proof, Standing
from trimscribe.resources.file_access import pdf_bytes
from trimscribe.resources.worlds import world_of
from trimscribe.verification.codes import CODES

_LIMITS = SINGLE  # a report takes less than one second, and 300 MB
_WORK = "trimscribe.verification.check"

# Path, what it holds, theme, trusted certificates.
VerifyTask = tuple[str, bytes, str, tuple[bytes, ...]]


def check_all(
    paths: Iterable[Path], theme: str = "", workers: int = 0, trusted: tuple[bytes, ...] = ()
) -> Iterator[tuple[Path, Proof]]:
    """Yield each path with its proof as it comes; `workers` 0 takes as many as there are cores."""
    waiting = deque(paths)
    size = workers or os.cpu_count() or 1
    crew: Crew[VerifyTask, Proof] = Crew(
        size,
        _LIMITS,
        f"{_WORK}:proved",
        _stopped,
        f"{_WORK}:get_ready",
        reads=world_of([], theme=theme),
    )
    try:
        while waiting or crew.busy:
            while waiting and crew.free:
                path = waiting.popleft()
                data = pdf_bytes(path)
                if data is None:
                    yield path, _unreadable("not-read")
                else:
                    crew.give((str(path), data, theme, trusted))
            if crew.busy:
                for task, proof in crew.take():
                    yield Path(task[0]), proof
    finally:
        crew.stop()


def _stopped(_: VerifyTask, __: Stop) -> Proof:
    return _unreadable("too-much")


def _unreadable(code: str) -> Proof:
    return Proof(Standing.UNREADABLE, "", differences=(Difference(code, CODES[code]),))
