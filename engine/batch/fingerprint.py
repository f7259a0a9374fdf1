"""What a report depends on besides its job: software, words, themes and fonts, as one hash.

Trimscribe's own files are hashed one by one, so a changed phrase, rule, template or line of code
counts. Other packages count by their version, and by the files of the themes and languages that
they bring.
"""

import functools
import hashlib
import importlib.util
from collections.abc import Iterator, Mapping
from pathlib import Path

from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["Fingerprints", "digest"]

_OWN = ("trimscribe", "trimscribe.schemas", "trimscribe.themes")


def digest(path: Path) -> str | None:
    """SHA-256 of a file, or None when there is none to read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except (OSError, ValueError):
        return None


class Fingerprints:
    """Looks at everything once, when it is first asked for."""

    def __init__(self, registry: Registry, world: World) -> None:
        """Take what the run works with."""
        self._registry, self._world = registry, world
        self._with_theme: dict[tuple[str, str], str] = {}

    def made_with(self, asked: str, theme: str) -> str:
        """The hash of all that a report in `theme` is made with, a name or a folder.

        `asked` is the theme that the run asks for; without one, `theme` is the job's own.
        """
        themes = asked, theme
        if themes not in self._with_theme:
            files = _files(Path(theme)) if theme and Path(theme).is_dir() else {}
            named = {"software": self._software, "asked": asked, "theme": theme}
            self._with_theme[themes] = _hash({**named, **files})
        return self._with_theme[themes]

    @functools.cached_property
    def _software(self) -> str:
        found = {f"version {name}": told for name, told in self._world.versions.items()}
        found |= {f"plugins {name}": told for name, told in self._registry.packages().items()}
        for folder in self._folders():
            found |= _files(folder)
        return _hash(found)

    def _folders(self) -> Iterator[Path]:
        for package in _OWN:
            spec = importlib.util.find_spec(package)
            yield from map(Path, (spec and spec.submodule_search_locations) or ())
        for kind in ("languages", "themes"):
            yield from (plugin.folder for plugin in self._registry.all(kind))


def _files(folder: Path) -> Mapping[str, str]:
    """The hash of every file below a folder, but for what Python compiles there."""
    paths = (path for path in sorted(folder.rglob("*")) if "__pycache__" not in path.parts)
    return {f"{folder.name}/{path.relative_to(folder)}": digest(path) or "" for path in paths}


def _hash(parts: Mapping[str, str]) -> str:
    told = "".join(f"{name}\0{part}\n" for name, part in sorted(parts.items()))
    return hashlib.sha256(told.encode()).hexdigest()
