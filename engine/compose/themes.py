"""The look of a report: a theme, its parents and the workshop's brand joined to one.

The more specific source wins: the job, the shop file, the theme, its parents, base.
"""

import functools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from trimscribe.colour import contrast
from trimscribe.compose.glyphs import broken, families, font_folder
from trimscribe.compose.templates import OF_SECTION, Templates
from trimscribe.compose.theme_files import ThemeFile, ThemeFolder, chain_of
from trimscribe.compose.wording import wrong_wording
from trimscribe.contracts import TemplatedSection
from trimscribe.errors import Fault, Mark, ThemeError, suggest
from trimscribe.model.document import FRAME, FontFolder
from trimscribe.model.ink import COLOURS, ColourUse
from trimscribe.model.workshop import Workshop
from trimscribe.registry import Registry
from trimscribe.schemas.theme import TokensSchema

_OwnTemplates = tuple[str, str, tuple[tuple[str, str], ...]]  # section, package, text by name
_Marks = Mapping[tuple[str | int, ...], Mark]
# These may be restyled and moved; a report without them is not safe to hand out.
_REQUIRED_SECTIONS = ("letter", "cautions", "record")
_PAPER_WIDTH_MM = {"a4": 210.0, "us-letter": 215.9}
_POINTS_PER_MM = 72 / 25.4
# The tokens that a workshop's brand sets, and what it calls them.
_BRAND = {
    "accent": "accent",
    "quiet": "neutral",
    "font": "font",
    "font_drawings": "font",
    "paper": "paper",
}
# On the background; WCAG 2.2: 1.4.3 for text, 1.4.11 for graphics.
_LEAST_CONTRAST = {ColourUse.TEXT: 4.5, ColourUse.DRAWING: 3.0}
_TOKENS = frozenset(TokensSchema().fields)
_SMALLEST_PT = 8.0  # body text below this is no longer read on paper


class TokenSource(StrEnum):
    """Who can set a token, the strongest first."""

    JOB = "job"
    SHOP = "shop"
    THEME = "theme"
    PARENT = "parent"
    BASE = "base"


@dataclass(frozen=True)
class TokenOrigin:
    """Who set a token: the theme by name where it is one, and the place."""

    source: TokenSource
    theme: str = ""
    mark: Mark | None = None


@dataclass(frozen=True)
class Look:
    """A theme with its parents and the workshop's brand joined to one.

    `chain` has the theme and its parents, child first; `origins` says of each token who set it,
    `section_marks` where each section was listed or added.
    """

    chain: tuple[ThemeFolder, ...]
    tokens: Mapping[str, Any]
    origins: Mapping[str, TokenOrigin]
    sections: tuple[str, ...]
    templates: Templates
    fonts: tuple[FontFolder, ...]
    section_marks: Mapping[str, Mark | None]

    @property
    def name(self) -> str:
        """The theme's own name."""
        return self.chain[0].file.name

    @property
    def theme_chain(self) -> str:
        """The names from the theme to its last parent."""
        return " → ".join(folder.file.name for folder in self.chain)

    @property
    def assets(self) -> Mapping[str, bytes]:
        """The pictures by name; a theme's own are before its parents'."""
        return {name: data for f in reversed(self.chain) for name, data in f.assets.items()}

    @property
    def width_pt(self) -> float:
        """Width of the text in points."""
        margins = 2 * float(self.tokens["margin_x_mm"])
        return (_PAPER_WIDTH_MM[self.tokens["paper"]] - margins) * _POINTS_PER_MM


@dataclass
class SectionOrder:
    """Takes what base, parents, theme and workshop say of the sections, in this order."""

    names: list[str] = field(default_factory=list)
    marks: dict[str, Mark | None] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def replace(self, names: Sequence[str], marks: Sequence[Mark | None]) -> None:
        """Take a theme's own list in place of what was there."""
        self.names = [*names]
        self.marks = dict(zip(names, marks, strict=True))

    def add(self, added: Mapping[str, str], marks: Mapping[str, Mark | None]) -> None:
        """Put each added section after the one that it follows.

        Several that follow the same one keep the order in which they were written. One that is
        there already stays where it is; one that follows nothing is a fault.
        """
        for name, after in added.items():
            if name in self.names:
                continue
            if after not in self.names:
                self.faults.append(
                    Fault(
                        "section-misplaced",
                        f"The section “{name}” cannot follow “{after}”, which this report does "
                        "not have.",
                        marks.get(name),
                        suggest(after, self.names),
                    )
                )
                continue
            at = self.names.index(after) + 1
            while at < len(self.names) and added.get(self.names[at]) == after:
                at += 1
            self.names.insert(at, name)
            self.marks[name] = marks.get(name)


