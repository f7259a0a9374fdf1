"""What a finished PDF says of itself, where no page shows it."""

from collections.abc import Iterator

import pypdfium2

from trimscribe.errors import Fault
from trimscribe.model.document import Document
from trimscribe.typeset.text import PDFIUM

_OWN = {"Creator", "Producer", "ModDate"}  # of the programs that made it


def foreign_words(data: bytes, document: Document) -> Iterator[Fault]:
    """A fault for each field that is not as the document has it: a theme has its pages alone."""
    with PDFIUM:
        pdf = pypdfium2.PdfDocument(data)
        try:
            told: dict[str, str] = pdf.get_metadata_dict(skip_empty=True)
        finally:
            pdf.close()
    wanted = {"Title": document.title, "Author": document.author}
    dated = f"D:{document.date:%Y%m%d}"
    for name in sorted(({*told} | {*wanted}) - _OWN):
        said = told.get(name, "")
        if said != wanted.get(name, "") and not (name == "CreationDate" and said.startswith(dated)):
            yield Fault(
                "metadata-replaced",
                f"The finished report says “{said}” as its {name}.",
                hint="A theme changes pages. Take `set document` out of its templates.",
            )
