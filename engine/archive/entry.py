"""One report as the index of a shelf knows it, taken from the PDF alone."""

import hashlib
import unicodedata
from dataclasses import dataclass

from trimscribe.archive.names import shelf_name
from trimscribe.readback import read_back, unreadable

__all__ = ["Entry", "entry_of", "folded"]


@dataclass(frozen=True)
class Entry:
    """What a shelf can be asked for. Empty where the report does not say; dates are ISO 8601.

    `path` is below the shelf; `sha256` that of the whole file; `replaces` is the service number of
    the report that this one replaces, and `replaces_sha256` the hash of that file.
    """

    path: str
    sha256: str
    service: str
    done: str
    workshop: str
    maker: str
    model: str
    size: str
    serial_number: str
    hours: float | None
    pilot: str
    verdict: str
    replaces: str
    replaces_sha256: str


def entry_of(data: bytes, path: str = "") -> Entry:
    """Read a PDF; `path` empty gives the place where it belongs. Raises ReadbackError."""
    contents = read_back(data)
    differing = [
        *(f"“{file.name}” is another file" for file in contents.altered()),
        *(f"“{name}” is missing" for name in contents.missing()),
    ]
    if differing:
        raise unreadable("attachments-differ", *differing)
    about = contents.manifest.about
    replaced = about.replaces
    return Entry(
        path=path or shelf_name(about.done, about.serial_number, about.service),
        sha256=hashlib.sha256(data).hexdigest(),
        service=about.service,
        done=about.done,
        workshop=about.workshop,
        maker=about.maker,
        model=about.model,
        size=about.size,
        serial_number=about.serial_number,
        hours=about.hours,
        pilot=about.pilot,
        verdict=about.verdict.value,
        replaces=replaced.report if replaced else "",
        replaces_sha256=replaced.sha256 if replaced else "",
    )


def folded(text: str) -> str:
    """Text as people compare it: no difference between cases, widths and runs of blanks."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())
