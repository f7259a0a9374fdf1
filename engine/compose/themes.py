"""One look of a theme, its parents and the workshop's brand.

The more specific source wins: the job, the shop file, the theme, its parents, base.
"""

import functools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from trimscribe.compose.glyphs import font_folder
from trimscribe.compose.look import Look, TokenOrigin, TokenSource
from trimscribe.compose.templates import Templates
from trimscribe.compose.theme_files import ThemeFile, ThemeFolder, chain_of
from trimscribe.compose.theme_validation import unfit
from trimscribe.contracts import TemplatedSection
from trimscribe.errors import Fault, Mark, ThemeError
from trimscribe.hints import suggest
from trimscribe.model.workshop import Workshop
from trimscribe.registry import Registry

_OwnTemplates = tuple[str, str, tuple[tuple[str, str], ...]]  # section, package, text by name
Marks = Mapping[tuple[str | int, ...], Mark]
# The tokens that a workshop's brand sets, and what it calls them.
_BRAND = {
    "accent": "accent",
    "quiet": "neutral",
    "font": "font",
    "font_drawings": "font",
    "paper": "paper",
}


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


def resolve(theme: str, workshop: Workshop, registry: Registry, marks: Marks | None = None) -> Look:
    """Join theme, parents and brand to one look that a report can be made with.

    `theme` is a name or a folder; empty means the workshop's, else base. `marks` are the places of
    the job's values, to tell job and shop file apart. Raises ThemeError or PluginError.
    """
    chain = chain_of(theme or workshop.theme or "base", registry)
    tokens: dict[str, Any] = {}
    origins: dict[str, TokenOrigin] = {}
    sections = SectionOrder()
    for folder, source in reversed([*_sources(chain)]):
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
    templates = _templates(chain, tuple(_of_sections(names, registry)))
    look = Look(chain, tokens, origins, names, templates, found, sections.marks)
    if faults := [*sections.faults, *unfit(look, registry)]:
        raise ThemeError(faults)
    return look


def _take_sections(file: ThemeFile, sections: SectionOrder) -> None:
    if file.sections:
        marks = [file.marks.get(("sections", at)) for at in range(len(file.sections))]
        sections.replace(file.sections, marks)
    added = file.add_sections
    sections.add(added, {name: file.marks.get(("add_sections", name)) for name in added})


def _sources(chain: tuple[ThemeFolder, ...]) -> Iterator[tuple[ThemeFolder, TokenSource]]:
    for number, folder in enumerate(chain):
        if folder.file.name == "base":
            yield folder, TokenSource.BASE
        else:
            yield folder, TokenSource.PARENT if number else TokenSource.THEME


def brand_origin(name: str, marks: Marks) -> TokenOrigin:
    """Where something of the workshop's was said.

    A job says it under `report`, or holds the whole workshop; else it is in a shop file."""
    own, shop = marks.get(("report", name)), marks.get(("workshop", name))
    job = marks.get(("service",))
    inside = shop is not None and job is not None and shop.file == job.file
    return TokenOrigin(TokenSource.JOB if own or inside else TokenSource.SHOP, mark=own or shop)


def _of_sections(sections: tuple[str, ...], registry: Registry) -> Iterator[_OwnTemplates]:
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
        files[f"section.{name}"] = dict(templates)
        places[f"section.{name}"] = f"{package}/{name}"
    return Templates(files, places)
