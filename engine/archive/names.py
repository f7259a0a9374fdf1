"""A report's file name: the service number and the wing, safe on every system."""

import hashlib
import re
import unicodedata
from pathlib import Path
from typing import TYPE_CHECKING

from trimscribe.archive.faults import refusal
from trimscribe.letters import plain_letters

if TYPE_CHECKING:
    from trimscribe.model.job import Job

ENDING = ".pdf"
_SUFFIX = re.compile(r"[A-Za-z0-9]+(\.[A-Za-z0-9]+)*")
# Room for an ending and a temporary name within the 143 bytes that encrypted folders allow.
_LONGEST = 100  # bytes
# Windows takes these for devices, whatever ending follows.
_DEVICES = {"con", "prn", "aux", "nul"} | {f"{d}{n}" for d in ("com", "lpt") for n in range(10)}


def file_name(job: "Job", suffix: str) -> str:
    """Return such as `qh-2026-041-medlar-m.pdf`; never empty, at most 100 bytes and the suffix.

    Lower case, so that two names never differ by case alone. Accents are dropped; letters with no
    ASCII form stay as they are, so that numbers in any script remain apart. A name that had to be
    cut ends in eight digits of its hash. Names may still meet: `put` never replaces a report.
    """
    copy = "redacted" if job.redacted else ""
    return plain_name(f"{job.service.number} {job.wing.model} {job.wing.size} {copy}") + suffix


def shelf_name(done: str, serial_number: str, service: str) -> str:
    """Where a report stands on a shelf: `2026/md-00731/qh-2026-041.pdf`, year, wing, service."""
    return f"{plain_name(done[:4])}/{plain_name(serial_number)}/{plain_name(service)}{ENDING}"


def bare(name: str) -> str:
    """A name that a worker has given, which is one of `file_name`; raises ArchiveError."""
    stem, dot, suffix = name.partition(".")
    if not (stem == plain_name(stem) and dot and _SUFFIX.fullmatch(suffix)):
        raise refusal("bad-name", Path(name))
    return name


def plain_name(words: str) -> str:
    """One name for a file or folder, as `file_name` describes it, without an ending."""
    name = _slug(words)
    if len(name.encode()) > _LONGEST:
        digest = hashlib.sha256(name.encode()).hexdigest()[:8]
        kept = name.encode()[: _LONGEST - 9].decode(errors="ignore").rstrip("-")
        name = f"{kept}-{digest}"
    if not name or name in _DEVICES:
        name = f"report-{name}".rstrip("-")
    return name


def _slug(words: str) -> str:
    """Letters and digits in lower case, with one hyphen for all that is between them."""
    plain = unicodedata.normalize("NFC", plain_letters(words))
    kept = (c if unicodedata.category(c)[0] in "LMN" else " " for c in plain)
    return "-".join("".join(kept).split())
