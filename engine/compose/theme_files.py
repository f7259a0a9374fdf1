"""A theme's folder as data: read whole, each file through the one door."""

import functools
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimscribe.errors import Fault, Mark, ThemeError
from trimscribe.marked_yaml import ValuePath, load
from trimscribe.resources import FONT, PICTURE, TEMPLATE, THEME, Kind, fetch, picture_fault
from trimscribe.schemas.faults import check
from trimscribe.schemas.theme import ThemeFileSchema
from trimscribe.whereabouts import at

__all__ = ["ThemeFile", "ThemeFolder", "ThemeTexts", "read_folder"]

ThemeTexts = Mapping[str, Mapping[str, str]]  # by language and key
_Signature = tuple[tuple[str, int, int], ...]

# What a theme is made of. Other files, such as a licence, are its own business and never read.
_FOLDERS: Mapping[str, Kind] = {"templates": TEMPLATE, "assets": PICTURE, "fonts": FONT}


@dataclass(frozen=True)
class ThemeFile:
    """A theme.yaml: what it says and where; `tokens` holds only what this theme sets.

    `add_sections` has the section that each added one follows.
    """

    name: str
    extends: str
    tokens: Mapping[str, Any]
    sections: tuple[str, ...]
    add_sections: Mapping[str, str]
    wording: ThemeTexts
    phrases: ThemeTexts
    marks: Mapping[ValuePath, Mark]


@dataclass(frozen=True, eq=False)
class ThemeFolder:
    """One theme as it stands on disk; `shown` is how the person named it.

    `files` are the names of all that lies in the folder. Compared by identity: an unchanged theme
    is the same object each time it is asked for.
    """

    path: Path
    shown: str
    file: ThemeFile
    files: tuple[str, ...]
    templates: Mapping[str, str]
    assets: Mapping[str, bytes]
    fonts: Path | None


def read_folder(folder: Path, shown: str) -> ThemeFolder:
    """Read a theme; raises ThemeError with all its faults. Read again only when a file changed."""
    if not (folder / "theme.yaml").is_file():
        raise ThemeError(
            Fault("theme-missing", f"There is no theme.yaml in “{shown}”.", Mark(shown))
        )
    return _read(folder, shown, _signature(folder))


def _signature(folder: Path) -> _Signature:
    """Name, size and time of every file: what tells a changed theme from a known one."""
    found = []
    for top, folders, files in os.walk(folder):  # pathlib takes five times as long
        folders[:] = [name for name in folders if name != "__pycache__"]
        for path in (os.path.join(top, name) for name in (*folders, *files)):
            status = os.lstat(path)
            name = path[len(str(folder)) + 1 :].replace(os.sep, "/")
            found.append((name, status.st_size, status.st_mtime_ns))
    return tuple(sorted(found))


@functools.lru_cache(maxsize=32)
def _read(folder: Path, shown: str, signature: _Signature) -> ThemeFolder:
    read: dict[str, dict[str, bytes]] = {name: {} for name in _FOLDERS}
    faults = []
    for name, _, _ in signature:
        mark = Mark(f"{shown}/{name}")
        if (folder / name).is_symlink():
            faults.append(_link(mark))
        top, _, inner = name.partition("/")
        kind = _FOLDERS.get(top)
        if kind and name.lower().endswith(kind.suffixes) and not (folder / name).is_symlink():
            data = fetch(folder, name, kind, Mark(f"{shown}/theme.yaml"))
            if isinstance(data, Fault):
                faults.append(data)
                continue
            read[top][inner] = data
            at(mark.file)
            if kind is PICTURE and (fault := picture_fault(data, name, mark)):
                faults.append(fault)
    if faults:
        raise ThemeError(faults)
    return ThemeFolder(
        folder,
        shown,
        _theme_file(folder, shown),
        tuple(name for name, _, _ in signature if (folder / name).is_file()),
        {
            name: _text(data, f"{shown}/templates/{name}")
            for name, data in read["templates"].items()
        },
        read["assets"],
        folder / "fonts" if read["fonts"] else None,
    )


def _link(mark: Mark) -> Fault:
    return Fault("theme-link", "A theme may not hold links.", mark, "Copy the file here.")


def _theme_file(folder: Path, shown: str) -> ThemeFile:
    place = f"{shown}/theme.yaml"
    at(place)
    data = fetch(folder, "theme.yaml", THEME, Mark(place))
    if isinstance(data, Fault):
        raise ThemeError(data)
    loaded = load(data, place)
    if loaded.data is None:
        raise ThemeError(loaded.faults)
    values, faults = check(ThemeFileSchema(), loaded)
    if faults := (*loaded.faults, *faults):
        raise ThemeError(faults)
    return ThemeFile(
        name=values["name"],
        extends=values.get("extends") or "",
        tokens={name: value for name, value in (values.get("tokens") or {}).items() if value},
        sections=tuple(values.get("sections") or ()),
        add_sections={
            name: where["after"] for name, where in (values.get("add_sections") or {}).items()
        },
        wording=values.get("wording") or {},
        phrases=values.get("phrases") or {},
        marks=loaded.marks,
    )


def _text(data: bytes, shown: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        fault = Fault("theme-not-utf-8", "This template is not UTF-8 text.", Mark(shown))
        raise ThemeError(fault) from None
