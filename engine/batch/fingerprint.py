"""What a report depends on, as two hashes: the job with all its files, and the software.

Of Trimscribe and of packages with plugins every file counts: a changed phrase, rule, template, font
or line of code. Other packages count by their version.
"""

import hashlib
import os
import sys
from collections.abc import Mapping
from pathlib import Path

from trimscribe.model.job import Reading
from trimscribe.model.workshop import names_folder
from trimscribe.registry import Registry
from trimscribe.resources.file_access import plain_bytes
from trimscribe.world import World


def inputs_of(reading: Reading, theme: str) -> str:
    """The hash of a job's files, its workshop's pictures and fonts, and a theme that is a folder.

    `theme` is the one that the run asks for; without it the job's own holds.
    """
    workshop = reading.job.workshop
    asked = theme or workshop.theme
    found = {f"file {file.name}": _hash(file.data) for file in reading.files}
    pictures = {"logo": workshop.logo, "signature": workshop.signature}
    found |= {name: _hash(file.data) for name, file in pictures.items() if file}
    if workshop.fonts:
        found |= _files(workshop.fonts)
    return _all({"theme": asked, **found, **_theme_folder(asked)})


def _theme_folder(theme: str) -> Mapping[str, str]:
    """The hash of each file of a theme that is a folder; nothing for one that is installed."""
    return _files(Path(theme)) if names_folder(theme) and os.path.isdir(theme) else {}


def software_digest(registry: Registry, world: World) -> str:
    """The hash of the software: versions and builds of all that may take part."""
    return _all({**world.versions, **registry.builds()})


def digest(path: Path) -> str | None:
    """SHA-256 of a file, or None when there is none to read."""
    try:
        data = plain_bytes(path, sys.maxsize)
    except (OSError, ValueError):
        return None
    return None if data is None else _hash(data)


def _files(folder: Path) -> Mapping[str, str]:
    """The hash of every file below a folder, but for what Python compiles there."""
    paths = (path for path in sorted(folder.rglob("*")) if "__pycache__" not in path.parts)
    return {f"{folder.name}/{path.relative_to(folder)}": digest(path) or "" for path in paths}


def _all(parts: Mapping[str, str]) -> str:
    listed = "".join(f"{name}\0{part}\n" for name, part in sorted(parts.items()))
    return _hash(listed.encode("utf-8", "surrogateescape"))  # a name may be no text


def _hash(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
