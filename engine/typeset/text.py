"""What a finished PDF says: its text, read back as a reader's program would."""

import re
import threading
import unicodedata

import pypdfium2

__all__ = ["missing_texts", "pdf_pages"]

# PDFium keeps global state and is not made for two threads at once.
_lock = threading.Lock()
_IGNORED = re.compile(r"[\s\u00ad\u200b\ufffe]+")


def pdf_pages(data: bytes) -> tuple[str, ...]:
    """The text of each page."""
    with _lock:
        pdf = pypdfium2.PdfDocument(data)
        try:
            texts = []
            for number in range(len(pdf)):
                page = pdf[number]
                textpage = page.get_textpage()
                texts.append(textpage.get_text_bounded())
                textpage.close()
                page.close()
        finally:
            pdf.close()
    return tuple(texts)


def missing_texts(pages: tuple[str, ...], required: tuple[str, ...]) -> tuple[str, ...]:
    """Those of `required` that no page holds; line breaks and spaces do not count."""
    plain = [_squeeze(page) for page in pages]
    return tuple(text for text in required if not any(_squeeze(text) in page for page in plain))


def _squeeze(text: str) -> str:
    return _IGNORED.sub("", unicodedata.normalize("NFKC", text))
