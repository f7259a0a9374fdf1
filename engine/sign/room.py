"""What goes between whoever holds the key and whoever reads the PDF."""

import datetime as dt
from dataclasses import dataclass

HASH = "sha256"


@dataclass(frozen=True)
class EmptySignature:
    """A report with an empty signature behind it; its brackets are at `start` and before `end`."""

    data: bytes
    start: int
    end: int


@dataclass(frozen=True)
class SignRequest:
    """A report to make room in: for whose signature, of which day, by which certificate (DER).

    `theme` is a folder or name, for a report whose own theme is not installed; `reserved` how many
    characters the signature may take in the file.
    """

    report: bytes
    holder: str
    certificate: bytes
    day: dt.date
    theme: str
    reserved: int


@dataclass(frozen=True)
class SignRoom:
    """The report with room for a signature behind it, and how many pages it has."""

    room: EmptySignature
    pages: int
