"""Finished reports by all that they were made of, on disk, for runs that make the same again.

Two files for each report, the PDF itself and a line of JSON about it. Any number of processes may
use one folder: files get their names whole, in one step, and what does not fit together is not
there. When all together grow beyond a limit, those that were not used for longest go.
"""

import contextlib
import hashlib
import json
import os
import secrets
from pathlib import Path
from typing import TYPE_CHECKING

from trimscribe.model.report import Report
from trimscribe.resources.file_access import plain_bytes

if TYPE_CHECKING:  # whoever puts files alone needs none of what a document holds
    from trimscribe.model.document import Document

_LARGEST = 600_000_000  # bytes; no worker writes more
_LOOK_EVERY = 50  # reports put by this process between two looks at how much there is


class Cache:
    """One folder of finished reports; whatever the disk refuses, the report is rebuilt."""

    def __init__(self, folder: Path, software: str, most_bytes: int = 1_000_000_000) -> None:
        """`software` is a hash of what else a report depends on; with another, nothing is found."""
        self._folder, self._software, self._most = folder, software, most_bytes
        self._put = 0

    def key(self, document: "Document") -> str:
        """A hash of all that a report is made of, the fonts' files included."""
        reported = hashlib.sha256(self._software.encode())

        def add(*parts: bytes) -> None:
            for part in parts:
                reported.update(b"%d:" % len(part) + part)

        add(document.main.encode(), document.title.encode(), document.language.encode())
        add(document.date.isoformat().encode(), *(text.encode() for text in document.required))
        for name, data in sorted(document.files.items()):
            add(b"file", name.encode(), data)
        for item in document.attachments:
            about = (item.name, item.media_type, item.description, item.relationship)
            add(b"attachment", *(text.encode() for text in about), item.data)
        for folder in document.fonts:
            for name, _, _ in folder.files:
                add(b"font", name.encode(), (folder.path / name).read_bytes())
        return reported.hexdigest()

    def get(self, key: str) -> Report | None:
        """A report with this key, if it is there whole."""
        try:
            about = json.loads(self._path(key, ".json").read_text(encoding="utf-8"))
            data = plain_bytes(self._path(key, ".pdf"), _LARGEST) or b""
            if hashlib.sha256(data).hexdigest() != about["sha256"]:
                return None
            for suffix in (".pdf", ".json"):
                os.utime(self._path(key, suffix))  # used just now
            return Report(
                data=data,
                suffix=about["suffix"],
                media_type=about["media_type"],
                pages=about["pages"],
            )
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def put(self, key: str, report: Report) -> None:
        """Keep a report; one with warnings is not kept, so that they are reported each time."""
        if report.warnings:
            return
        about = {
            "sha256": hashlib.sha256(report.data).hexdigest(),
            "suffix": report.suffix,
            "media_type": report.media_type,
            "pages": report.pages,
        }
        with contextlib.suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            self._write(self._path(key, ".pdf"), report.data)
            self._write(self._path(key, ".json"), json.dumps(about).encode())
            if self._put % _LOOK_EVERY == 0:
                self._tidy()
            self._put += 1

    def _path(self, key: str, suffix: str) -> Path:
        return self._folder / f"{key}{suffix}"

    def _write(self, path: Path, data: bytes) -> None:
        # Not forced to the disk: what a power cut tears does not match its hash.
        temporary = path.with_name(f".{path.name}.{secrets.token_hex(8)}.part")
        try:
            temporary.write_bytes(data)
            os.replace(temporary, path)
        finally:
            temporary.unlink(missing_ok=True)

    def _tidy(self) -> None:
        """Remove what was not used for longest until a tenth of the room is free again."""
        found = []
        for entry in os.scandir(self._folder):
            with contextlib.suppress(OSError):  # another process may be tidying
                status = entry.stat()
                found.append((status.st_mtime, status.st_size, entry.path))
        total = sum(size for _, size, _ in found)
        if total <= self._most:
            return
        for _, size, path in sorted(found):
            if total <= self._most * 0.9:
                return
            with contextlib.suppress(OSError):
                os.unlink(path)
            total -= size
