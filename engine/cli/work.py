"""One job at a time: what was done and what was found wrong, so that no job stops another."""

import contextlib
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from trimscribe.archive import file_name, put
from trimscribe.cli.exits import Exit
from trimscribe.cli.program import bug
from trimscribe.errors import ArchiveError, Fault, TrimscribeError, TypesetError
from trimscribe.model.content import Content
from trimscribe.model.history import ServiceSummary
from trimscribe.model.job import Job
from trimscribe.model.report import Record, Report
from trimscribe.pipeline import outputs, prepare
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["Outcome", "Workbench"]

_PDF = "pdf"  # the one output that a shelf keeps and a validator knows


@dataclass
class Outcome:
    """What came of one job; `content` is None where it did not come so far.

    `records` are the files that were written, by output.
    """

    job: str
    faults: list[Fault] = field(default_factory=list)
    exit_code: int = Exit.DONE
    content: Content | None = None
    records: dict[str, Record] = field(default_factory=dict)
    pages: int = 0


@dataclass
class Workbench:
    """The jobs of one run, done with the same plugins and put into the same folder.

    `wanted` are the outputs to make of each; a shelf keeps the PDF, the others go to the folder.
    """

    registry: Registry
    folder: Path = Path()
    theme: str = ""
    force: bool = False
    shop: str = ""
    wanted: tuple[str, ...] = ("pdf",)
    made: dict[Path, str] = field(default_factory=dict)
    shelf: Path | None = None
    redact: bool = False
    validator: tuple[str, ...] = ()

    def check(self, job: str) -> Outcome:
        """Read, analyse and put into words, so that nothing is a surprise later."""
        with _attempt(job) as outcome:
            self._prepare(outcome)
        return outcome

    def report(self, job: str) -> Outcome:
        """Make the report in each output and put them into the folder once all are made."""
        with _attempt(job) as outcome:
            content = self._prepare(outcome)
            made = outputs(content, self.registry, World.real(), self.wanted, theme=self.theme)
            outcome.faults += dict.fromkeys(fault for report in made for fault in report.warnings)
            reports = dict(zip(self.wanted, made, strict=True))
            if _PDF in reports:
                self._validate(reports[_PDF])
            outcome.faults += self._later(content.reading.job)
            outcome.pages = made[0].pages
            for name, report in reports.items():
                outcome.records[name] = self._put(name, report, content, job)
        return outcome

    def _put(self, name: str, report: Report, content: Content, job: str) -> Record:
        if name == _PDF and self.shelf and not self.redact:
            # It reads PDFs: what that takes is loaded for those who keep a shelf.
            from trimscribe.archive.shelf import Shelf

            return Shelf(self.shelf).put(report)
        path = self.folder / file_name(content.reading.job, report.suffix)
        # Even --force does not let a job replace what another has just made.
        first = self.made.setdefault(path, job)
        try:
            return put(report, path, force=self.force and first is job)
        except ArchiveError as error:
            raise error if first is job else _twice(error, first) from None

    def _prepare(self, outcome: Outcome) -> Content:
        outcome.content = content = prepare(
            outcome.job, self.registry, self.shop, look_back=self._earlier, redact=self.redact
        )
        outcome.faults += content.warnings
        return content

    def _earlier(self, job: Job) -> Iterable[ServiceSummary]:
        if not self.shelf:
            return ()
        from trimscribe.archive.past import earlier_services
        from trimscribe.archive.shelf import Shelf

        return earlier_services(Shelf(self.shelf), job)

    def _later(self, job: Job) -> Iterable[Fault]:
        if not self.shelf or self.redact:
            return ()
        from trimscribe.archive.past import later_service
        from trimscribe.archive.shelf import Shelf

        return later_service(Shelf(self.shelf), job)

    def _validate(self, report: Report) -> None:
        if not self.validator:
            return
        from trimscribe.verification.validator import nonconformities

        if faults := nonconformities(report.data, self.validator):
            raise TypesetError(faults)


@contextlib.contextmanager
def _attempt(job: str) -> Iterator[Outcome]:
    """Turn whatever stops one job into faults of its outcome."""
    outcome = Outcome(job)
    try:
        # A plugin that prints must not get into the results.
        with contextlib.redirect_stdout(sys.stderr):
            yield outcome
    except TrimscribeError as error:
        outcome.faults += error.faults
        outcome.exit_code = error.exit_code
    except Exception as error:
        outcome.faults.append(bug(error))
        outcome.exit_code = Exit.BUG


def _twice(error: ArchiveError, first: str) -> ArchiveError:
    hint = f"“{first}” of this run has the same service number and wing; tell them apart."
    return ArchiveError([replace(fault, hint=hint) for fault in error.faults])
