"""The finished report, places on its pages, its record on disk, and the one that it replaces."""

from dataclasses import dataclass
from pathlib import Path

from trimscribe.errors import Fault
from trimscribe.model.by_name import by_name

LARGEST_PDF = 64_000_000  # bytes of a file that is read as a report; a full one has about 200,000


@by_name
class Report:
    """Bytes of one output with its page count; warnings travel beside it."""

    data: bytes
    suffix: str
    media_type: str
    pages: int
    warnings: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class PageBox:
    """One line of a text: its page, from 1, and its box as shares of the page from the top left."""

    page: int
    left: float
    top: float
    width: float
    height: float


@dataclass(frozen=True)
class Record:
    """Where a report was put; `sha256` of its bytes; `unchanged` when the same file was there."""

    path: Path
    sha256: str
    unchanged: bool


@dataclass(frozen=True)
class Amendment:
    """The report that this one replaces, by its service number and the SHA-256 of its file.

    `change` and `reason` are the workshop's own words (ISO/IEC 17025:2017, 7.8.8).
    """

    report: str
    sha256: str
    change: str
    reason: str
