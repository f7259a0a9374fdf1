"""Compose one report: what every section shows, drawn, rendered and gathered into a Document."""

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from trimscribe.compose.attachments import attachments_of
from trimscribe.compose.glyphs import uncovered
from trimscribe.compose.look import Look
from trimscribe.compose.pictures import pictures_of
from trimscribe.compose.required import required_texts, vital_texts, warning_texts
from trimscribe.compose.sections.own import OwnSection, about
from trimscribe.compose.studio import ThemeStudio
from trimscribe.compose.themes import resolve
from trimscribe.compose.wording import phrases_of, reworded
from trimscribe.contracts import SectionView, View
from trimscribe.errors import Fault, Mark, ThemeError
from trimscribe.formats import formats_for
from trimscribe.model.content import Content
from trimscribe.model.document import LADDER, LADDER_DOWN, Attachment, Document, Figure, Part, Shown
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["compose", "view_of"]

# The sections of page one. Where a report begins with them, they may be made to fit it.
_FRONT = ["letter.typ", "cautions.typ"]


def compose(content: Content, registry: Registry, world: World, theme: str = "") -> Document:
    """Return the document of one report in one theme.

    `theme` is a name or folder; empty means the workshop's own or base. Raises ThemeError.
    """
    job = content.reading.job
    look = resolve(theme, job.workshop, registry, content.reading.marks)
    content = replace(content, statements=reworded(content.statements, look))
    language = content.statements.language
    attachments = attachments_of(content, look, registry, world)
    view = view_of(content, look, registry, world, attachments)
    shared = {"t": look.tokens, "phrases": phrases_of(look, language, about(view))}
    files: dict[str, str] = {}
    origins: dict[str, Mark] = {}
    figures: dict[str, Figure] = {}
    views: list[SectionView] = []
    parts: list[Part] = []
    for section in _sections(look, registry):
        seen = section.view(view)
        if seen is None:
            continue
        drawn = [f for n in seen.figures if (f := registry.get("figures", n).draw(view))]
        figures |= {figure.name: figure for figure in drawn}
        name = f"{section.name}.typ"
        made = look.templates.render(
            section.template, {**shared, **seen.values, "figures": drawn, "more": _more(content)}
        )
        # On the first line with the template's own, so that the places of faults stay its.
        files[name] = f"#let part(dial) = [{made}]\n"
        origins[name] = look.templates.origin(section.template)
        views.append(seen)
        parts.append(Part(section.name, seen.values, tuple(f.name for f in drawn)))
    sections = list(files)
    files[LADDER] = LADDER_DOWN
    files["kit.typ"] = look.templates.render("kit.typ.j2", shared)
    frame = _frame(content, sections, attachments)
    main = look.templates.render("main.typ.j2", {**shared, **frame})
    origins |= {n: look.templates.origin(f"{n}.j2") for n in ("kit.typ", "main.typ")}
    _refuse_holes([*files.values(), main, *(f.svg for f in figures.values())], content, look)
    return Document(
        main=main,
        files={
            **{name: source.encode() for name, source in files.items()},
            **{f"figures/{name}.svg": figure.svg.encode() for name, figure in figures.items()},
            **{f"assets/{name}": data for name, data in look.assets.items()},
            **pictures_of(job.workshop),
        },
        fonts=look.fonts,
        title=frame["title"],
        language=language,
        date=job.service.done,
        required=required_texts(content, look, views),
        vital=(vital := vital_texts(content)),
        front=vital if frame["front"] else (),
        warnings=warning_texts(content) if frame["front"] else (),
        shown=Shown(
            content=content,
            parts=tuple(parts),
            frame=frame,
            tokens=look.tokens,
            studio=ThemeStudio(look, view, registry, shared),
            width_pt=look.width_pt,
            versions=view.versions,
            hashes=view.hashes,
        ),
        attachments=attachments,
        origins=origins,
    )


def _more(content: Content) -> dict[str, str]:
    """Words for cautions that do not all stand on page one."""
    labels = content.statements.labels
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
        statements=content.statements,
        formats=formats_for(language.locale, dates=writing.dates, symbols=writing.symbols),
        ink=look.ink,
        width_pt=look.width_pt,
        versions=world.versions,
        hashes={a.name: hashlib.sha256(a.data).hexdigest() for a in attachments},
        history=content.history,
    )


def _frame(
    content: Content, sections: list[str], attachments: tuple[Attachment, ...]
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
        "language": content.statements.language,
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
                f"No font of {look.trail} can show “{c}” (U+{ord(c):04X}).",
                mark,
                "Write it another way, or use a theme with a font for this script.",
            )
            for c, mark in found.items()
        ]
    )
