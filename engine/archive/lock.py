"""A lock that dies with its process: the system holds it, so a crash cannot leave it behind."""

import contextlib
import errno
import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

from trimscribe.archive.faults import refusal

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

__all__ = ["locked"]


@contextlib.contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold the lock file at `path`, which is made if need be and stays; waits for others.

    Raises ArchiveError where the disk knows no locks, OSError for what else it says.
    """
    handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o666)
    try:
        try:
            if sys.platform == "win32":
                _until_taken(lambda: msvcrt.locking(handle, msvcrt.LK_LOCK, 1))
            else:
                fcntl.flock(handle, fcntl.LOCK_EX)
        except OSError as error:
            raise refusal("no-lock", path.parent) from error
        yield
    finally:
        os.close(handle)


def _until_taken(take: Callable[[], None]) -> None:
    """Go on trying: Windows gives up after some ten seconds, and calls that a deadlock."""
    while True:
        try:
            return take()
        except OSError as error:
            if error.errno != errno.EDEADLK:
                raise