def resolve(
    theme: str, workshop: Workshop, registry: Registry, marks: _Marks | None = None
) -> Look:
    """Join theme, parents and brand to one look that a report can be made with.

    `theme` is a name or a folder; empty means the workshop's, else base. `marks` are the places of
    the job's values, to tell job and shop file apart. Raises ThemeError or PluginError.
    """
    named = brand_origin("theme", marks or {}).mark if not theme else None
    chain = chain_of(theme or workshop.theme or "base", registry, named)
    tokens: dict[str, Any] = {}
    origins: dict[str, TokenOrigin] = {}
    sections = SectionOrder()
    for folder, source in reversed([*sources(chain)]):
        tokens |= folder.file.tokens
        origins |= {
            name: TokenOrigin(source, folder.file.name, folder.file.marks.get(("tokens", name)))
            for name in folder.file.tokens
        }
        _take_sections(folder.file, sections)
    added = dict(workshop.add_sections)
    places = {name: ("workshop", "add_sections", name) for name in added}
    sections.add(added, {name: (marks or {}).get(place) for name, place in places.items()})
    for token, name in _BRAND.items():
        if value := getattr(workshop, name):
            tokens[token] = value
            origins[token] = brand_origin(name, marks or {})
    fonts = (workshop.fonts, *(folder.fonts for folder in chain))
    found = tuple(font_folder(path) for path in fonts if path)
    names = tuple(sections.names)
    templates = _templates(chain, tuple(of_sections(names, registry)))
    look = Look(chain, tokens, origins, names, templates, found, sections.marks)
    if faults := [*sections.faults, *_unfit(look, registry)]:
        raise ThemeError(faults)
    return look


def _take_sections(file: ThemeFile, sections: SectionOrder) -> None:
    if file.sections:
        marks = [file.marks.get(("sections", at)) for at in range(len(file.sections))]
        sections.replace(file.sections, marks)
    added = file.add_sections
    sections.add(added, {name: file.marks.get(("add_sections", name)) for name in added})


def sources(chain: tuple[ThemeFolder, ...]) -> Iterator[tuple[ThemeFolder, TokenSource]]:
    """Each theme of a chain and what it is to the first."""
    for number, folder in enumerate(chain):
        if folder.file.name == "base":
            yield folder, TokenSource.BASE
        else:
            yield folder, TokenSource.PARENT if number else TokenSource.THEME


def brand_origin(name: str, marks: _Marks) -> TokenOrigin:
    """Where something of the workshop's was said.

    A job says it under `report`, or holds the whole workshop; else it is in a shop file."""
    own, shop = marks.get(("report", name)), marks.get(("workshop", name))
    job = marks.get(("service",))
    inside = shop is not None and job is not None and shop.file == job.file
    return TokenOrigin(TokenSource.JOB if own or inside else TokenSource.SHOP, mark=own or shop)


def of_sections(sections: Iterable[str], registry: Registry) -> Iterator[_OwnTemplates]:
    """The templates that plugins bring for their own sections, for themes that have none."""
    known = registry.names("sections")
    for name in sections:
        if name not in known:
            continue
        plugin = registry.get("sections", name)
        if isinstance(plugin, TemplatedSection):
            package, _ = registry.package("sections", name) or ("", "")
            yield name, package, tuple(sorted(plugin.templates.items()))


