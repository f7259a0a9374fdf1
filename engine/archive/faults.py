"""What the disk can say, as faults with stable codes."""

import errno
import os
from collections.abc import Mapping
from pathlib import Path

from trimscribe.errors import ArchiveError, Fault, Mark

__all__ = ["CODES", "disk_error", "refusal"]

CODES: Mapping[str, str] = {
    "bad-name": "The system does not allow such a name.",
    "disk-failed": "The system gave another reason, which the message repeats.",
    "folder-in-use": "The folder is there already and not empty.",
    "name-too-long": "The path is longer than the system allows.",
    "no-permission": "The folder or file may not be written.",
    "no-room": "The disk, a quota or a limit has no room for the report.",
    "not-a-folder": "Something else stands where a folder is needed.",
    "read-only": "The disk is mounted for reading only.",
    "report-exists": "A different report stands there.",
    "report-in-the-way": "A folder, a link or a device stands where the report belongs.",
}

_BY_NUMBER = {
    errno.EACCES: "no-permission",
    errno.EPERM: "no-permission",
    errno.EROFS: "read-only",
    errno.ENOSPC: "no-room",
    errno.EDQUOT: "no-room",
    errno.EFBIG: "no-room",
    errno.ENOTDIR: "not-a-folder",
    errno.EEXIST: "not-a-folder",
    errno.ELOOP: "not-a-folder",
    errno.ENAMETOOLONG: "name-too-long",
    errno.EINVAL: "bad-name",
    errno.EISDIR: "report-in-the-way",
}
_HINTS = {
    "bad-name": "Choose another folder.",
    "folder-in-use": "Name a new one.",
    "name-too-long": "Choose a folder with a shorter path.",
    "no-permission": "Choose a folder of your own, and close the report in other programs.",
    "no-room": "Make room, or choose a folder on another disk.",
    "not-a-folder": "Choose another folder.",
    "read-only": "Choose a folder on another disk.",
    "report-exists": "Choose another folder, or replace it with --force.",
    "report-in-the-way": "Move it away, or choose another folder.",
}


def refusal(code: str, path: Path) -> ArchiveError:
    """The error for one of `CODES` at a path, which is shown as it was given."""
    return ArchiveError(Fault(code, CODES[code], Mark(path.as_posix()), _HINTS.get(code, "")))


def disk_error(error: OSError | ValueError, path: Path) -> ArchiveError:
    """The error for what the system raised; its own text may name host paths and is left out."""
    if isinstance(error, ValueError):  # a NUL, or a letter that the disk's encoding lacks
        return refusal("bad-name", path)
    code = _BY_NUMBER.get(error.errno or 0, "disk-failed")
    if code != "disk-failed":
        return refusal(code, path)
    reason = os.strerror(error.errno) if error.errno else type(error).__name__
    message = f"The report cannot be written: {reason}."
    return ArchiveError(Fault(code, message, Mark(path.as_posix())))
