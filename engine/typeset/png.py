"""Page one as a picture, for messages; all that the report says goes with it as text."""

from dataclasses import dataclass

from trimscribe.model.document import Document
from trimscribe.model.report import Report
from trimscribe.typeset.pdf import output as pdf
from trimscribe.typeset.pictures import page_one_png
from trimscribe.typeset.text import pdf_pages


@dataclass(frozen=True)
class PngOutput:
    """Draws the first page of the PDF, which was checked as every PDF is."""

    contract: int = 2
    name: str = "png"
    suffix: str = ".png"

    def make(self, document: Document) -> Report:
        """Return the picture; raises TypesetError as the PDF does."""
        made = pdf.make(document)
        said = "\n".join(pdf_pages(made.data)).replace("\r\n", "\n")
        words = {"Title": document.title, "Description": said}
        data = page_one_png(made.data, words)
        return Report(
            data=data, suffix=self.suffix, media_type="image/png", pages=1, warnings=made.warnings
        )


output = PngOutput()
