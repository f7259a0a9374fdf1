"""Jobs, line sets and maps on disk: whole or not at all, and never over what changed meanwhile."""

import codecs
import contextlib
import os
import stat
from pathlib import Path

from trimscribe.archive import put
from trimscribe.errors import ArchiveError, InputError, Mark
from trimscribe.exports.files import open_file
from trimscribe.model.report import Report
from trimscribe.resources.file_access import real_path

_WRITABLE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH
_MEDIA = "application/yaml"  # RFC 9512


def write_new(path: Path, text: str, *, force: bool = False) -> None:
    """Write a file that is not there yet, or with `force` replace it; raises ArchiveError."""
    data = text.encode()
    if os.path.isfile(path) and not force and path.read_bytes() != data:
        raise ArchiveError.of(
            "file-exists",
            "A different file is there already.",
            Mark(path.as_posix()),
            "Choose another name, or replace it with --force.",
        )
    put(Report(data=data, suffix=path.suffix, media_type=_MEDIA, pages=0), path, force=force)


def write_over(path: Path, old: str, new: str) -> None:
    """Replace the text of a file by another, if it still is what was read.

    Its rights stay, and its owner as far as the system lets us. A link stays one: the file that it
    leads to is written. A byte order mark, which is no part of the text, stays in front. InputError
    when the file was changed, ArchiveError when it is protected or the disk says no.
    """
    real = real_path(path)
    found = open_file(path)
    mark = codecs.BOM_UTF8 if found.startswith(codecs.BOM_UTF8) else b""
    if found != mark + old.encode():
        raise InputError.of(
            "file-changed",
            "This file was changed while it was being worked on.",
            Mark(path.as_posix()),
            "Run the import again.",
        )
    was = real.stat()
    # A new file takes its place, which asks for rights to its folder alone: so they are looked at.
    if not was.st_mode & _WRITABLE or not os.access(real, os.W_OK):
        raise ArchiveError.of(
            "no-permission",
            "This file may not be written: it is protected.",
            Mark(path.as_posix()),
            "Take the protection off, or work on a copy.",
        )
    put(
        Report(data=mark + new.encode(), suffix=real.suffix, media_type=_MEDIA, pages=0),
        real,
        force=True,
    )
    with contextlib.suppress(OSError):
        if hasattr(os, "chown"):
            os.chown(real, was.st_uid, was.st_gid)
    with contextlib.suppress(OSError):
        os.chmod(real, stat.S_IMODE(was.st_mode))  # last: a new owner may take rights away
