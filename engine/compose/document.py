"""Compose one report: what every section shows, drawn, rendered and gathered into a Document."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from trimscribe.compose.attachments import attachments_of
from trimscribe.compose.glyphs import uncovered
from trimscribe.compose.label_overrides import phrases_of, reworded
from trimscribe.compose.look import Look
from trimscribe.compose.required import required_texts, vital_texts, warning_texts
from trimscribe.compose.sections.own import OwnSection, about
from trimscribe.compose.themes import resolve
from trimscribe.contracts import SectionView, View
from trimscribe.errors import Fault, Mark, PluginError, ThemeError
from trimscribe.formats import formats_for
from trimscribe.model.content import Content
from trimscribe.model.document import (
    LADDER,
    LADDER_DOWN,
    PART_HEAD,
    Attachment,
    Document,
    Figure,
    Part,
    Shown,
)
from trimscribe.model.ink import Ink
from trimscribe.model.statements import Statements
from trimscribe.model.workshop import names_folder
from trimscribe.registry import Registry
from trimscribe.resources.pictures import drawing_fault
from trimscribe.whereabouts import at
from trimscribe.world import World

# The sections of page one. Where a report begins with them, they may be made to fit it.
_FRONT = ["letter.typ", "cautions.typ"]
_OURS = "trimscribe"  # the package whose figures need no look


def compose(content: Content, registry: Registry, world: World, theme: str = "") -> Document:
    """Return the document of one report in one theme.

    `theme` is a name or folder; empty means the workshop's own or base. Raises ThemeError.
    """
    job = content.reading.job
    look = resolve(theme, job.workshop, registry, content.reading.marks)
    content = replace(content, statements=reworded(content.statements, look))
    attachments = attachments_of(content, look, registry, world)
    view = view_of(content, look, registry, world, attachments)
    parts = rendered(_sections(look, registry), view, look, registry)
    frame = frame_of(content, parts.names, attachments)
    document = assembled(content, look, view, registry, parts, frame, attachments)
    say_whose(content, look, theme)
    return document


def say_whose(content: Content, look: Look, theme: str) -> None:
    """Say whose the document is that Typst sets next, which templates can keep busy for ever."""
    own = names_folder(theme or content.reading.job.workshop.theme)
    at(f"{look.chain[0].shown}/theme.yaml" if own else _job_place(content))


def drawing(registry: Registry, name: str, view: View) -> Figure | None:
    """A figure by name, the same for paper and page; PluginError for one that neither may show."""
    figure: Figure | None = registry.get("figures", name).draw(view)
    package, _ = registry.package("figures", name) or ("", "")
    if figure and package != _OURS and (wrong := drawing_fault(figure.svg, figure.name)):
        words = f"The figure “{name}”, from {package}: {wrong}."
        hint = "A figure is plain SVG: shapes and text, without scripts, links and pictures."
        raise PluginError.of("figure-refused", words, hint=hint)
    return figure


@dataclass
class Rendered:
    """Sections as Typst, with all that they brought along; `shared` is what all templates see."""

    shared: dict[str, Any]
    files: dict[str, str] = field(default_factory=dict)
    origins: dict[str, Mark] = field(default_factory=dict)
    figures: dict[str, Figure] = field(default_factory=dict)
    views: list[SectionView] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)

    @property
    def names(self) -> list[str]:
        """The files of the sections, in order."""
        return [f"{part.name}.typ" for part in self.parts]


def rendered(sections: Iterable[Any], view: View, look: Look, registry: Registry) -> Rendered:
    """Let each section choose its values and the theme set them; one with nothing is left out."""
    language = view.statements.language
    out = Rendered({"t": look.tokens, "phrases": phrases_of(look, language, about(view))})
    for section in sections:
        seen = section.view(view)
        if seen is None:
            continue
        drawn = [f for n in seen.figures if (f := drawing(registry, n, view))]
        out.figures |= {figure.name: figure for figure in drawn}
        name = f"{section.name}.typ"
        made = look.templates.render(
            section.template,
            {**out.shared, **seen.values, "figures": drawn, "more": _more(view.statements)},
        )
        # On the first line with the template's own, so that the places of faults stay its.
        out.files[name] = f"{PART_HEAD}{made}]\n"
        out.origins[name] = look.templates.origin(section.template)
        out.views.append(seen)
        out.parts.append(Part(section.name, seen.values, tuple(f.name for f in drawn)))
    return out


def assembled(
    content: Content,
    look: Look,
    view: View,
    registry: Registry,
    parts: Rendered,
    frame: dict[str, Any],
    attachments: tuple[Attachment, ...],
    required: tuple[str, ...] | None = None,
) -> Document:
    """Put the frame around rendered sections; `required` stands in for a report's own texts."""
    job, files, origins = content.reading.job, dict(parts.files), dict(parts.origins)
    spoken = registry.get("languages", content.statements.language)
    frame = {**frame, "language": spoken.locale.partition("_")[0]}  # a pack may be called otherwise
    files[LADDER] = LADDER_DOWN
    files["kit.typ"] = look.templates.render("kit.typ.j2", parts.shared)
    main = look.templates.render("main.typ.j2", {**parts.shared, **frame})
    origins |= {n: look.templates.origin(f"{n}.j2") for n in ("kit.typ", "main.typ")}
    _refuse_holes([*files.values(), main, *(f.svg for f in parts.figures.values())], content, look)
    return Document(
        main=main,
        files={
            **{name: source.encode() for name, source in files.items()},
            **{
                f"figures/{name}.svg": figure.svg.encode() for name, figure in parts.figures.items()
            },
            **{f"assets/{name}": data for name, data in look.assets.items()},
            **dict(job.workshop.pictures.values()),
        },
        fonts=look.fonts,
        title=frame["title"],
        author=frame["author"],
        language=content.statements.language,
        date=job.service.done,
        required=required_texts(content, look, parts.views) if required is None else required,
        vital=(vital := vital_texts(content) if required is None else ()),
        front=vital if frame["front"] else (),
        warnings=warning_texts(content) if frame["front"] else (),
        titles={c.text: c.title for c in content.statements.cautions} if vital else {},
        shown=Shown(
            content=content,
            parts=tuple(parts.parts),
            frame=frame,
            tokens=look.tokens,
            studio=ThemeRenderer(look, view, registry, parts.shared),
            width_pt=look.width_pt,
            versions=view.versions,
            hashes=view.hashes,
        ),
        attachments=attachments,
        origins=origins,
    )


