"""A lock that dies with its process: the system holds it, so a crash cannot leave it behind."""

import contextlib
import errno
import os
from collections.abc import Iterator
from pathlib import Path

from filelock import FileLock, Timeout

from trimscribe.archive.faults import refusal

# What systems answer for a disk that knows no locks.
_NO_LOCKS = {errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOLCK, errno.EINVAL}
_AGAIN_S = 0.02  # how often it is tried while another holds it
_LOOK_S = 1.0  # how often it is asked whether there is a lock to wait for


@contextlib.contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold the lock file at `path`, which is made if need be and stays; waits for others.

    Raises ArchiveError where the disk knows no locks, OSError for what else it says.
    """
    # A marker in place of the system's lock would outlive a process that was killed.
    lock = FileLock(path, poll_interval=_AGAIN_S, fallback_to_soft=False, preserve_lock_file=True)
    try:
        _acquire(lock, path)
    except NotImplementedError as error:
        raise refusal("no-lock", path.parent) from error
    except OSError as error:
        if error.errno in _NO_LOCKS and error.filename is None:  # not said of the file's name
            raise refusal("no-lock", path.parent) from error
        raise
    try:
        yield
    finally:
        lock.release()


def _acquire(lock: FileLock, path: Path) -> None:
    """Wait for others, but not for a file that cannot be: its folder may go meanwhile."""
    while True:
        try:
            lock.acquire(timeout=_LOOK_S)
        except Timeout:
            if not path.exists():
                raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), path) from None
        else:
            return
