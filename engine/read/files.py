"""Files that a job names: beside the job, or from there by relative path, and never a link.

A name may lead up (`../lines/medlar-m.yaml`), because workshops keep line sets in a folder that
many jobs share. It may not be absolute, and no part of the way from the job may be a link: what is
read is what the name says.
"""

import os
import re
from dataclasses import dataclass, field
from pathlib import Path, PurePath, PurePosixPath

from trimscribe.errors import Fault, Mark
from trimscribe.marked_yaml import LARGEST
from trimscribe.model.job import InputFile

__all__ = ["JobFolder"]

_FROM_WHERE = "Files are named as seen from the job's folder."
_MEDIA = {
    ".csv": "text/csv",
    ".json": "application/json",
    ".yaml": "application/yaml",  # RFC 9512
    ".yml": "application/yaml",
}


@dataclass
class JobFolder:
    """The folder of one job, and the files read from it in order."""

    job: Path
    files: dict[str, InputFile] = field(default_factory=dict)

    @property
    def typed(self) -> str:
        """The job's path as the person typed it."""
        return PurePath(self.job).as_posix()

    def shown(self, name: str) -> str:
        """How a named file is shown: from where the job was typed."""
        return (PurePosixPath(self.typed).parent / name).as_posix()

    def open_job(self) -> bytes | Fault:
        """The bytes of the job, or why not."""
        return self._bytes(self.job, self.job.name, self.typed, Mark(self.typed))

    def open(self, name: str, mark: Mark) -> bytes | Fault:
        """The bytes of a file that the job names at `mark`, or why not."""
        if name in self.files:
            return self.files[name].data
        if name.startswith("/") or "\\" in name or re.match(r"[A-Za-z][\w+.-]*:", name):
            return Fault(
                "file-not-relative",
                f"“{name}” is not a path relative to the job.",
                mark,
                "Name the file from the job's folder, with / between folders.",
            )
        folder = self.job.parent.resolve()
        path = Path(os.path.normpath(folder / name))
        try:
            if path.exists() and path.resolve() != path:
                return Fault(
                    "file-is-a-link",
                    f"“{name}” is a link or leads over one.",
                    mark,
                    "Copy the file to where the job names it.",
                )
        except (OSError, ValueError):
            return _unreadable(name, mark)
        return self._bytes(path, name, name, mark)

    def _bytes(self, path: Path, name: str, typed: str, mark: Mark) -> bytes | Fault:
        where = "Check the name." if path == self.job else _FROM_WHERE
        try:
            if not path.exists():
                return Fault("file-not-found", f"There is no file “{typed}”.", mark, where)
            if not path.is_file():
                return Fault("not-a-file", f"“{typed}” is not a file.", mark, "Check the name.")
            with path.open("rb") as stream:
                data = stream.read(LARGEST + 1)
        except (OSError, ValueError):
            return _unreadable(typed, mark)
        media_type = _MEDIA.get(path.suffix.lower(), "application/octet-stream")
        self.files[name] = InputFile(name, data, media_type)
        return data


def _unreadable(name: str, mark: Mark) -> Fault:
    return Fault("file-unreadable", f"“{name}” cannot be read.", mark, "Check its permissions.")