def _job_place(content: Content) -> str:
    mark = content.reading.marks.get(("service",))
    return mark.file if mark else content.reading.files[0].name


def _more(statements: Statements) -> dict[str, str]:
    """Words for cautions that do not all stand on page one."""
    labels = statements.labels
    return {"title": labels["cautions_continued"], "note": labels["cautions_go_on"]}


def _sections(look: Look, registry: Registry) -> Iterator[Any]:
    """In the theme's order: those of plugins, and those that the theme brings as data."""
    known = registry.names("sections")
    for name in look.sections:
        yield registry.get("sections", name) if name in known else OwnSection(name)


def view_of(
    content: Content,
    look: Look,
    registry: Registry,
    world: World,
    attachments: tuple[Attachment, ...] = (),
) -> View:
    """All that sections and figures may look at."""
    language = registry.get("languages", content.statements.language)
    writing = content.reading.job.workshop.writing
    return View(
        job=content.reading.job,
        findings=content.findings,
        assessment=content.assessment,
        statements=content.statements,
        formats=formats_for(language.locale, dates=writing.dates, symbols=writing.symbols),
        ink=Ink.of(look.tokens),
        width_pt=look.width_pt,
        versions=world.versions,
        hashes={a.name: hashlib.sha256(a.data).hexdigest() for a in attachments},
        history=content.history,
    )


def frame_of(
    content: Content, sections: list[str], attachments: tuple[Attachment, ...] = ()
) -> dict[str, Any]:
    """Values of the frame around the sections."""
    job, label = content.reading.job, content.statements.label
    # The page numbers are known to Typst only: it gets the words around them.
    page_of = label("page_of", page="\0", pages="\0").split("\0")
    labels = content.statements.labels
    wing = f"{job.wing.model} {job.wing.size}, {labels['serial_number']} {job.wing.serial_number}"
    return {
        "title": label(
            "document_title",
            number=job.service.number,
            wing=f"{job.wing.maker} {job.wing.model} {job.wing.size}".strip(),
        ),
        "author": job.workshop.name,
        "date": job.service.done,
        "footer": f"{labels['service']} {job.service.number} · {wing}",
        "own_footer": job.workshop.footer,
        "page_of": page_of,
        "sections": sections,
        "front": sections[: len(_FRONT)] == _FRONT,
        "end": labels["end_of_report"],
        "attachments": attachments,
    }


def _refuse_holes(sources: list[str], content: Content, look: Look) -> None:
    """A glyph that no font has would print as a hole, or stop the archive format: say so first."""
    holes = uncovered("".join(sources), look.fonts)
    if not holes:
        return
    marks = content.reading.marks.values()
    found = {c: next((m for m in marks if c in m.source), None) for c in holes}
    raise ThemeError(
        [
            Fault(
                "no-glyph",
                f"No font of {look.theme_chain} can show “{c}” (U+{ord(c):04X}).",
                mark,
                "Write it another way, or use a theme with a font for this script.",
            )
            for c, mark in found.items()
        ]
    )


@dataclass(frozen=True)
class ThemeRenderer:
    """A theme at work for outputs that are not paper: figures in other widths, pages in HTML.

    It works only when it is asked, so that paper alone costs nothing more. `shared` are the values
    that all templates of a theme see. Implements `Renderer`.
    """

    look: Look
    view: View
    registry: Registry
    shared: Mapping[str, Any]

    def draw(self, name: str, width_pt: float, *, low: bool = False) -> Figure | None:
        """The figure as it is drawn for this width, in points, or with less height."""
        return drawing(self.registry, name, replace(self.view, width_pt=width_pt, low=low))

    def page(self, template: str, values: Mapping[str, Any]) -> str:
        """A template in HTML with each value escaped; raises ThemeError with file and line."""
        return self.look.templates.render(template, {**self.shared, **values})