@functools.lru_cache(maxsize=16)
def _templates(chain: tuple[ThemeFolder, ...], own: tuple[_OwnTemplates, ...]) -> Templates:
    """Templates of a chain, compiled once for as long as no theme of it changes.

    Those that sections bring come last; `section.NAME:FILE` names one of them.
    """
    files = {folder.file.name: folder.templates for folder in chain}
    places = {folder.file.name: folder.shown for folder in chain}
    for name, package, templates in own:
        files[f"{OF_SECTION}{name}"] = dict(templates)
        places[f"{OF_SECTION}{name}"] = f"{package} section {name}"
    return Templates(files, places)


def _unfit(look: Look, registry: Registry) -> Sequence[Fault]:
    """Why no report can be made with a look: it must be complete, legible, and leave nothing out.

    What needs tokens is only looked at when they are all there. `trimscribe.compose.lint` says
    more, to those who write themes.
    """
    return [*_incomplete(look), *_sectionless(look, registry), *wrong_wording(look.chain)] or [
        *_fontless(look),
        *_unreadable(look),
    ]


def _incomplete(look: Look) -> Iterator[Fault]:
    theme = look.chain[0]
    for name in sorted(_TOKENS - look.tokens.keys()):
        yield Fault(
            "theme-lacks-token",
            f"Nothing in {look.theme_chain} sets `{name}`.",
            theme.file.marks.get(("tokens",), Mark(theme.shown)),
            "Write `extends: base` to take what is missing from there.",
        )


def _sectionless(look: Look, registry: Registry) -> Iterator[Fault]:
    """Sections that must be there and are not, and those that nobody knows how to make."""
    holder = next((f for f in look.chain if f.file.sections), look.chain[0])
    for name in _REQUIRED_SECTIONS:
        if name not in look.sections:
            yield Fault(
                "theme-lacks-section",
                f"{look.theme_chain} leaves out the section “{name}”, "
                "which every report must have.",
                holder.file.marks.get(("sections",), Mark(holder.shown)),
                f"Add {name} to `sections`; it may be anywhere.",
            )
    known = registry.names("sections")
    for number, name in enumerate(look.sections):
        if name in look.sections[:number]:
            message = f"The section “{name}” occurs twice in `sections`."
            mark = look.section_marks.get(name)
            yield Fault("section-twice", message, mark, "Delete one of the two.")
        elif f"{name}.typ" in FRAME:
            message = f"The template {name}.typ.j2 is no section: the others are made with it."
            hint = "Leave it out of `sections`."
            yield Fault("section-unknown", message, look.section_marks.get(name), hint)
        elif name not in known and not look.templates.has(f"{name}.typ.j2"):
            yield Fault(
                "section-unknown",
                f"There is no section “{name}”, "
                f"and no template {name}.typ.j2 in {look.theme_chain}.",
                look.section_marks.get(name),
                suggest(name, known),
            )


def _fontless(look: Look) -> Iterator[Fault]:
    if bad := broken(look.fonts):
        message = f"These font files of {look.theme_chain} cannot be read: {', '.join(bad)}."
        yield Fault("font-broken", message, hint="Copy them again from their source.")
    known = families(look.fonts)
    for name in ("font", "font_drawings"):
        if look.tokens[name] not in known:
            yield Fault(
                "font-missing",
                f"No font file of {look.theme_chain} belongs to the family “{look.tokens[name]}”.",
                look.origins[name].mark,
                f"Put it into the folder fonts, or use {' or '.join(sorted(known))}.",
            )


def _unreadable(look: Look) -> Iterator[Fault]:
    background = look.tokens["background"]
    for colour in COLOURS:
        name, least = colour.token, _LEAST_CONTRAST.get(colour.use, 0.0)
        ratio = contrast(look.tokens[name], background)
        if ratio < least:
            yield Fault(
                "contrast-too-low",
                f"`{name}` {look.tokens[name]} on {background} has a contrast of {ratio:.1f}; "
                f"{least:g} is the least that people can read ({look.theme_chain}).",
                look.origins[name].mark,
                "Choose a darker colour, or a lighter one on a dark page.",
            )
    if look.tokens["size_pt"] < _SMALLEST_PT:
        yield Fault(
            "text-too-small",
            f"`size_pt` is {look.tokens['size_pt']:g}; the least is {_SMALLEST_PT:g}.",
            look.origins["size_pt"].mark,
        )
