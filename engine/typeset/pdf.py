"""The PDF output: PDF/A-3a and PDF/UA-1, or an error that says what is wrong and where."""

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import typst

from trimscribe.errors import Fault, Mark, Severity, TypesetError
from trimscribe.model.document import FRAME, LADDER, LADDER_DOWN, PART_HEAD, Document
from trimscribe.model.latest import keep_latest
from trimscribe.model.report import Report
from trimscribe.typeset.compiler import compile_pdf, without_root
from trimscribe.typeset.layout import overprint_warnings
from trimscribe.typeset.text import Seen, Unseen, seen_in

# The line of a diagnostic that names the place: "┌─ folder/sections/letter.typ:12:4".
_PLACE = re.compile(r"┌─ (?:.*?/)?(?P<file>[\w./-]+\.typ):(?P<line>\d+):(?P<column>\d+)")
# What a template fills in, decides or leaves out.
_SLOT = re.compile(r"<<.*?>>|<%.*?%>|<#.*?#>")
_OWN = {"Creator", "Producer", "ModDate"}  # of the programs that made it


@dataclass(frozen=True)
class PdfOutput:
    """Sets a document as an archival, accessible PDF."""

    contract: int = 2
    name: str = "pdf"
    suffix: str = ".pdf"

    def make(self, document: Document) -> Report:
        """Return the PDF; raises TypesetError when it does not set or lacks a required text.

        The document that was set last is not set again, since other outputs are made from the PDF.
        """
        return _set(document)


@keep_latest
def _set(document: Document) -> Report:
    data, warnings, found = _tried(document)
    if found.unseen and document.front:
        designed = _tried(document, laddered=False)
        # Never at the price of a text: what is not legible so that page one fits stays as designed.
        if not designed[-1].unseen:
            data, warnings, found = designed
    later = [text for text in document.warnings if text in found.later]
    if faults := (*unseen_faults(found.unseen, document), *_foreign_words(found, document)):
        raise TypesetError(faults)
    return Report(
        data=data,
        suffix=PdfOutput.suffix,
        media_type="application/pdf",
        pages=found.pages,
        warnings=(
            *(Fault("typesetting-warning", w, severity=Severity.WARNING) for w in warnings),
            *overprint_warnings(found.overprinted),
            *map(_beyond_page_one, later),
        ),
    )


def _tried(document: Document, *, laddered: bool = True) -> tuple[bytes, tuple[str, ...], Seen]:
    """Set a document, page one so that it fits or as designed, and read it back."""
    files = {**document.files, "main.typ": document.main.encode()}
    if not laddered:
        files[LADDER] = LADDER_DOWN.encode()
    elif document.front:
        files |= _low_figures(document)
    # By number: Typst never forgets a path, nor what was read from it.
    files |= {f"attached/{n}": item.data for n, item in enumerate(document.attachments)}
    midnight = dt.datetime.combine(document.date, dt.time(), dt.UTC)
    try:
        data, warnings = compile_pdf(files, document.fonts, int(midnight.timestamp()))
    except typst.TypstError as error:
        raise TypesetError(_fault(error, document)) from None
    return data, warnings, seen_in(data, document.required, document.vital, document.titles)


def _low_figures(document: Document) -> dict[str, bytes]:
    """The figures of page one again, with less height."""
    shown = document.shown
    names = [name for part in shown.parts[:1] for name in part.figures]
    drawn = (shown.studio.draw(name, shown.width_pt, low=True) for name in names)
    return {f"figures/{low.name}_low.svg": low.svg.encode() for low in drawn if low}


def _beyond_page_one(text: str) -> Fault:
    message = f"The warning “{text}” does not fit on page one."
    hint = "Take a theme that needs less room, or shorten the workshop's own texts."
    return Fault("warning-beyond-page-one", message, hint=hint, severity=Severity.WARNING)


def unseen_faults(texts: Iterable[Unseen], document: Document) -> tuple[Fault, ...]:
    """One fault for each required text that is not there, or not legible."""
    return tuple(_unseen(text, document.template_for(text.text)) for text in texts)


def _unseen(text: Unseen, template: Mark | None) -> Fault:
    if text.why:
        return Fault(
            "required-text-unreadable",
            f"The finished report holds “{text.text}”, but {text.why}.",
            template,
            hint="A theme may restyle and move this text, as long as everybody can read it.",
        )
    return Fault(
        "required-text-missing",
        f"The finished report does not show “{text.text}”.",
        template,
        hint="A theme may restyle and move this text, never leave it out or tear it over pages.",
    )


def _fault(error: typst.TypstError, document: Document) -> Fault:
    """Say where in the theme the trouble is; the diagnostic's own paths stay inside."""
    message, hint = without_root(error.message), without_root(" ".join(error.hints))
    trail = [
        (name, place)
        for place in _PLACE.finditer(error.diagnostic)
        if (name := next((f for f in document.origins if place["file"].endswith(f)), None))
    ]
    if not trail:
        return Fault("does-not-set", message, hint=hint)
    # What fails in a piece of the kit is as a rule what a section has handed it.
    inner = trail[0]
    asked = next((found for found in trail if found[0] not in FRAME), inner)
    if asked is not inner:
        message += f", within {_origin(document, *inner)}"
    return Fault("does-not-set", message, _origin(document, *asked), hint)


def _origin(document: Document, name: str, place: re.Match[str]) -> Mark:
    """The template line that gave a line of Typst: the same, or the one that it can come from."""
    template = document.origins[name]
    made = document.files.get(name, b"").decode().splitlines()
    line, column = int(place["line"]), int(place["column"]) + 1  # Typst counts these from 0
    text = made[line - 1] if 0 < line <= len(made) else ""
    if line == len(made) and made[0].startswith(PART_HEAD):
        text = text.removesuffix("]")
    if text.startswith(PART_HEAD):
        text, column = text.removeprefix(PART_HEAD), max(1, column - len(PART_HEAD))
    written = template.source.splitlines()
    if text.strip() and text in written:
        return Mark(template.file, written.index(text) + 1, column, source=text)
    filled = [n for n, one in enumerate(written, 1) if text.strip() and _filled(one, text)]
    if len(filled) == 1:
        return Mark(template.file, filled[0], source=written[filled[0] - 1])
    return Mark(template.file, source=text)


def _filled(written: str, text: str) -> bool:
    """Whether a line of a template can give a line of Typst: the same around what is filled in."""
    around = _SLOT.split(written)
    pattern = ".*".join(re.escape(part) for part in around)
    return any(part.strip() for part in around) and re.fullmatch(pattern, text) is not None


def _foreign_words(found: Seen, document: Document) -> Iterator[Fault]:
    """A fault for each field that is not as the document has it: a theme has its pages alone."""
    wanted = {"Title": document.title, "Author": document.author}
    dated = f"D:{document.date:%Y%m%d}"
    for name in sorted(({*found.metadata} | {*wanted}) - _OWN):
        said = found.metadata.get(name, "")
        if said != wanted.get(name, "") and not (name == "CreationDate" and said.startswith(dated)):
            yield Fault(
                "metadata-replaced",
                f"The finished report says “{said}” as its {name}.",
                hint="A theme changes pages. Take `set document` out of its templates.",
            )


output = PdfOutput()
