"""The folders of a theme and its parents as data: read whole, each file through the one door."""

import functools
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimscribe.errors import Fault, Mark, ThemeError, suggest
from trimscribe.marked_yaml import ValuePath, load
from trimscribe.model.workshop import names_folder
from trimscribe.registry import Registry
from trimscribe.resources.file_access import FONT, PICTURE, TEMPLATE, THEME, Kind, fetch, real_path
from trimscribe.resources.pictures import picture_fault
from trimscribe.schemas.faults import check
from trimscribe.schemas.theme import ThemeFileSchema
from trimscribe.whereabouts import at

ThemeTexts = Mapping[str, Mapping[str, str]]  # by language and key
_Signature = tuple[tuple[str, int, int], ...]

# What a theme is made of. Other files, such as a licence, are its own business and never read.
_FOLDERS: Mapping[str, Kind] = {"templates": TEMPLATE, "assets": PICTURE, "fonts": FONT}
_MOST_PARENTS = 8


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
    if not os.path.isfile(folder / "theme.yaml"):
        raise ThemeError.of("theme-missing", f"There is no theme.yaml in “{shown}”.", Mark(shown))
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
            message = "A theme may not hold links."
            faults.append(Fault("theme-link", message, mark, "Copy the file here."))
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
        tuple(name for name, _, _ in signature if os.path.isfile(folder / name)),
        {
            name: _text(data, f"{shown}/templates/{name}")
            for name, data in read["templates"].items()
        },
        read["assets"],
        folder / "fonts" if read["fonts"] else None,
    )


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
        wording=_written(values.get("wording")),
        phrases=_written(values.get("phrases")),
        marks=loaded.marks,
    )


def _text(data: bytes, shown: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        fault = Fault("theme-not-utf-8", "This template is not UTF-8 text.", Mark(shown))
        raise ThemeError(fault) from None


def chain_of(theme: str, registry: Registry, mark: Mark | None = None) -> tuple[ThemeFolder, ...]:
    """The theme (a name or a folder) and its parents, child first; raises ThemeError.

    `mark` is where somebody has named it.
    """
    chain: list[ThemeFolder] = []
    seen: set[str] = set()
    while theme:
        folder, shown = _place(theme, chain, registry, mark)
        read = read_folder(folder, shown)
        if read.file.name in seen or len(chain) >= _MOST_PARENTS:
            trail = " → ".join([*(f.file.name for f in chain), read.file.name])
            raise ThemeError.of("theme-circle", f"This theme extends itself: {trail}.", Mark(shown))
        seen.add(read.file.name)
        chain.append(read)
        theme = read.file.extends
    return tuple(chain)


def _place(
    theme: str, chain: list[ThemeFolder], registry: Registry, mark: Mark | None
) -> tuple[Path, str]:
    """Folder of a theme and its name for people.

    A parent's folder is named from its child's and with a dot first, such as `../coast`.
    """
    if not chain and names_folder(theme):
        return Path(theme), Path(theme).as_posix()
    if chain and theme.startswith("."):
        child = chain[-1]
        beside = real_path(child.path).parent
        if not Path(os.path.normpath(real_path(child.path) / theme)).is_relative_to(beside):
            message = f"“{theme}” does not lie beside the theme that extends it."
            hint = "Copy that theme to a folder beside this one."
            mark = child.file.marks.get(("extends",))
            raise ThemeError.of("file-outside", message, mark, hint)
        return child.path / theme, f"{child.shown}/{theme}"
    if theme not in registry.names("themes"):
        known = ", ".join(registry.names("themes"))
        hint = suggest(theme, registry.names("themes"), listed=False) or f"Installed: {known}."
        if not chain and os.path.isdir(theme):
            hint = f"For the folder write “./{theme}”."
        raise ThemeError.of(
            "theme-unknown",
            f"No theme “{theme}” is installed.",
            chain[-1].file.marks.get(("extends",)) if chain else mark,
            hint,
        )
    return registry.get("themes", theme).folder, theme


def _written(texts: Mapping[str, Mapping[str, str] | None] | None) -> ThemeTexts:
    """Texts by language and key; nothing may stand behind a language yet."""
    return {language: named or {} for language, named in (texts or {}).items()}
