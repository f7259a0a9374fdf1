"""The door itself: from a name that somebody wrote to the bytes of a file, or why not.

A name is relative, with / between folders. It leads below the folder that names it; a job may also
lead up (`../lines/medlar-m.yaml`) to its data, because workshops keep line sets in a folder that
many jobs share, but never out of the root: the folder that the workshop's jobs lie in. No part of
the way may be a link or hidden: what is read is what the name says. What may not be read is refused
before it is opened, so that neither a device nor a secret can do anything.
"""

import os
import re
import stat
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from trimscribe.errors import Fault, Mark, suggest
from trimscribe.model.report import LARGEST_PDF

_MOST_NEAR = 500  # files of a folder that a name which is not there is compared with
_SIZE = 2  # letters of a wing's size
_WRITTEN_BADLY = re.compile(r"/|[A-Za-z][\w+.-]*:|.*\\")


@dataclass(frozen=True)
class Kind:
    """What may be at a place: a name for people, endings (none: any), size in bytes."""

    belongs: str
    suffixes: tuple[str, ...]
    most: int
    above: bool = False


_YAML = (".yaml", ".yml", ".json")
# What a person types is what is meant, whatever its ending.
_TYPED = Kind("a data file", (), 2_000_000, above=True)
DATA = Kind("a YAML or JSON file", _YAML, 2_000_000, above=True)
EXPORT = Kind("an export", (), 2_000_000, above=True)  # endings are those of the importers
PICTURE = Kind("a picture (.svg or .png)", (".svg", ".png"), 2_000_000)
FONT = Kind("a font (.otf or .ttf)", (".otf", ".ttf"), 8_000_000)
TEMPLATE = Kind("a template (.typ.j2 or .html.j2)", (".typ.j2", ".html.j2"), 200_000)
THEME = Kind("a theme file", (".yaml",), 200_000)


def fetch(
    folder: Path, name: str, kind: Kind, mark: Mark, root: Path | None = None
) -> bytes | Fault:
    """The bytes of the file `name` as seen from `folder`; `mark` is where somebody named it.

    A kind that may lie above its folder lies below `root`, else below that folder.
    """
    if _WRITTEN_BADLY.match(name):
        return Fault(
            "file-not-relative",
            f"“{name}” is not a path relative to the file that names it.",
            mark,
            "Name the file from that file's folder, with / between folders.",
        )
    here = real_path(folder)
    top = real_path(root) if root and kind.above else here
    path = Path(os.path.normpath(here / name))
    if not path.is_relative_to(top):
        return _outside(name, kind, mark)
    way = PurePosixPath(os.path.relpath(path, here).replace(os.sep, "/")).parts
    if any(part.startswith(".") and part != ".." for part in way):
        message = f"“{name}” is hidden: a part of it begins with a dot."
        return Fault("file-hidden", message, mark, "Copy the file to where people see it.")
    if kind.suffixes and not name.lower().endswith(kind.suffixes):
        return Fault("file-wrong-type", f"“{name}” is not {kind.belongs}.", mark)
    try:
        if path.is_symlink() or (path.exists() and real_path(path) != path):
            return Fault(
                "file-is-a-link",
                f"“{name}” is a link or leads over one.",
                mark,
                "Copy the file to where it is named.",
            )
    except (OSError, ValueError):
        return _unreadable(name, mark)
    shown = (PurePosixPath(mark.file).parent / name).as_posix()
    whose = "the job's folder" if kind.above else "the folder of the file that names them"
    return _read_at(path, name, kind, mark, Mark(shown), f"Files are named as seen from {whose}.")


def font_folder(folder: Path, name: str, mark: Mark) -> Path | Fault:
    """The folder of fonts `name` as seen from `folder`, each font of it let through the door."""
    path = Path(os.path.normpath(real_path(folder) / name))
    if _WRITTEN_BADLY.match(name) or not path.is_relative_to(real_path(folder)):
        return Fault(
            "file-outside",
            f"“{name}” is not a folder below the one that it is named in.",
            mark,
            "Copy the fonts into a folder beside the file that names it.",
        )
    if not os.path.isdir(path):
        return Fault("file-not-found", f"There is no folder “{name}”.", mark)
    # Typst looks below the folder too, and through links.
    if link := next((found for found in sorted(path.rglob("*")) if found.is_symlink()), None):
        message = f"“{name}/{link.relative_to(path).as_posix()}” is a link."
        return Fault("file-is-a-link", message, mark, "Copy the file to where it is named.")
    for font in sorted(path.iterdir()):
        if font.suffix.lower() in FONT.suffixes:
            data = fetch(folder, f"{name}/{font.name}", FONT, mark)
            if isinstance(data, Fault):
                return data
    return path


