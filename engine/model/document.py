"""The composed report: its content, what it shows, and the Typst sources that set it on paper."""

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from pathlib import Path
from typing import Any, Protocol

from trimscribe.errors import Fault, Mark
from trimscribe.model.assessment import Assessment
from trimscribe.model.by_name import by_name
from trimscribe.model.findings import Findings
from trimscribe.model.history import History, ServiceSummary
from trimscribe.model.job import Reading
from trimscribe.model.statements import Statements

# The file of a document that says whether page one is made to fit, rung by rung from the look as
# designed, or is set as designed whether it fits or not.
LADDER = "ladder.typ"
LADDER_UP, LADDER_DOWN = "#let laddered = true\n", "#let laddered = false\n"
# What is in front of a section's own template, on its first line.
PART_HEAD = "#let part(dial) = ["
FRAME = ("kit.typ", "main.typ")  # what is in all sections and around them


@dataclass(frozen=True)
class Content:
    """A job as far as it goes without a page: what was read, found, may be said and is said.

    `warnings` are those of reading, then what looks wrong in the data.
    `summary` is what later services look back on; `history` looks back from this one, where
    earlier services are known.
    """

    reading: Reading
    findings: Findings
    assessment: Assessment
    statements: Statements
    warnings: tuple[Fault, ...] = ()
    summary: ServiceSummary | None = None
    history: History | None = None


@by_name
class Figure:
    """A drawing: SVG text, its size in points, and what a reader who cannot see it needs.

    `caption` is one line to be below it, or empty.
    """

    name: str
    svg: str
    width_pt: float
    height_pt: float
    alt: str
    caption: str = ""


@dataclass(frozen=True)
class Attachment:
    """A file carried inside the report; `relationship` as in ISO 19005-3 (source, data, …)."""

    name: str
    data: bytes
    media_type: str
    description: str
    relationship: str


class Renderer(Protocol):
    """The theme at work, for outputs that are not paper."""

    def draw(self, name: str, width_pt: float, *, low: bool = False) -> Figure | None:
        """One of the report's figures for another width, in points, or with less height."""

    def page(self, template: str, values: Mapping[str, Any]) -> str:
        """The theme's template such as `letter.html.j2`, each value escaped; raises ThemeError."""


@dataclass(frozen=True)
class Part:
    """One section as its templates get it; `figures` are the names of its drawings."""

    name: str
    values: Mapping[str, Any]
    figures: tuple[str, ...]


@dataclass(frozen=True)
class Shown:
    """What a report shows, whatever it is written on.

    `content` has what was found and said, `frame` the values around the parts, `tokens` the look,
    `width_pt` the width of the text on paper. `versions` are those of the software, `hashes` the
    SHA-256 of each attached file by name.
    """

    content: Content
    parts: tuple[Part, ...]
    frame: Mapping[str, Any]
    tokens: Mapping[str, Any]
    studio: Renderer
    width_pt: float
    versions: Mapping[str, str]
    hashes: Mapping[str, str]


@dataclass(frozen=True)
class FontFolder:
    """A folder of fonts as it was found: name, size and time (ns) of each font file.

    What is kept of fonts is kept by this value, so that a file that has changed is read again.
    """

    path: Path
    files: tuple[tuple[str, int, int], ...]


@dataclass(frozen=True)
class Document:
    """A report ready for any output.

    For paper: `files` is the whole private root of Typst, by path below it; the nth of
    `attachments`, from 0, is the file `attached/n` there, and `origins` maps a file to the theme
    template that it came from. For all else there is `shown`. `required` are the texts that every
    finished report must contain, and `vital` those of them that a pilot acts on: the pages that
    show them are looked at as a reader sees them. `front` are those that belong on page one, the
    warnings among them first of all in `warnings`; empty where the theme places them elsewhere.
    `titles` has, by the text of each caution, the title that it must follow. `title`, `author` and
    `date` are all that a file says of itself.
    """

    main: str
    files: Mapping[str, bytes]
    fonts: tuple[FontFolder, ...]
    title: str
    language: str
    date: dt.date
    required: tuple[str, ...]
    shown: Shown
    attachments: tuple[Attachment, ...] = ()
    origins: Mapping[str, Mark] = field(default_factory=dict)
    vital: tuple[str, ...] = ()
    front: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    titles: Mapping[str, str] = field(default_factory=dict)
    author: str = ""

    def template_for(self, text: str) -> Mark | None:
        """The template of the first section that was given a text; None where none was."""
        for part in self.shown.parts if self.shown else ():
            if text in " ".join(texts_in(part.values)) and (
                found := self.origins.get(f"{part.name}.typ")
            ):
                return Mark(found.file)
        return None

    def page_template_for(self, text: str) -> Mark | None:
        """The same of the page for the phone."""
        found = self.template_for(text)
        return found and Mark(found.file.replace(".typ.j2", ".html.j2"))


def texts_in(value: Any) -> Iterator[str]:
    """All texts within a value of a template, in order."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for inner in value.values():
            yield from texts_in(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from texts_in(inner)
    elif is_dataclass(value):
        for one in fields(value):
            yield from texts_in(getattr(value, one.name))
