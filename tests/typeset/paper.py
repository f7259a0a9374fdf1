"""A document on paper alone, for the tests here to set."""

import datetime as dt

from trimscribe.model.document import Document, FontFolder
from trimscribe.themes import base

FRAME = '#set document(title: "T")\n#set text(font: "Inter", lang: "en")\n'


def document(body: str, *required: str, **files: bytes) -> Document:
    """These words in base's font; files by name, with an underscore for the dot."""
    return Document(
        main=FRAME + body,
        files={name.replace("_", "."): data for name, data in files.items()},
        fonts=(FontFolder(base.folder / "fonts", ()),),
        title="T",
        language="en",
        date=dt.date(2026, 10, 16),
        required=required,
        shown=None,  # paper alone
    )
