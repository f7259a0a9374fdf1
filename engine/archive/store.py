"""Put a report on disk: whole or not at all, and never silently over another.

The bytes go to a temporary file beside the target, are forced to the disk, and only then get the
target's name in one step. A killed run can leave such a temporary file, never a half report. Its
name is drawn at random, so it is in nobody's way, and a run on a later day removes it.
"""

import contextlib
import errno
import hashlib
import os
import secrets
import stat
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from trimscribe.archive.faults import disk_error, made_twice, refusal
from trimscribe.errors import ArchiveError
from trimscribe.model.report import Record, Report

if sys.platform != "win32":
    import fcntl

UNFINISHED = ".part"
_STALE_S = 24 * 3600  # clocks of network disks may differ by a time zone, never by a day
# What systems and disks answer that cannot sync a folder.
_NO_SYNC = {errno.EINVAL, errno.EACCES, errno.EPERM, errno.ENOSYS, errno.ENOTSUP, errno.EBADF}
# What systems and disks without hard links answer (FAT, some network and phone storage).
_NO_LINKS = {errno.EPERM, errno.EACCES, errno.ENOSYS, errno.EOPNOTSUPP, errno.ENOTSUP, errno.EMLINK}


def put(report: Report, path: Path, *, force: bool = False) -> Record:
    """Write one report to `path`, making its folder if need be.

    A file with the same bytes is left alone (`unchanged`). A different one is replaced only with
    `force`. A link is never followed: with `force` it is replaced itself. Raises ArchiveError
    (codes in `trimscribe.archive.faults`) and then leaves nothing behind, unless it says so.
    """
    return _put_all([(report, path)], force=force)[0]


def _put_all(files: Sequence[tuple[Report, Path]], *, force: bool = False) -> list[Record]:
    """Write several files as `put` does, all of them or none.

    All bytes are safe on the disk before the first file gets its name, so a disk that is full
    leaves none. Where a name is refused then, those that were given before are taken back; a
    file that `force` has replaced stays replaced.
    """
    with contextlib.ExitStack() as beside:
        written = [beside.enter_context(_beside(report, path, force)) for report, path in files]
        done: list[Record] = []
        new: list[Path] = []
        try:
            for (report, path), temporary in zip(files, written, strict=True):
                was_there = os.path.lexists(path)
                done.append(_named(report, path, temporary, force))
                new += [] if was_there else [path]
        except ArchiveError:
            for path in new:
                with contextlib.suppress(OSError):
                    path.unlink()
            raise
    return done


def put_once(
    job: str, files: Sequence[tuple[Report, Path]], made: dict[Path, str], *, force: bool = False
) -> list[Record]:
    """Write the files of one job of a run as `put` does, all of them or none.

    Not even `force` lets a job replace what another of the run has made, as `made` says by path.
    """
    firsts = [made.setdefault(path, job) for _, path in files]
    other = next((first for first in firsts if first != job), "")
    try:
        return _put_all(files, force=force and not other)
    except ArchiveError as error:
        raise (made_twice(error, other) if other else error) from None


