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
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["Outcome", "Workbench"]


@dataclass
class Outcome:
    """What came of one job; `content` and `record` are None where it did not come so far."""

    job: str
    faults: list[Fault] = field(default_factory=list)
    exit_code: int = Exit.DONE
    content: Content | None = None
    record: Record | None = None
    pages: int = 0


@dataclass
class Workbench:
    """The jobs of one run, done with the same plugins and put into the same folder."""

    registry: Registry
    folder: Path = Path()
    theme: str = ""
    force: bool = False
    shop: str = ""
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
        """Make the report and put it into the folder."""
        with _attempt(job) as outcome:
            content = self._prepare(outcome)
            report = render(content, self.registry, World.real(), theme=self.theme)
            outcome.faults += report.warnings
            self._validate(report)
            outcome.pages = report.pages
            if self.shelf and not self.redact:
                # It reads PDFs: what that takes is loaded for those who keep a shelf.
                from trimscribe.archive.shelf import Shelf

                outcome.record = Shelf(self.shelf).put(report)
                return outcome
            path = self.folder / file_name(content.reading.job, report.suffix)
            # Even --force does not let a job replace what another has just made.
            first = self.made.setdefault(path, job)
            try:
                outcome.record = put(report, path, force=self.force and first is job)
            except ArchiveError as error:
                raise error if first is job else _twice(error, first) from None
        return outcome

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

    def _validate(self, report: Report) -> None:
        if not self.validator:
            return
        from trimscribe.verify.validator import nonconformities

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
