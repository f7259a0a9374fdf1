"""Which folders belong to a job, a theme or whatever else somebody named: what may be read.

Whether a named path is a folder or a file is asked of `os.path`, here and elsewhere: where one may
not look it says no, and `pathlib` raises.
"""

import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from trimscribe.model.workshop import SHOP_FILE, names_folder
from trimscribe.resources.file_access import THEME, plain_bytes, real_path

_MOST_PARENTS = 8
# Looked for, not understood: it only decides which folders beside a theme a worker may open.
_EXTENDS = re.compile(rb"""extends["']?[ \t]*:[ \t]*["']?(\.[^"',}\s#]*)""")


def nearest_shop(folder: Path) -> str:
    """The nearest shop file, in a folder or above it, as seen from there; empty without one."""
    way = ""
    here = real_path(folder)
    for above in (here, *here.parents):
        if os.path.isfile(above / SHOP_FILE):
            return way + SHOP_FILE
        way += "../"
    return ""


def root_of(folder: Path) -> Path:
    """The folder of the nearest shop file above a job's folder, else the job's own."""
    here = real_path(folder)
    shop = Path(os.path.normpath(here / nearest_shop(folder)))
    above = shop.parent if shop != here else here
    return here if above == above.parent else above  # never the whole disk


def world_of(
    named: Iterable[str | Path],
    *,
    root: str = "",
    shop: str | Path | None = "",
    theme: str = "",
    more: Iterable[str | Path | None] = (),
) -> tuple[str, ...]:
    """All that work on what a person has named may read: jobs or folders, and what goes with them.

    `root` widens what jobs may name; `more` are other files and folders as they are.
    """
    found: dict[Path, None] = {}
    folders: set[Path] = set()
    for path in map(Path, named):
        found[_whole(path)] = None
        folder = path if os.path.isdir(path) else path.parent
        if folder not in folders:
            folders.add(folder)
            found[root_of(folder)] = None
    extra = [*more, root, Path(shop).parent if shop else ""]
    found |= {_whole(Path(path)): None for path in extra if path and str(path)}
    if names_folder(theme):
        found |= dict.fromkeys(_themes(Path(theme)))
    return tuple(str(path) for path in found if found.keys().isdisjoint(path.parents))


def _themes(folder: Path) -> Iterator[Path]:
    """The folder of a theme, and those of its parents that are beside it."""
    waiting = [real_path(folder)]
    seen: list[Path] = []
    while waiting and len(seen) < _MOST_PARENTS:
        here = waiting.pop()
        if here in seen:
            continue
        seen.append(here)
        yield here
        try:
            text = plain_bytes(here / "theme.yaml", THEME.most) or b""
        except (OSError, ValueError):
            continue
        for named in _EXTENDS.findall(text):
            beside = Path(os.path.normpath(here / named.decode("utf-8", "replace")))
            if beside.is_relative_to(here.parent) and os.path.isfile(beside / "theme.yaml"):
                waiting.append(beside)


def _whole(path: Path) -> Path:
    try:
        return real_path(path)
    except OSError:
        return path.absolute()