@contextlib.contextmanager
def _beside(report: Report, path: Path, force: bool) -> Iterator[Path | None]:
    """The report's bytes beside its path; None where they are there already."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise disk_error(error, path.parent) from error
    with contextlib.ExitStack() as kept:
        try:
            temporary = None
            there = _is_there(path)
            if not (there and _holds(path, report.data)):
                if there and not force:
                    raise _refused(path)
                _remove_stale(path)
                temporary = kept.enter_context(_written_beside(path, report.data))
        except (OSError, ValueError) as error:
            raise disk_error(error, path) from error
        yield temporary


def _named(report: Report, path: Path, temporary: Path | None, force: bool) -> Record:
    """Give a file that was written its name."""
    done = Record(path, hashlib.sha256(report.data).hexdigest(), unchanged=False)
    same = Record(done.path, done.sha256, unchanged=True)
    try:
        if temporary is None:
            sync_folder(path.parent)  # a run before may have failed at just this
            return same
        try:
            if force:
                os.replace(temporary, path)
            else:
                _publish(temporary, path)
        except FileExistsError as error:  # another run was quicker
            if _holds(path, report.data):
                return same
            raise _refused(path) from error
        sync_folder(path.parent)
    except (OSError, ValueError) as error:
        raise disk_error(error, path) from error
    return done


def _is_there(path: Path) -> bool:
    try:
        path.lstat()
    except FileNotFoundError:
        return False
    return True


def _holds(path: Path, data: bytes) -> bool:
    """Whether a plain file with these bytes is there; a link is not a plain file."""
    found = path.lstat()
    return stat.S_ISREG(found.st_mode) and found.st_size == len(data) and path.read_bytes() == data


def _refused(path: Path) -> ArchiveError:
    plain = stat.S_ISREG(path.lstat().st_mode)
    return refusal("report-exists" if plain else "report-in-the-way", path)


@contextlib.contextmanager
def _written_beside(path: Path, data: bytes) -> Iterator[Path]:
    """A temporary file with these bytes safe on the disk; gone again at the end."""
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(8)}{UNFINISHED}")
    try:
        with temporary.open("xb") as stream:  # never an existing file, never over a link
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        yield temporary
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink()


def _publish(temporary: Path, path: Path) -> None:
    """Give the file its name; FileExistsError when another has it already."""
    if sys.platform == "win32":
        os.rename(temporary, path)  # never replaces there
        return
    try:
        os.link(temporary, path)
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        # A rename would replace. The lock keeps other runs out, and dies with the process.
        with _locked(path.parent):
            if _is_there(path):
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST)) from error
            os.rename(temporary, path)


if sys.platform != "win32":

    @contextlib.contextmanager
    def _locked(folder: Path) -> Iterator[None]:
        """Hold a folder for this process alone, where the disk knows locks."""
        handle = os.open(folder, os.O_RDONLY)
        try:
            with contextlib.suppress(OSError):
                fcntl.flock(handle, fcntl.LOCK_EX)
            yield
        finally:
            os.close(handle)


def sync_folder(folder: Path) -> None:
    """Force the new name to the disk, where the system can; the bytes are there already."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _NO_SYNC:
            raise refusal("not-confirmed", folder) from error
    finally:
        os.close(handle)


def _remove_stale(path: Path) -> None:
    """Clear away what killed runs left of this report."""
    oldest = time.time() - _STALE_S
    with contextlib.suppress(OSError):
        for entry in os.scandir(path.parent):
            if entry.name.startswith(f".{path.name}.") and entry.name.endswith(UNFINISHED):
                with contextlib.suppress(OSError):
                    if entry.stat(follow_symlinks=False).st_mtime < oldest:
                        os.unlink(entry.path)


def put_new(files: Mapping[str, str], folder: Path) -> tuple[Path, ...]:
    """Write files, named from `folder`, and return their paths.

    Raises ArchiveError when the folder is there and not empty, or when the disk says no; nothing is
    left there then.
    """
    made: list[Path] = []
    try:
        if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
            raise refusal("not-a-folder", folder)
        if folder.exists() and any(folder.iterdir()):
            raise refusal("folder-in-use", folder)
        for name, text in files.items():
            path = folder / name
            for above in reversed((path.parent, *path.parent.parents)):
                if not above.exists():
                    above.mkdir()
                    made.append(above)
            with path.open("x", encoding="utf-8", newline="\n") as stream:
                made.append(path)
                stream.write(text)
    except (OSError, ValueError) as error:
        _take_away(made)
        raise disk_error(error, folder) from error
    return tuple(folder / name for name in files)


def _take_away(made: list[Path]) -> None:
    """Leave nothing half made, as far as the disk lets us."""
    for path in reversed(made):
        with contextlib.suppress(OSError):
            path.rmdir() if path.is_dir() else path.unlink()
