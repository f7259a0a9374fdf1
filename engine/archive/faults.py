"""What the disk can say, as faults with stable codes."""

import errno
import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from trimscribe.errors import ArchiveError, Fault, Mark, Severity

CODES: Mapping[str, str] = {
    "already-replaced": "Another report has replaced that one already.",
    "bad-name": "The system does not allow such a name.",
    "disk-failed": "The system gave another reason, which the message repeats.",
    "folder-in-use": "The folder is there already and not empty.",
    "index-failed": "The report stands on the shelf, but its index could not be written.",
    "index-unusable": "The index of the shelf cannot be read or written.",
    "line-set-changed": "Warning: an earlier service judged the wing by another line set.",
    "later-service": "Warning: a later report of this wing, made without this one, is there.",
    "name-too-long": "The path is longer than the system allows.",
    "no-permission": "The folder or file may not be written.",
    "no-lock": "The disk knows no locks, so a shelf on it would not be safe.",
    "not-proven": "The report cannot be proven, or is not what the job inside gives.",
    "shelf-link": "Something on the shelf is a link; a shelf holds its reports itself.",
    "no-shelf": "There is no shelf: no such folder.",
    "no-room": "The disk, a quota or a limit has no room for this file.",
    "not-a-folder": "Something else is where a folder is needed.",
    "not-confirmed": "The report is there, but the disk does not say that it is safe.",
    "not-on-shelf": "The report that is replaced does not stand on the shelf.",
    "read-only": "The disk is mounted for reading only.",
    "redacted-report": "A report without personal data is for sharing, not for the shelf.",
    "replaced-differs": "The report that is replaced is another one than the shelf has.",
    "replaced-other-wing": "The report that is replaced is of a wing with another serial number.",
    "report-changed": "The report is not the one that was put on the shelf.",
    "report-exists": "A different report is there.",
    "report-in-the-way": "A folder, a link or a device is where the report belongs.",
    "report-lost": "The report was put on the shelf and is not there any more.",
    "service-exists": "The shelf has another report with this service number.",
    "service-twice": "Another report on the shelf has the same service number.",
    "stray-file": "Warning: a file on the shelf is not a report.",
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
    "already-replaced": "Replace the newest report of the chain.",
    "index-failed": "Nothing is lost: it is brought in step when the shelf is next used.",
    "later-service": "To have it look back on this one, make it again, with `replaces`.",
    "no-lock": "Put the shelf on another disk.",
    "not-confirmed": "Look after the disk, then put the report there again.",
    "not-on-shelf": "Put that report on the shelf first.",
    "redacted-report": "Put the whole report there.",
    "replaced-differs": "Write the SHA-256 that `trimscribe shelf` shows for it.",
    "replaced-other-wing": "Check the number; if the serial number was wrong, name it in `change`.",
    "report-changed": "Bring it back from a copy.",
    "report-lost": "Bring it back from a copy.",
    "service-exists": "Give this one a number of its own; to correct the other, use `replaces`.",
    "service-twice": "It was copied there by hand: take away the one that does not belong there.",
    "stray-file": "It stays where it is, and is not in the index.",
    "bad-name": "Choose another folder.",
    "folder-in-use": "Name a new one.",
    "index-unusable": "Make room and look at permissions; the index may be deleted at any time.",
    "name-too-long": "Choose a folder with a shorter path.",
    "no-permission": "Choose a folder of your own, and close the report in other programs.",
    "not-proven": "`trimscribe verify` says why; --unproven keeps those of other versions.",
    "shelf-link": "Put the file or folder itself there; whoever gave you this shelf may mean harm.",
    "no-shelf": "One is made when the first report is put there.",
    "no-room": "Make room, or choose a folder on another disk.",
    "not-a-folder": "Choose another folder.",
    "read-only": "Choose a folder on another disk.",
    "report-exists": "Choose another folder, or replace it with --force.",
    "report-in-the-way": "Move it away, or choose another folder.",
}


def refusal(code: str, path: Path) -> ArchiveError:
    """The error for one of `CODES` at a path, which is shown as it was given."""
    return ArchiveError(fault_at(code, path))


def fault_at(code: str, path: Path) -> Fault:
    """The fault itself; a code whose meaning starts with "Warning:" is one."""
    words, severity = CODES[code], Severity.ERROR
    if words.startswith("Warning: "):
        words, severity = words.removeprefix("Warning: ").capitalize(), Severity.WARNING
    return Fault(code, words, Mark(path.as_posix()), _HINTS.get(code, ""), severity)


def made_twice(error: ArchiveError, first: str) -> ArchiveError:
    """The same error where another job of the run, `first`, has taken the name."""
    return hinted(
        error, f"“{first}” of this run has the same service number and wing; tell them apart."
    )


def hinted(error: ArchiveError, hint: str) -> ArchiveError:
    """The same error with what helps here."""
    return ArchiveError([replace(fault, hint=hint) for fault in error.faults])


def disk_error(error: OSError | ValueError, path: Path) -> ArchiveError:
    """The error for what the system raised; its own text may name host paths and is left out."""
    if isinstance(error, ValueError):  # a NUL, or a letter that the disk's encoding lacks
        return refusal("bad-name", path)
    code = _BY_NUMBER.get(error.errno or 0, "disk-failed")
    if code != "disk-failed":
        return refusal(code, path)
    reason = os.strerror(error.errno) if error.errno else type(error).__name__
    message = f"This file cannot be written: {reason}."
    return ArchiveError.of(code, message, Mark(path.as_posix()))
