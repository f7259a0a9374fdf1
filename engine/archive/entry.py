"""One report as the index of a shelf knows it, and as it is on disk."""

import unicodedata
from collections.abc import Callable
from dataclasses import dataclass

from trimscribe.letters import plain_letters, spellings


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


@dataclass(frozen=True)
class ShelfReading:
    """What a PDF says of itself; `redacted` is one without personal data, for sharing.

    `amends` is what a correction says that it changes, and why.
    """

    entry: Entry
    redacted: bool
    amends: str = ""


# A PDF's bytes, and its path below the shelf (empty: where it belongs). Raises ReadbackError, and
# StoppedError where that is done by a worker.
PdfReader = Callable[[bytes, str], ShelfReading]


@dataclass(frozen=True)
class KeptReport:
    """A report on a shelf, and the bytes that are there; None where they are not what was put."""

    entry: Entry
    data: bytes | None


def has_words(text: str, words: str) -> bool:
    """Whether a text has these words, with or without accents: Häher has haher and haeher."""
    there = {plain_letters(folded(spelled)) for spelled in spellings(text)}
    return any(plain_letters(folded(one)) in found for one in spellings(words) for found in there)


def folded(text: str) -> str:
    """Text as people compare it: no difference between cases, widths and runs of blanks."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())
