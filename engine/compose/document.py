"""Compose one report, or a bench sheet: what every section shows, drawn and set, as a Document.

With it goes what the finished pages must say and show legibly, whatever their theme does.
"""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from trimscribe.compose.attachments import attachments_of, packages_of
from trimscribe.compose.glyphs import uncovered
from trimscribe.compose.themes import Look, resolve
from trimscribe.compose.wording import OwnSection, about, phrases_of, reworded
from trimscribe.contracts import SectionView, View
from trimscribe.errors import Fault, Mark, PluginError, ThemeError
from trimscribe.formats import formats_for
from trimscribe.model.document import (
    FRAME,
    LADDER,
    LADDER_UP,
    PART_HEAD,
    Attachment,
    Content,
    Document,
    Figure,
    Part,
    Shown,
)
from trimscribe.model.ink import Ink
from trimscribe.model.manifest import Package
from trimscribe.model.plan import Plan
from trimscribe.model.statements import GroupVerdict, Place, Statements, Weight
from trimscribe.model.workshop import names_folder
from trimscribe.registry import Registry
from trimscribe.resources.pictures import drawing_fault
from trimscribe.whereabouts import at
from trimscribe.world import World

# The sections of page one. Where a report begins with them, they may be made to fit it.
_FRONT = ["letter.typ", "cautions.typ"]
_OURS = "trimscribe"  # the package whose figures need no look, and whose version is told anyway
# Where sentences are that are not of the letter or the record, which every report has.
_HOLDERS = {
    Place.CHARTS: "lines",
    Place.CHANGES: "changes",
    **dict.fromkeys(
        (Place.BRAKES, Place.CLOTH, Place.STRENGTH, Place.RISERS, Place.INSPECTION), "checks"
    ),
}
_LETTER = (Place.HEADLINE, Place.FOUND, Place.DONE, Place.AIR, Place.BEFORE_FLYING)


def compose(content: Content, registry: Registry, world: World, theme: str = "") -> Document:
    """Return the document of one report in one theme.

    `theme` is a name or folder; empty means the workshop's own or base. Raises ThemeError.
    """
    content, look = _in_look(content, registry, theme)
    attachments = attachments_of(content, look, registry, world)
    view = view_of(content, look, registry, world, attachments)
    sections = tuple(_sections(look, registry))
    if strange := [one for one in packages_of(content, look, registry, world) if _draws_only(one)]:
        # Of other packages' figures nobody knows before which are asked for.
        asked = {f"figures/{n}" for s in sections if (seen := s.view(view)) for n in seen.figures}
        drawing = {one.name: one.version for one in strange if asked & {*one.plugins}}
        view = replace(view, versions={**view.versions, **drawing})
    parts = _rendered(sections, view, look, registry)
    frame = _frame(content, parts.names, attachments)
    document = _assembled(content, look, view, registry, parts, frame, attachments)
    _say_whose(content, look, theme)
    return document


def compose_sheet(
    content: Content, plan: Plan, taken: int, registry: Registry, world: World, theme: str = ""
) -> Document:
    """Return the bench sheet of the proposal `taken`, counted from 0; raises ThemeError.

    It carries no files: it is for the hands, and the job is where the plan came from. It must say
    what its section asks for, and none of a report's own texts.
    """
    content, look = _in_look(content, registry, theme)
    view = replace(view_of(content, look, registry, world), plan=plan, taken=taken)
    parts = _rendered([registry.get("sections", "bench_sheet")], view, look, registry)
    required = tuple(dict.fromkeys(text for seen in parts.views for text in seen.required))
    frame = _frame(content, parts.names)
    labels = content.statements.labels
    number = content.reading.job.service.number
    frame |= {
        "title": content.statements.label(
            "sheet_document_title", number=number, wing=_wing(content)
        ),
        "footer": f"{labels['sheet_footer']} · {frame['footer']}",
        "own_footer": "",
        "end": labels["sheet_end"],
    }
    document = _assembled(content, look, view, registry, parts, frame, ())
    _say_whose(content, look, theme)
    return replace(document, required=required, vital=(), titles={})


def _in_look(content: Content, registry: Registry, theme: str) -> tuple[Content, Look]:
    """The look that a theme gives this content, and the content in the theme's own headings."""
    look = resolve(theme, content.reading.job.workshop, registry, content.reading.marks)
    statements = reworded(content.statements, look.chain)
    return replace(content, statements=statements), look


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
        versions={**world.versions, **_added(content, look, registry, world)},
        hashes={a.name: hashlib.sha256(a.data).hexdigest() for a in attachments},
        history=content.history,
    )


def _added(content: Content, look: Look, registry: Registry, world: World) -> Mapping[str, str]:
    """Versions of other packages that took part; of figures nobody knows yet which are drawn."""
    return {
        package.name: package.version
        for package in packages_of(content, look, registry, world)
        if package.name != _OURS and not _draws_only(package)
    }


def _draws_only(package: Package) -> bool:
    """Whether a package brings figures alone."""
    return all(plugin.startswith("figures/") for plugin in package.plugins)


def _sections(look: Look, registry: Registry) -> Iterator[Any]:
    """In the theme's order: those of plugins, and those that the theme brings as data."""
    known = registry.names("sections")
    for name in look.sections:
        yield registry.get("sections", name) if name in known else OwnSection(name)


@dataclass
class _Rendered:
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


def _rendered(sections: Iterable[Any], view: View, look: Look, registry: Registry) -> _Rendered:
    """Let each section choose its values and the theme set them; one with nothing is left out."""
    language = view.statements.language
    out = _Rendered({"t": look.tokens, "phrases": phrases_of(look.chain, language, about(view))})
    for section in sections:
        seen = section.view(view)
        if seen is None:
            continue
        drawn = [f for n in seen.figures if (f := _drawing(registry, n, view, section.name))]
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


