"""A job as far as it goes without a page."""

from dataclasses import dataclass

from trimscribe.errors import Fault
from trimscribe.model.assessment import Assessment
from trimscribe.model.findings import Findings
from trimscribe.model.history import History, ServiceSummary
from trimscribe.model.job import Reading
from trimscribe.model.statements import Statements


@dataclass(frozen=True)
class Content:
    """What was read, what was found, what may be said and what is said: all that outputs need.

    `warnings` are those of reading, then what looks wrong in the data.
    `summary` is what later services look back on; `history` looks back from this one, where
    earlier services are known.
    """

    reading: Reading
    findings: Findings
    assessment: Assessment
    statements: Statements
    warnings: tuple[Fault, ...] = ()
    summary: ServiceSummary | None = None
    history: History | None = None
