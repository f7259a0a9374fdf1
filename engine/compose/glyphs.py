"""What the theme's fonts are called and can show, so that no name is printed with holes."""

import functools
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from unicodedata import category

from trimscribe.canvas import FT2Font
from trimscribe.model.document import FontFolder

# Typst takes style words off the end of a family's name: "Roboto Condensed" is its family Roboto.
_STYLE = re.compile(
    r"(?:[ _-]?(?:extra|ext|ex|x|semi|sem|sm|demi|dem|ultra))?[ _-]?(?:normal|italic|oblique"
    r"|slanted|thin|th|hairline|light|lt|regular|medium|med|md|bold|bd|demi|extb|black|blk|bk"
    r"|heavy|narrow|condensed|cond|cn|cd|compressed|expanded|exp)$",
    re.IGNORECASE,
)


def font_folder(path: Path) -> FontFolder:
    """A folder of fonts as it is now."""
    fonts = sorted(p for p in path.iterdir() if p.suffix.lower() in {".otf", ".ttf"})
    states = ((font.name, font.stat()) for font in fonts)
    return FontFolder(path, tuple((name, of.st_size, of.st_mtime_ns) for name, of in states))


def font_files(folders: Iterable[FontFolder]) -> Iterator[Path]:
    """The font files of some folders, in name order."""
    for folder in folders:
        yield from (folder.path / name for name, _, _ in folder.files)


@functools.lru_cache(maxsize=32)
def broken(folders: tuple[FontFolder, ...]) -> tuple[str, ...]:
    """Names of font files that cannot be read."""
    return tuple(path.name for path in font_files(folders) if _named(path) is None)


@functools.lru_cache(maxsize=32)
def families(folders: tuple[FontFolder, ...]) -> frozenset[str]:
    """Names of the families that the font files of some folders belong to, as Typst calls them."""
    return frozenset(name for path in font_files(folders) if (name := _named(path)))


def _named(path: Path) -> str | None:
    try:
        name = FT2Font(str(path)).family_name
    except (RuntimeError, OSError):
        return None
    while (shorter := _STYLE.sub("", name)) and shorter != name:
        name = shorter
    return name


@functools.lru_cache(maxsize=32)
def _covered(folders: tuple[FontFolder, ...]) -> frozenset[int]:
    points: set[int] = set()
    for path in font_files(folders):
        points |= FT2Font(str(path)).get_charmap().keys()
    return frozenset(points)


def uncovered(text: str, folders: tuple[FontFolder, ...]) -> str:
    """The printable characters of `text` that no font of the folders has, each once, sorted."""
    covered = _covered(folders)
    missing = (c for c in set(text) if ord(c) not in covered)
    # A code that means nothing, or what its user likes, has no shape in any other font.
    return "".join(sorted(c for c in missing if c.isprintable() or category(c) in ("Co", "Cn")))
