"""The composed report: Typst sources, figures and attachments, ready to set."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from trimscribe.errors import Mark

__all__ = ["Attachment", "Document", "Figure"]


@dataclass(frozen=True)
class Figure:
    """A drawing: SVG text, its size in points, and what a reader who cannot see it needs.

    `caption` is one line to stand below it, or empty.
    """

    name: str
    svg: str
    width_pt: float
    height_pt: float
    alt: str
    caption: str = ""


@dataclass(frozen=True)
class Attachment:
    """A file carried inside the report; `relationship` as in ISO 19005-3 (source, data, …)."""

    name: str
    data: bytes
    media_type: str
    description: str
    relationship: str


@dataclass(frozen=True)
class Document:
    """All that typesetting needs; `files` is the whole private root, by path below it.

    The nth of `attachments`, from 0, is the file `attached/n` there. `required` are the texts that
    the finished report must contain. `origins` maps a file of the root to the theme template that
    it came from.
    """

    main: str
    files: Mapping[str, bytes]
    fonts: tuple[Path, ...]
    title: str
    language: str
    date: dt.date
    required: tuple[str, ...]
    attachments: tuple[Attachment, ...] = ()
    origins: Mapping[str, Mark] = field(default_factory=dict)
