"""What the page's process asks a worker for, and what that answers."""

from dataclasses import dataclass
from pathlib import Path

from trimscribe.errors import Fault
from trimscribe.model.report import Report


@dataclass(frozen=True)
class Stage:
    """How long a stage took."""

    name: str
    ms: float


@dataclass(frozen=True)
class Selection:
    """One thing to look at; an empty theme or language is the workshop's own."""

    job: str
    theme: str
    language: str
    output: str


@dataclass(frozen=True)
class PreviewRequest(Selection):
    """A report to look at; `number` is what it is called when something is asked of it later."""

    number: str
    shop: str
    root: str


@dataclass(frozen=True)
class Looked:
    """The result of a look: faults, the stages that were reached, and the folders to watch.

    `report` is None where there is none; `sentences` are all that it says, in order.
    """

    faults: tuple[Fault, ...]
    stages: tuple[Stage, ...]
    folders: tuple[Path, ...]
    report: Report | None = None
    title: str = ""
    language: str = ""
    sentences: tuple[str, ...] = ()
