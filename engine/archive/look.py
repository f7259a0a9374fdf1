"""A finished report as a shelf knows it, taken from its PDF: what reads a stranger's bytes."""

import hashlib

from trimscribe.archive.entry import Entry, ShelfReading
from trimscribe.archive.names import shelf_name
from trimscribe.readback import read_back, unreadable


def looked(data: bytes, path: str = "") -> ShelfReading:
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
    entry = Entry(
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
    return ShelfReading(entry, redacted=about.redacted)
