"""What can be wrong with a PDF that should be a report, as faults with stable codes."""

from collections.abc import Mapping

from trimscribe.errors import Fault, ReadbackError

CODES: Mapping[str, str] = {
    "attachment-encoded": "An attached file is stored in a way that reports never use.",
    "attachment-too-large": "An attached file unpacks to more than any report carries.",
    "attachments-differ": "The attached files are not those that the report's manifest names.",
    "manifest-unreadable": "The list of attached files cannot be read.",
    "no-manifest": "The PDF carries no list of its files: it is not a report of Trimscribe.",
    "not-a-pdf": "The file cannot be read as a PDF.",
    "page-encoded": "What a page is drawn from is stored in a way that reports never use.",
    "page-too-large": "What the pages are drawn from unpacks to more than any report has.",
    "pdf-encrypted": "The PDF is encrypted, which reports never are.",
    "pdf-too-large": "The PDF is larger than any report, or has more parts than any report.",
    "too-many-pages": "The PDF has more pages than any report.",
}


def unreadable(code: str, *found: str) -> ReadbackError:
    """The error for one of `CODES`, with what was found, if that is known."""
    message = f"{CODES[code][:-1]}: {'; '.join(found)}." if found else CODES[code]
    return ReadbackError(Fault(code, message))
