"""A theme's folder as data: read whole, below itself, without links, within limits."""

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimscribe.errors import Fault, Mark, ThemeError
from trimscribe.marked_yaml import Place, load
from trimscribe.schemas.faults import check
from trimscribe.schemas.theme import ThemeFileSchema

__all__ = ["ThemeFile", "ThemeFolder", "read_folder"]

_LARGEST = 8_000_000  # bytes of one file
_TEMPLATE = ".typ.j2"


@dataclass(frozen=True)
class ThemeFile:
    """A theme.yaml: what it says and where; `tokens` holds only what this theme sets."""

    name: str
    extends: str
    tokens: Mapping[str, Any]
    sections: tuple[str, ...]
    marks: Mapping[Place, Mark]


@dataclass(frozen=True, eq=False)
class ThemeFolder:
    """One theme as it stands on disk; `shown` is how the person named it.

    Compared by identity: an unchanged theme is the same object each time it is asked for.
    """

    shown: str
    file: ThemeFile
    templates: Mapping[str, str]
    fonts: Path | None


def read_folder(folder: Path, shown: str) -> ThemeFolder:
    """Read a theme; raises ThemeError with all its faults. Read again only when a file changed."""
    if not (folder / "theme.yaml").is_file():
        raise ThemeError(
            Fault("theme-missing", f"There is no theme.yaml in “{shown}”.", Mark(shown))
        )
    return _read(folder, shown, _signature(folder))


def _signature(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """Name, size and time of every file: what tells a changed theme from a known one."""
    found = []
    for path in sorted(folder.rglob("*")):
        if "__pycache__" not in path.parts:
            status = path.lstat()
            found.append((path.relative_to(folder).as_posix(), status.st_size, status.st_mtime_ns))
    return tuple(found)


@functools.lru_cache(maxsize=32)
def _read(folder: Path, shown: str, signature: tuple[tuple[str, int, int], ...]) -> ThemeFolder:
    faults = []
    for name, size, _ in signature:
        place = Mark(f"{shown}/{name}")
        if (folder / name).is_symlink():
            faults.append(
                Fault("theme-link", "A theme may not hold links.", place, "Copy the file here.")
            )
        elif size > _LARGEST:
            message = f"This file has {size} bytes; {_LARGEST} are allowed."
            faults.append(Fault("theme-file-too-large", message, place))
    if faults:
        raise ThemeError(faults)
    written = _theme_file((folder / "theme.yaml").read_bytes(), f"{shown}/theme.yaml")
    templates = {
        path.relative_to(folder / "templates").as_posix(): _text(path, shown)
        for path in sorted((folder / "templates").rglob(f"*{_TEMPLATE}"))
    }
    fonts = folder / "fonts"
    return ThemeFolder(shown, written, templates, fonts if fonts.is_dir() else None)


def _theme_file(data: bytes, shown: str) -> ThemeFile:
    loaded = load(data, shown)
    if loaded.data is None:
        raise ThemeError(loaded.faults)
    values, faults = check(ThemeFileSchema(), loaded)
    if faults := (*loaded.faults, *faults):
        raise ThemeError(faults)
    tokens = {name: value for name, value in (values.get("tokens") or {}).items() if value}
    return ThemeFile(
        name=values["name"],
        extends=values.get("extends") or "",
        tokens=tokens,
        sections=tuple(values.get("sections") or ()),
        marks=loaded.marks,
    )


def _text(path: Path, shown: str) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        fault = Fault(
            "theme-not-utf-8", "This template is not UTF-8 text.", Mark(f"{shown}/{path.name}")
        )
        raise ThemeError(fault) from None
