"""What the theme's fonts are called and can show, so that no name is printed with holes."""

import functools
from collections.abc import Iterable, Iterator
from pathlib import Path

from fontTools.ttLib import TTFont

__all__ = ["families", "font_files", "uncovered"]


def font_files(folders: Iterable[Path]) -> Iterator[Path]:
    """The font files of some folders, in name order."""
    for folder in folders:
        yield from sorted(p for p in folder.iterdir() if p.suffix.lower() in {".otf", ".ttf"})


@functools.cache
def families(folders: tuple[Path, ...]) -> frozenset[str]:
    """Names of the families that the font files of some folders belong to."""
    names = set()
    for path in font_files(folders):
        with TTFont(path, lazy=True) as font:
            names.add(str(font["name"].getBestFamilyName()))
    return frozenset(names)


@functools.cache
def _covered(folders: tuple[Path, ...]) -> frozenset[int]:
    points: set[int] = set()
    for path in font_files(folders):
        with TTFont(path, lazy=True) as font:
            points |= set(font.getBestCmap() or {})
    return frozenset(points)


def uncovered(text: str, folders: tuple[Path, ...]) -> str:
    """The printable characters of `text` that no font of the folders has, each once, sorted."""
    covered = _covered(folders)
    return "".join(sorted(c for c in set(text) if c.isprintable() and ord(c) not in covered))
