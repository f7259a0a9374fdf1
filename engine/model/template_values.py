"""What the templates of the built-in sections receive: a part of the contract with themes.

Every text is ready to be printed: in the report's language, numbers and dates written out. Besides
these, every template sees `t` (the tokens of the look), `phrases` (the theme's own texts) and
`figures`. A figure has `name`, `alt` and `caption`; on the page for the phone also `drawing`, and
the page sees `pictures`, addresses by file. A name leaves by the rule of deprecation alone.
"""

from collections.abc import Sequence
from typing import Any, TypedDict

__all__ = [
    "BenchSheetValues",
    "CautionsValues",
    "ChangesValues",
    "ChecksValues",
    "HistoryValues",
    "LetterValues",
    "LinesValues",
    "OwnValues",
    "RecordValues",
    "TermsValues",
]

Row = Sequence[str]
Texts = dict[str, Any]  # by the names that a comment beside it tells


class LetterValues(TypedDict):
    """Page one. `logo` and a signature's `picture`: `file`, `alt`; None where there is none."""

    workshop: str
    registration: str
    contact: str
    logo: Texts | None
    service: str
    finished: str
    about: str
    decision: Texts  # shape, text, note
    headline: str
    paragraphs: Sequence[Texts]  # title, text, parts (the text as short paragraphs)
    verdicts: Sequence[Texts]  # label, words, shape
    verdict_key: Sequence[Texts]  # shape, label
    next_service: Texts | None  # label, words
    signed_by: Texts | None  # label, name, as, picture
    done_by: Texts | None  # label, name, as; only where nobody signed


class CautionsValues(TypedDict):
    """The cautions, warnings first."""

    title: str
    cautions: Sequence[Texts]  # title, text, warning (true or false)


class LinesValues(TypedDict):
    """The span charts and how to read them."""

    title: str
    explained: str
    key: Sequence[Texts]  # shape, label
    sentences: Sequence[str]


class ChangesValues(TypedDict):
    """Adjusted lines and replaced parts, a row each below its head."""

    title: str
    head: Row
    rows: Sequence[Row]
    note: str  # what the measured changes in the rows are without
    replaced_title: str
    replaced_head: Row
    replaced: Sequence[Row]
    sentences: Sequence[str]


class ChecksValues(TypedDict):
    """Brakes, cloth, strength, risers, inspection: those that were made, and which were not."""

    title: str
    parts: Sequence[Texts]  # title, method, sentences, head, rows (each: cells, shape)
    not_assessed: str


class HistoryValues(TypedDict):
    """Earlier services: sentences, one row per service, means per row of lines, other checks."""

    title: str
    explained: str
    sentences: Sequence[str]
    estimate: str
    head: Row
    rows: Sequence[Row]
    row_means: Sequence[Row]  # its head first
    checks_head: Row
    checks: Sequence[Row]


class RecordValues(TypedDict):
    """Everything that was read and measured. Facts are pairs of label and value."""

    title: str
    parts: Sequence[Texts]  # title, facts
    keep_together: bool  # the parts are short enough to stay on one page
    method: Texts  # title, facts
    notes_title: str
    notes: str
    planned: Texts | None  # title, explained, head, rows
    lines: Texts | None  # title, explained, sides, head, per_side, groups (rows of cells)
    statements: Sequence[str]
    scope_title: str
    scope: Sequence[str]
    software: Sequence[str]
    software_title: str
    hashes_title: str
    hashes: Sequence[str]


class BenchSheetValues(TypedDict):
    """A proposed retrim to carry to the bench; a sheet of its own, never a part of a report."""

    workshop: str
    title: str
    about: str
    which: str
    always: Sequence[str]  # what no sheet may leave out
    loops_title: str
    loops_order: str
    no_loops: str
    line: str
    left: str
    right: str
    loops_head: str
    mm: str
    new_length: str
    initials: str
    steps: Sequence[Texts]  # line, sides (loops and lengths, left first; None where untouched)
    again_title: str
    again: str
    brakes_title: str
    brakes_head: Row
    brakes: Sequence[Row]
    no_brakes: str
    bar_title: str
    bar_do: str
    outlook_title: str
    outlook_head: Row
    outlook: Sequence[Row]
    left_over: Sequence[str]


class TermsValues(TypedDict):
    """The workshop's terms of business."""

    title: str
    paragraphs: Sequence[str]


class OwnValues(TypedDict):
    """A section that a theme adds with a template alone."""

    about: dict[str, str]  # pilot, maker, model, size, serial_number, service, date, workshop
    labels: dict[str, str]