def _drawing(registry: Registry, name: str, view: View, section: str = "") -> Figure | None:
    """A figure by name, the same for paper and page; PluginError for one that neither may show."""
    try:
        maker = registry.get("figures", name)
    except PluginError as error:
        asks = f"The section “{section}” asks for it."
        faults = [replace(fault, message=f"{fault.message} {asks}") for fault in error.faults]
        raise PluginError(faults) from error
    figure: Figure | None = maker.draw(view)
    package, _ = registry.package("figures", name) or ("", "")
    if figure and package != _OURS and (wrong := drawing_fault(figure.svg, figure.name)):
        words = f"The figure “{name}”, from {package}: {wrong}."
        hint = "A figure is plain SVG: shapes and text, without scripts, links and pictures."
        raise PluginError.of("figure-refused", words, hint=hint)
    return figure


def _more(statements: Statements) -> dict[str, str]:
    """Words for cautions that do not all stand on page one."""
    labels = statements.labels
    return {"title": labels["cautions_continued"], "note": labels["cautions_go_on"]}


def _frame(
    content: Content, sections: list[str], attachments: tuple[Attachment, ...] = ()
) -> dict[str, Any]:
    """Values of the frame around the sections."""
    job, label = content.reading.job, content.statements.label
    # The page numbers are known to Typst only: it gets the words around them.
    page_of = label("page_of", page="\0", pages="\0").split("\0")
    labels = content.statements.labels
    return {
        "title": label("document_title", number=job.service.number, wing=job.wing.full_name),
        "author": job.workshop.name,
        "date": job.service.done,
        "footer": f"{labels['service']} {job.service.number} · {_wing(content)}",
        "own_footer": job.workshop.footer,
        "page_of": page_of,
        "sections": sections,
        "front": sections[: len(_FRONT)] == _FRONT,
        "end": labels["end_of_report"],
        "attachments": attachments,
    }


def _wing(content: Content) -> str:
    wing, named = content.reading.job.wing, content.statements.labels["serial_number"]
    return f"{wing.model} {wing.size}, {named} {wing.serial_number}"


def _assembled(
    content: Content,
    look: Look,
    view: View,
    registry: Registry,
    parts: _Rendered,
    frame: dict[str, Any],
    attachments: tuple[Attachment, ...],
) -> Document:
    """Put the frame around rendered sections."""
    job, files, origins = content.reading.job, dict(parts.files), dict(parts.origins)
    spoken = registry.get("languages", content.statements.language)
    frame = {**frame, "language": spoken.locale.partition("_")[0]}  # a pack may be called otherwise
    files[LADDER] = LADDER_UP
    files["kit.typ"] = look.templates.render("kit.typ.j2", parts.shared)
    main = look.templates.render("main.typ.j2", {**parts.shared, **frame})
    origins |= {n: look.templates.origin(f"{n}.j2") for n in FRAME}
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
        required=_required_texts(content, look, parts.views),
        vital=(vital := _vital_texts(content)),
        front=vital if frame["front"] else (),
        warnings=_warning_texts(content) if frame["front"] else (),
        titles={c.text: c.title for c in content.statements.cautions},
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


def _required_texts(content: Content, look: Look, views: Iterable[SectionView]) -> tuple[str, ...]:
    """Identification, sentences, cautions, verdicts, and what the sections ask for, each once.

    A theme may leave a section out that is not required, and with it what is said there.
    """
    return tuple(dict.fromkeys([*_said(content, look), *(t for v in views for t in v.required)]))


def _said(content: Content, look: Look) -> Iterator[str]:
    job, statements = content.reading.job, content.statements
    yield from (job.service.number, job.wing.serial_number, job.workshop.name)
    yield f"{job.wing.model} {job.wing.size}"
    for sentence in statements.sentences:
        if _HOLDERS.get(sentence.place, "letter") in look.sections:
            yield sentence.text
    for caution in statements.cautions:
        yield from (caution.title, caution.text)
    yield from map(_verdict, statements.verdicts)
    yield from (statements.labels[key] for key in ("decision_rule", "not_covered"))


def _vital_texts(content: Content) -> tuple[str, ...]:
    """Of the required texts those that a pilot acts on: the letter's, its verdicts, cautions."""
    statements = content.statements
    letter = (s.text for s in statements.sentences if s.place in _LETTER)
    cautions = (text for c in statements.cautions for text in (c.title, c.text))
    verdicts = (_verdict(verdict) for verdict in statements.verdicts)
    return tuple(dict.fromkeys([*letter, *verdicts, *cautions]))


def _warning_texts(content: Content) -> tuple[str, ...]:
    """Titles and texts of the cautions that the findings add."""
    warnings = (c for c in content.statements.cautions if c.weight is Weight.WARNING)
    return tuple(text for caution in warnings for text in (caution.title, caution.text))


def _verdict(verdict: GroupVerdict) -> str:
    """A verdict's words right behind what they judge."""
    return f"{verdict.label} {verdict.words}"


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
        return _drawing(self.registry, name, replace(self.view, width_pt=width_pt, low=low))

    def page(self, template: str, values: Mapping[str, Any]) -> str:
        """A template in HTML with each value escaped; raises ThemeError with file and line."""
        return self.look.templates.render(template, {**self.shared, **values})


def _say_whose(content: Content, look: Look, theme: str) -> None:
    """Say whose the document is that Typst sets next, which templates can keep busy for ever."""
    own = names_folder(theme or content.reading.job.workshop.theme)
    at(f"{look.chain[0].shown}/theme.yaml" if own else _job_place(content))


def _job_place(content: Content) -> str:
    mark = content.reading.marks.get(("service",))
    return mark.file if mark else content.reading.files[0].name
