"""The door itself: from a name that somebody wrote to the bytes of a file, or why not.

A name is relative, with / between folders. It leads below the folder that names it; a job may also
lead up (`../lines/medlar-m.yaml`) to its data, because workshops keep line sets in a folder that
many jobs share. No part of the way may be a link: what is read is what the name says.
"""

import os
import re
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from trimscribe.errors import Fault, Mark

__all__ = [
    "DATA",
    "FONT",
    "PICTURE",
    "TEMPLATE",
    "THEME",
    "Kind",
    "fetch",
    "font_folder",
    "read_at",
]


@dataclass(frozen=True)
class Kind:
    """What may stand at a place: a name for people, endings (none: any), size in bytes."""

    belongs: str
    suffixes: tuple[str, ...]
    most: int
    above: bool = False


DATA = Kind("a data file", (), 2_000_000, above=True)
PICTURE = Kind("a picture (.svg or .png)", (".svg", ".png"), 2_000_000)
FONT = Kind("a font (.otf or .ttf)", (".otf", ".ttf"), 8_000_000)
TEMPLATE = Kind("a template (.typ.j2 or .html.j2)", (".typ.j2", ".html.j2"), 200_000)
THEME = Kind("a theme file", (".yaml",), 200_000)

_WRITTEN_BADLY = re.compile(r"/|[A-Za-z][\w+.-]*:|.*\\")


def fetch(folder: Path, name: str, kind: Kind, mark: Mark) -> bytes | Fault:
    """The bytes of the file `name` as seen from `folder`; `mark` is where somebody named it."""
    if _WRITTEN_BADLY.match(name):
        return Fault(
            "file-not-relative",
            f"“{name}” is not a path relative to the file that names it.",
            mark,
            "Name the file from that file's folder, with / between folders.",
        )
    root = folder.resolve()
    path = Path(os.path.normpath(root / name))
    if not kind.above and not path.is_relative_to(root):
        return Fault(
            "file-outside",
            f"“{name}” leads out of the folder that it is named in.",
            mark,
            "Copy the file into that folder.",
        )
    if kind.suffixes and not name.lower().endswith(kind.suffixes):
        return Fault("file-wrong-type", f"“{name}” is not {kind.belongs}.", mark)
    try:
        if (path.exists() or path.is_symlink()) and path.resolve() != path:
            return Fault(
                "file-is-a-link",
                f"“{name}” is a link or leads over one.",
                mark,
                "Copy the file to where it is named.",
            )
    except (OSError, ValueError, RuntimeError):
        return _unreadable(name, mark)
    shown = (PurePosixPath(mark.file).parent / name).as_posix()
    whose = "the job's folder" if kind.above else "the folder of the file that names them"
    return read_at(path, name, kind, mark, Mark(shown), f"Files are named as seen from {whose}.")


def font_folder(folder: Path, name: str, mark: Mark) -> Path | Fault:
    """The folder of fonts `name` as seen from `folder`, each font of it let through the door."""
    path = Path(os.path.normpath(folder.resolve() / name))
    if _WRITTEN_BADLY.match(name) or not path.is_relative_to(folder.resolve()):
        return Fault(
            "file-outside",
            f"“{name}” is not a folder below the one that it is named in.",
            mark,
            "Copy the fonts into a folder beside the file that names it.",
        )
    if not path.is_dir():
        return Fault("file-not-found", f"There is no folder “{name}”.", mark)
    for font in sorted(path.iterdir()):
        if font.suffix.lower() in FONT.suffixes:
            data = fetch(folder, f"{name}/{font.name}", FONT, mark)
            if isinstance(data, Fault):
                return data
    return path


def read_at(
    path: Path, name: str, kind: Kind, mark: Mark, inside: Mark, where: str
) -> bytes | Fault:
    """The bytes of the file at `path`, which a person calls `name`.

    Faults of the name stand at `mark`, those of the file `inside`; `where` helps to find it.
    """
    try:
        if not path.exists():
            return Fault("file-not-found", f"There is no file “{name}”.", mark, where)
        if not path.is_file():
            return Fault("not-a-file", f"“{name}” is not a file.", mark, "Check the name.")
        with path.open("rb") as stream:
            data = stream.read(kind.most + 1)
    except (OSError, ValueError):
        return _unreadable(name, mark)
    if len(data) > kind.most:
        message = f"“{name}” is larger than {kind.most:,} bytes, the most for {kind.belongs}."
        return Fault("file-too-large", message, inside)
    return data


def _unreadable(name: str, mark: Mark) -> Fault:
    return Fault("file-unreadable", f"“{name}” cannot be read.", mark, "Check its permissions.")
