"""What those who write themes ask for: a start, what holds, and what is wrong before any job."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from trimscribe.compose.themes import brand_origin, resolve, sources
from trimscribe.errors import Fault, ThemeError, TypesetError
from trimscribe.model.document import Content, Document
from trimscribe.model.job import Reading
from trimscribe.model.report import Report
from trimscribe.model.workshop import InputFile, Setting, Workshop
from trimscribe.pipeline import in_language, prepare, understand
from trimscribe.read import read
from trimscribe.registry import Registry
from trimscribe.world import World

_STRESS = Path(__file__).parent / "compose" / "stress.yaml"
_STARTER = Path(__file__).parent / "compose" / "starter"
# What a workshop says that is not a token: how the report is written, and what is its own.
_WRITING = ("date_format", "number_format", "speed_unit")
_OWN = ("add_sections", "language", "logo", "signature", "footer", "terms")
_LONGEST = 60


@dataclass(frozen=True)
class Checked:
    """What a theme's check found; `trail` names the theme and its parents, `pages` by language.

    `says` is what the theme says in its own words, which nobody but a reader can judge.
    """

    trail: str
    faults: tuple[Fault, ...]
    pages: Mapping[str, int]
    says: tuple[str, ...] = ()


def settings(
    registry: Registry, *, job: str = "", theme: str = "", shop: str = ""
) -> tuple[Setting, ...]:
    """The look of a job's report, or of a theme alone, part by part with who set it.

    The tokens in alphabetical order, the sections, then what is not a token. Raises InputError for
    the job, ThemeError for the theme.
    """
    reading = read(job, registry, shop) if job else None
    workshop = reading.job.workshop if reading else Workshop("")
    marks = reading.marks if reading else {}
    look = resolve(theme, workshop, registry, marks)
    tokens = [
        Setting(name, _shown(look.tokens[name]), origin.source, origin.theme, origin.mark)
        for name, origin in sorted(look.origins.items())
    ]
    holder, source = next(found for found in sources(look.chain) if found[0].file.sections)
    sections = Setting(
        "sections",
        ", ".join(look.sections),
        source,
        holder.file.name,
        holder.file.marks.get(("sections",)),
    )
    return (*tokens, sections, *(_own(reading) if reading else ()))


def starter_files(name: str) -> Mapping[str, str]:
    """The files of a small theme by path, complete and ready to render.

    `name` becomes its own, as far as it can.
    """
    slug = re.sub(r"[^a-z0-9_-]+", "-", name.lower()).strip("-_0123456789")[:40] or "mine"
    files = {
        path.relative_to(_STARTER).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted(_STARTER.rglob("*"))
        if path.suffix in (".yaml", ".j2")
    }
    return files | {"theme.yaml": files["theme.yaml"].replace("name: starter", f"name: {slug}")}


def check_theme(theme: str, registry: Registry, world: World) -> Checked:
    """Look through a theme, then render the hardest job with it in every language.

    All that is wrong is in `faults`; nothing is raised for the theme's own mistakes.
    """
    from trimscribe.compose import compose
    from trimscribe.compose.lint import base_words, lint, texts_of, unaccounted, written
    from trimscribe.typeset.faces import false_faces
    from trimscribe.typeset.text import pdf_pages

    try:
        look, warnings = lint(theme, registry)
    except ThemeError as error:
        return Checked("", error.faults, {})
    faults, pages, says = list(warnings), {}, [*written(look)]
    known = [*base_words(look)]
    families = (look.tokens["font_drawings"], look.tokens["font"])
    faults += false_faces(families, look.fonts, _honest(registry))
    stress = prepare(_STRESS, registry)
    for language in registry.names("languages"):
        try:
            document = compose(_in(stress, language, registry), registry, world, theme)
            report: Report = registry.get("outputs", "pdf").make(document)
            registry.get("outputs", "html").make(document)
        except (ThemeError, TypesetError) as error:
            faults += error.faults
            continue
        pages[language] = report.pages
        faults += _seen(document, report)
        brought = [*known, *texts_of(_brought(document))]
        says += unaccounted(pdf_pages(report.data), brought)
    said = tuple(dict.fromkeys(" ".join(text.split()) for text in says))
    return Checked(look.theme_chain, tuple(dict.fromkeys(faults)), pages, said)


def _honest(registry: Registry) -> Mapping[str, Path]:
    """Families of themes that ship, which draw what they say, and where their fonts are."""
    found = {}
    for name in ("base", "linden", "bench"):
        look = resolve(name, Workshop(""), registry)
        found[look.tokens["font"]] = look.chain[0].path / "fonts"
    return found


def _in(stress: Content, language: str, registry: Registry) -> Content:
    """The stress job in another language."""
    if stress.statements.language == language:
        return stress
    return understand(in_language(stress.reading, language), registry)


def _seen(document: Document, report: Report) -> Iterator[Fault]:
    """What is wrong on any page, which a report of every day is looked through for only in part."""
    from trimscribe.typeset.faces import joined_letters
    from trimscribe.typeset.layout import misplaced
    from trimscribe.typeset.pdf import unseen_faults
    from trimscribe.typeset.text import seen_in

    placed = misplaced(report.data)
    yield from placed
    codes = {fault.code for fault in placed}
    yield from (fault for fault in report.warnings if fault.code not in codes)
    yield from joined_letters(report.data)
    seen = seen_in(report.data, document.required, titles=document.titles)
    yield from unseen_faults(seen.unseen, document)


def _brought(document: Document) -> tuple[object, ...]:
    """All that a report's templates and drawings were given to say."""
    shown = document.shown
    drawn = [
        shown.studio.draw(name, shown.width_pt) for part in shown.parts for name in part.figures
    ]
    return (
        shown.frame,
        shown.content.statements.labels,
        [part.values for part in shown.parts],
        [(figure.svg, figure.caption) for figure in drawn if figure],
    )


def _own(reading: Reading) -> Iterator[Setting]:
    workshop, marks = reading.job.workshop, reading.marks
    values = {name: getattr(workshop, name) for name in _OWN}
    values |= {name: getattr(workshop.writing, name) for name in _WRITING}
    for name, value in sorted(values.items()):
        if value:
            origin = brand_origin(name, marks)
            yield Setting(name, _shown(value), origin.source, mark=origin.mark)
        elif name in _WRITING:
            yield Setting(name, "as usual", "language")


def _shown(value: object) -> str:
    if isinstance(value, tuple):
        value = ", ".join(f"{name} after {other}" for name, other in value)
    if isinstance(value, InputFile):
        return value.name
    text = f"{value:g}" if isinstance(value, float) else " ".join(str(value).split())
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"