def read_typed(path: Path) -> bytes | Fault:
    """The bytes of a file that a person has named beside or before all others, or why not."""
    here = Mark(path.as_posix())
    return _read_at(path, here.file, _TYPED, here, here, "Check the name.")


def _read_at(
    path: Path, name: str, kind: Kind, mark: Mark, inside: Mark, where: str
) -> bytes | Fault:
    """The bytes of the file at `path`, which a person calls `name`.

    Faults of the name are at `mark`, those of the file `inside`; `where` helps to find it.
    """
    try:
        if not path.exists():
            hint = _near(path, name, kind) or where
            return Fault("file-not-found", f"There is no file “{name}”.", mark, hint)
        data = plain_bytes(path, kind.most + 1)
        if data is None:
            hint = "It is a folder: name a file in it." if path.is_dir() else "Check the name."
            return Fault("not-a-file", f"“{name}” is not a file.", mark, hint)
    except (OSError, ValueError):
        return _unreadable(name, mark)
    if len(data) > kind.most:
        message = f"“{name}” is larger than {kind.most:,} bytes, the most for {kind.belongs}."
        return Fault("file-too-large", message, inside)
    return data


def _near(path: Path, name: str, kind: Kind) -> str:
    """A file in the same folder that is called much like the one that is not there, if any."""
    endings = kind.suffixes or _YAML
    others: list[str] = []
    with suppress(OSError):
        others = [
            other
            for other in sorted(os.listdir(path.parent))
            if not other.startswith(".")
            and other.lower().endswith(endings)
            and not _another_one(other, path.name)
        ]
    said = suggest(path.name, others, listed=False) if len(others) <= _MOST_NEAR else ""
    folder = name[: len(name) - len(path.name)] if name.endswith(path.name) else ""
    return said.replace("`", f"`{folder}", 1)


def _another_one(name: str, asked: str) -> bool:
    """Whether names differ in a number or a size alone, such as `wing-s` and `wing-m`: no slip."""
    words, others = (re.findall(r"\d+|[^\W\d_]+", one.lower()) for one in (name, asked))
    pairs = [pair for pair in zip(words, others, strict=False) if pair[0] != pair[1]]
    short = any(word.isdigit() or len(word) <= _SIZE for pair in pairs for word in pair)
    return len(words) == len(others) and short


def plain_bytes(path: Path, most: int) -> bytes | None:
    """At most this many bytes of a plain file; None for anything else, which is never opened.

    No more is read than the file says it has: those of the kernel say nothing, and could wait for
    ever. Raises OSError.
    """
    if not stat.S_ISREG(path.stat().st_mode):
        return None
    # Should another thing take its place in this moment, opening it waits for nobody.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as stream:
        found = os.fstat(stream.fileno())
        if not stat.S_ISREG(found.st_mode):
            return None
        return stream.read(min(found.st_size, most))


def pdf_bytes(path: Path) -> bytes | None:
    """The bytes of what may be a report, one more than the largest has; None where it cannot be."""
    try:
        return plain_bytes(path, LARGEST_PDF + 1)
    except (OSError, ValueError):
        return None


def outside(name: str, mark: Mark) -> Fault:
    """What is said of a name in a job that leads out of the root."""
    message = f"“{name}” leads out of the folder that jobs may read."
    hint = (
        "That is the folder of the nearest shop.yaml above the job, else the job's own. "
        "Copy the file there, or name a wider one with --root."
    )
    return Fault("file-outside", message, mark, hint)


def _outside(name: str, kind: Kind, mark: Mark) -> Fault:
    if kind.above:
        return outside(name, mark)
    message = f"“{name}” leads out of the folder that it is named in."
    return Fault("file-outside", message, mark, "Copy the file into that folder.")


def _unreadable(name: str, mark: Mark) -> Fault:
    return Fault("file-unreadable", f"“{name}” cannot be read.", mark, "Check its permissions.")


def real_path(path: Path) -> Path:
    """A path without links, as far as it can be followed.

    Links that lead in a ring stay as they are: whoever opens them is told. `Path.resolve` raises
    for them before Python 3.13.
    """
    return Path(os.path.realpath(path))
