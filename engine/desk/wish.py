"""What is asked of a worker, and what it answers."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trimscribe.archive.entry import KeptReport
from trimscribe.errors import Fault
from trimscribe.model.plain import Plain
from trimscribe.model.report import Report

if TYPE_CHECKING:  # with it loads all that a job holds, which most commands hand to a worker
    from trimscribe.evidence import Evidence


@dataclass(frozen=True)
class Wish:
    """A job as it was typed, and what is asked for beside it; see `trimscribe.pipeline.prepare`.

    `outputs` are the files to make of it; `shelf` is one to look back on, and `earlier` are the
    reports of the wing that are there.
    """

    job: str
    theme: str = ""
    shop: str = ""
    root: str = ""
    outputs: tuple[str, ...] = ()
    redact: bool = False
    shelf: str = ""
    earlier: tuple[KeptReport, ...] = ()


@dataclass(frozen=True)
class Named:
    """A finished file in one output, and the name that it should have."""

    output: str
    name: str
    report: Report


@dataclass(frozen=True)
class Done:
    """The result of a wish: warnings, or what stopped it (`exit_code`), and files if all are made.

    `passed_over` are plugins that cannot be used. `data` is what was asked for besides.
    `kind` says what a checked file is where it is not a job.
    """

    faults: tuple[Fault, ...] = ()
    exit_code: int = 0
    files: tuple[Named, ...] = ()
    passed_over: tuple[Fault, ...] = ()
    data: Plain = None
    evidence: "tuple[Evidence, ...]" = ()
    unknown: str = ""
    kind: str = ""
