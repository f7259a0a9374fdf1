"""Themes: found by name or folder, joined with parents and the workshop's brand to one look."""

import functools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimscribe.compose.colour import contrast
from trimscribe.compose.glyphs import families
from trimscribe.compose.templates import Templates
from trimscribe.compose.theme_files import ThemeFolder, read_folder
from trimscribe.contracts import Ink
from trimscribe.errors import Fault, Mark, ThemeError
from trimscribe.model.job import Workshop
from trimscribe.registry import Registry
from trimscribe.schemas.suggest import suggest
from trimscribe.schemas.theme import TokensSchema

__all__ = ["Look", "resolve"]

# These may be restyled and moved; a report without them is not safe to hand out.
REQUIRED_SECTIONS = ("letter", "cautions", "record")
_LEAST = {  # contrast on the background, WCAG 2.2: 1.4.3 for text, 1.4.11 for graphics
    **dict.fromkeys(("text", "quiet", "before_text", "after", "outside", "accent"), 4.5),
    "before": 3.0,
}
_SMALLEST_PT = 8.0  # body text below this is no longer read on paper
_MOST_PARENTS = 8
_PAPER_WIDTH_MM = {"a4": 210.0, "us-letter": 215.9}


@dataclass(frozen=True)
class Look:
    """A theme with its parents and the workshop's brand: all about how a report looks."""

    name: str
    tokens: Mapping[str, Any]
    sections: tuple[str, ...]
    templates: Templates
    fonts: tuple[Path, ...]

    @property
    def ink(self) -> Ink:
        """The colours and family that figures draw with."""
        names = ("text", "quiet", "rule", "before", "before_text", "after", "outside", "accent")
        colours = {name: self.tokens[name] for name in names}
        return Ink(
            **colours,
            paper=self.tokens["background"],
            wash=self.tokens["wash"],
            font=self.tokens["font"],
        )

    @property
    def width_pt(self) -> float:
        """Width of the text in points."""
        margins = 2 * float(self.tokens["margin_x_mm"])
        return (_PAPER_WIDTH_MM[self.tokens["paper"]] - margins) * 72 / 25.4


def resolve(theme: str, workshop: Workshop, registry: Registry) -> Look:
    """Join theme, parents and brand to one look.

    `theme` is a name or a folder; empty means the workshop's, else base. What comes first wins:
    the workshop's accent and paper, the theme, its parents. Raises ThemeError or PluginError.
    """
    chain = _chain(theme or workshop.theme or "base", registry)
    tokens: dict[str, Any] = {}
    sections: tuple[str, ...] = ()
    for folder in reversed(chain):
        tokens |= folder.file.tokens
        sections = folder.file.sections or sections
    brand = {"accent": workshop.accent, "paper": workshop.paper}
    tokens |= {name: value for name, value in brand.items() if value}
    look = Look(
        chain[0].file.name,
        tokens,
        sections,
        _templates(tuple(chain)),
        tuple(folder.fonts for folder in chain if folder.fonts),
    )
    if faults := [*_missing(look, chain[0])]:
        raise ThemeError(faults)
    if faults := [*_fontless(look, chain), *_unreadable(look, chain)]:
        raise ThemeError(faults)
    return look


@functools.lru_cache(maxsize=16)
def _templates(chain: tuple[ThemeFolder, ...]) -> Templates:
    """Templates of a chain, compiled once for as long as no theme of it changes."""
    return Templates(
        {folder.file.name: folder.templates for folder in chain},
        {folder.file.name: folder.shown for folder in chain},
    )


def _chain(theme: str, registry: Registry) -> list[ThemeFolder]:
    """The theme and its parents, child first."""
    chain: list[ThemeFolder] = []
    seen: set[str] = set()
    while theme:
        folder, shown = _place(theme, chain, registry)
        read = read_folder(folder, shown)
        if read.file.name in seen or len(chain) >= _MOST_PARENTS:
            trail = " → ".join([*(f.file.name for f in chain), read.file.name])
            raise ThemeError(
                Fault("theme-circle", f"This theme extends itself: {trail}.", Mark(shown))
            )
        seen.add(read.file.name)
        chain.append(read)
        theme = read.file.extends
    return chain


def _place(theme: str, chain: list[ThemeFolder], registry: Registry) -> tuple[Path, str]:
    """Folder of a theme and its name for people; a folder wins over a name."""
    if not chain and Path(theme).is_dir():
        return Path(theme), theme.rstrip("/\\")
    if theme not in registry.names("themes"):
        known = ", ".join(registry.names("themes"))
        raise ThemeError(
            Fault(
                "theme-unknown",
                f"There is neither a theme nor a folder “{theme}”.",
                chain[-1].file.marks.get(("extends",)) if chain else None,
                suggest(theme, registry.names("themes"), listed=False) or f"Installed: {known}.",
            )
        )
    return registry.get("themes", theme).folder, theme


def _missing(look: Look, theme: ThemeFolder) -> Iterator[Fault]:
    for name in sorted(TokensSchema().fields.keys() - look.tokens.keys()):
        yield Fault(
            "theme-lacks-token",
            f"Neither the theme nor one it extends sets `{name}`.",
            theme.file.marks.get(("tokens",), Mark(theme.shown)),
            "Write `extends: base` to take what is missing from there.",
        )
    for name in REQUIRED_SECTIONS:
        if name not in look.sections:
            yield Fault(
                "theme-lacks-section",
                f"The theme leaves out the section “{name}”, which every report must have.",
                theme.file.marks.get(("sections",), Mark(theme.shown)),
                f"Add {name} to `sections`; it may stand anywhere.",
            )


def _token_mark(name: str, chain: list[ThemeFolder]) -> Mark | None:
    """The place of a token: the nearest theme that sets it, or None for the workshop's brand."""
    found = (f.file.marks.get(("tokens", name)) for f in chain if name in f.file.tokens)
    return next(found, None)


def _fontless(look: Look, chain: list[ThemeFolder]) -> Iterator[Fault]:
    known = families(look.fonts)
    if look.tokens["font"] not in known:
        yield Fault(
            "font-missing",
            f"No font file of the theme belongs to the family “{look.tokens['font']}”.",
            _token_mark("font", chain),
            f"Put it into the folder fonts, or use {' or '.join(sorted(known))}.",
        )


def _unreadable(look: Look, chain: list[ThemeFolder]) -> Iterator[Fault]:
    background = look.tokens["background"]
    for name, least in _LEAST.items():
        ratio = contrast(look.tokens[name], background)
        if ratio < least:
            yield Fault(
                "contrast-too-low",
                f"`{name}` {look.tokens[name]} on {background} has a contrast of {ratio:.1f}; "
                f"{least:g} is the least that people can read.",
                _token_mark(name, chain),
                "Choose a darker colour.",
            )
    if look.tokens["size_pt"] < _SMALLEST_PT:
        yield Fault(
            "text-too-small",
            f"`size_pt` is {look.tokens['size_pt']:g}; the least is {_SMALLEST_PT:g}.",
            _token_mark("size_pt", chain),
        )
