"""A report for programs: what the output `json` holds, in this order."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from trimscribe.model.assessment import Claim
from trimscribe.model.findings import Findings
from trimscribe.model.history import History
from trimscribe.model.statements import GroupVerdict, Statement

FORMAT = 2  # another number when a key goes or changes its meaning


@dataclass(frozen=True)
class AttachedFile:
    """A file that the report was made from, or that goes with it, known by its SHA-256.

    `name` is that within the PDF, `media_type` what it is, such as text/csv, `sha256` its hash.
    """

    name: str
    media_type: str
    sha256: str


@dataclass(frozen=True)
class ReportRecord:
    """One report: whose it is, what it says in words, what may be said, and the numbers behind it.

    `format` is the number of this form. `title` is that of the report, `language` the one that it
    is in. `date` is the service's. `workshop` is its name, `service` the service's number. `maker`,
    `model`, `size` and `serial_number` are the wing's. `pilot` is empty where none was named;
    `history` is null where no earlier service is known. `statements` are its sentences in order,
    `verdicts` the summary. `decision_rule` and `not_covered` say in words how values are compared
    with limits and what the report leaves out. `software` has the version of each part that made
    the report. Numbers are in the units that their names end in; null means that it was not
    measured or not assessed, never fine.
    """

    format: int
    title: str
    language: str
    date: dt.date
    workshop: str
    service: str
    maker: str
    model: str
    size: str
    serial_number: str
    pilot: str
    statements: tuple[Statement, ...]
    cautions: tuple[Statement, ...]
    verdicts: tuple[GroupVerdict, ...]
    decision_rule: str
    not_covered: str
    claims: tuple[Claim, ...]
    findings: Findings
    history: History | None
    files: tuple[AttachedFile, ...]
    software: Mapping[str, str]
