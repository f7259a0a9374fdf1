"""Compose one report: what every section shows, drawn, rendered and gathered into a Document."""

import hashlib
import itertools
import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import PurePosixPath
from typing import Any

from trimscribe.compose.glyphs import uncovered
from trimscribe.compose.themes import Look, resolve
from trimscribe.contracts import SectionView, View
from trimscribe.errors import Fault, Mark, ThemeError
from trimscribe.formats import formats_for
from trimscribe.model.content import Content
from trimscribe.model.document import Attachment, Document, Figure
from trimscribe.model.plain import to_plain
from trimscribe.model.statements import Place
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["compose", "view_of"]

FINDINGS = "findings.json"


def compose(content: Content, registry: Registry, world: World, theme: str = "") -> Document:
    """Return the document of one report in one theme.

    `theme` is a name or folder; empty means the workshop's own or base. Raises ThemeError.
    """
    job = content.reading.job
    look = resolve(theme, job.workshop, registry)
    attachments = _attachments(content)
    view = view_of(content, look, registry, world, attachments)
    files: dict[str, str] = {}
    origins: dict[str, Mark] = {}
    figures: dict[str, Figure] = {}
    shown: list[str] = []
    for name in look.sections:
        section = registry.get("sections", name)
        seen: SectionView | None = section.view(view)
        if seen is None:
            continue
        drawn = [f for n in seen.figures if (f := registry.get("figures", n).draw(view))]
        figures |= {figure.name: figure for figure in drawn}
        values = {**seen.values, "figures": drawn, "t": look.tokens}
        files[f"{name}.typ"] = look.templates.render(section.template, values)
        origins[f"{name}.typ"] = look.templates.origin(section.template)
        shown.append(f"{name}.typ")
    files["kit.typ"] = look.templates.render("kit.typ.j2", {"t": look.tokens})
    title = _title(content)
    main = look.templates.render(
        "main.typ.j2", _frame(content, look, view, title, shown, attachments)
    )
    origins |= {n: look.templates.origin(f"{n}.j2") for n in ("kit.typ", "main.typ")}
    _refuse_holes([*files.values(), main, *(f.svg for f in figures.values())], content, look)
    return Document(
        main=main,
        files={
            **{name: source.encode() for name, source in files.items()},
            **{f"figures/{name}.svg": figure.svg.encode() for name, figure in figures.items()},
        },
        fonts=look.fonts,
        title=title,
        language=content.statements.language,
        date=job.service.done,
        required=tuple(_required(content, look)),
        attachments=attachments,
        origins=origins,
    )


def view_of(
    content: Content,
    look: Look,
    registry: Registry,
    world: World,
    attachments: tuple[Attachment, ...] = (),
) -> View:
    """All that sections and figures may look at."""
    language = registry.get("languages", content.statements.language)
    return View(
        job=content.reading.job,
        findings=content.findings,
        statements=content.statements,
        formats=formats_for(language.locale),
        ink=look.ink,
        width_pt=look.width_pt,
        versions=world.versions,
        hashes={a.name: hashlib.sha256(a.data).hexdigest() for a in attachments},
    )


def _frame(
    content: Content,
    look: Look,
    view: View,
    title: str,
    shown: list[str],
    attachments: tuple[Attachment, ...],
) -> Mapping[str, Any]:
    """Values of the frame around the sections."""
    job, label = content.reading.job, content.statements.label
    # The page numbers are known to Typst only: it gets the words around them.
    page_of = label("page_of", page="\0", pages="\0").split("\0")
    labels = content.statements.labels
    wing = f"{job.wing.model} {job.wing.size}, {labels['serial_number']} {job.wing.serial_number}"
    return {
        "t": look.tokens,
        "title": title,
        "author": job.workshop.name,
        "date": job.service.done,
        "language": content.statements.language,
        "footer": f"{labels['service']} {job.service.number} · {wing}",
        "page_of": page_of,
        "sections": shown,
        "attachments": attachments,
    }


def _title(content: Content) -> str:
    job = content.reading.job
    return content.statements.label(
        "document_title",
        number=job.service.number,
        wing=f"{job.wing.maker} {job.wing.model} {job.wing.size}".strip(),
    )


# Where sentences stand that are not of the letter or the record, which every report has.
_SECTIONS = {
    Place.CHARTS: "lines",
    Place.CHANGES: "changes",
    **dict.fromkeys(
        (Place.BRAKES, Place.CLOTH, Place.STRENGTH, Place.RISERS, Place.INSPECTION), "checks"
    ),
}


def _required(content: Content, look: Look) -> Iterator[str]:
    """What the finished report must say, whatever the theme does.

    A theme may leave a section out that is not required, and with it what is said there.
    """
    job, statements = content.reading.job, content.statements
    yield from (job.service.number, job.wing.serial_number, job.workshop.name)
    for sentence in statements.sentences:
        if _SECTIONS.get(sentence.place, "letter") in look.sections:
            yield sentence.text
    for caution in statements.cautions:
        yield from (caution.title, caution.text)
    for verdict in statements.verdicts:
        yield from (verdict.label, verdict.words)
    yield from (statements.labels[key] for key in ("decision_rule", "not_covered"))


def _attachments(content: Content) -> tuple[Attachment, ...]:
    """The files as they were read, and the findings with what was said of them."""
    labels = content.statements.labels
    files = content.reading.files
    inputs = [
        Attachment(name, file.data, file.media_type, labels["attached_input"], "source")
        for name, file in zip(_names([f.name for f in files]), files, strict=True)
    ]
    found = {
        "findings": content.findings,
        "statements": content.statements.sentences,
        "cautions": content.statements.cautions,
    }
    made = Attachment(
        FINDINGS, _json(found), "application/json", labels["attached_findings"], "data"
    )
    return (*inputs, made)


def _json(parts: Mapping[str, object]) -> bytes:
    """One part a line: json's own indenting takes as long as all the drawings."""
    lines = (
        f"{json.dumps(name)}: {json.dumps(to_plain(part), ensure_ascii=False, sort_keys=True)}"
        for name, part in parts.items()
    )
    return "{{\n{}\n}}\n".format(",\n".join(lines)).encode()


def _names(paths: Sequence[str]) -> Iterator[str]:
    """A plain name for each file, no two alike whatever folders they lie in."""
    taken = {FINDINGS}
    for path in paths:
        parts = [part for part in PurePosixPath(path).parts if part not in ("..", "/")]
        folders = ["-".join(parts[-n:]) for n in range(1, len(parts) + 1)]
        numbered = (f"{n}-{parts[-1]}" for n in itertools.count(2))
        name = next(n for n in itertools.chain(folders, numbered) if n.lower() not in taken)
        taken.add(name.lower())
        yield name


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
                f"No font of the theme “{look.name}” can show “{c}” (U+{ord(c):04X}).",
                mark,
                "Write it another way, or use a theme with a font for this script.",
            )
            for c, mark in found.items()
        ]
    )
