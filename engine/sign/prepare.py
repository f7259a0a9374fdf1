"""What a worker does of a signature: all that reads and writes the PDF, and nothing with a key."""

import datetime as dt
import json
from typing import Any

from trimscribe.compose.literal import literal
from trimscribe.compose.themes import resolve
from trimscribe.formats import formats_for
from trimscribe.model.manifest import Role
from trimscribe.model.statements import fill
from trimscribe.model.workshop import Workshop
from trimscribe.narrate.catalogue import load_labels
from trimscribe.narrate.written import Faults
from trimscribe.readback.contents import Contents, read_back
from trimscribe.readback.fingerprint import portrait_of
from trimscribe.registry import Registry, installed
from trimscribe.sign.codes import refusal
from trimscribe.sign.room import SignRequest, SignRoom
from trimscribe.sign.write import append_room, line_box
from trimscribe.typeset.compiler import compile_pdf

HEIGHT_PT = 12.0
_SIZE_PT = 7.0
_SOURCE = """\
#set document(title: {line})
#set page(width: {width} * 1pt, height: {height}pt, margin: 0pt, fill: none)
#set text(font: {font}, size: {size}pt, fill: rgb({colour}), lang: {language})
#align(right + horizon, {line})
"""


def prepared(asked: SignRequest) -> SignRoom:
    """Put the visible line and an empty signature behind a report.

    Raises SignError, ReadbackError, ThemeError or TypesetError.
    """
    contents = read_back(asked.report)
    seen = portrait_of(asked.report)
    if seen.signed:
        raise refusal("already-signed")
    line = words(contents, installed(), asked.holder, asked.day)
    look, place = asked.theme or contents.manifest.theme, line_box(seen.boxes[0], HEIGHT_PT)
    picture = stamp(contents, installed(), line, place[2] - place[0], asked.day, look)
    room = append_room(asked.report, picture, line, place, asked.certificate, asked.reserved)
    return SignRoom(room, len(seen.boxes))


def words(contents: Contents, registry: Registry, name: str, day: dt.date) -> str:
    """Such as: Signed electronically by Quarry Hill Canopy Works, 16 October 2026."""
    language = registry.get("languages", contents.manifest.about.language)
    date = formats_for(language.locale).date(day)
    faults = Faults()
    labels = load_labels(language.folder / "labels.yaml", faults)
    faults.stop()
    return fill(labels["signed_electronically"], {"name": name, "date": date})


def stamp(
    contents: Contents, registry: Registry, line: str, width_pt: float, day: dt.date, theme: str
) -> bytes:
    """A PDF of one page with the line at its right edge; raises ThemeError or TypesetError."""
    tokens = _tokens(contents)
    look = resolve(theme, Workshop(""), registry)
    written = {
        "width": width_pt,
        "font": look.tokens["font"],
        "colour": tokens.get("quiet", look.tokens["quiet"]),
        "language": contents.manifest.about.language,
        "line": line,
    }
    values = {name: literal(value) for name, value in written.items()}
    source = _SOURCE.format(**values, height=HEIGHT_PT, size=_SIZE_PT)
    midnight = dt.datetime.combine(day, dt.time(), dt.UTC)
    data, _ = compile_pdf({"main.typ": source.encode()}, look.fonts, int(midnight.timestamp()))
    return data


def _tokens(contents: Contents) -> dict[str, Any]:
    """The colours that the report was made with."""
    try:
        found = json.loads(contents.data(Role.THEME) or b"{}")["tokens"]
    except (ValueError, KeyError, TypeError):
        return {}
    return found if isinstance(found, dict) else {}
