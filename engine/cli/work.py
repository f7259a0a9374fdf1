"""One job at a time: what was done and what was found wrong, so that no job stops another."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimscribe.archive import put_all
from trimscribe.archive.entry import PdfReader, ShelfReading
from trimscribe.archive.faults import made_twice
from trimscribe.archive.names import bare
from trimscribe.cell import SerialWorker
from trimscribe.cell.once import shared
from trimscribe.cli.exits import Exit
from trimscribe.cli.program import bug, show_notes
from trimscribe.desk.wish import Done, Named, Wish
from trimscribe.errors import ArchiveError, Fault, TrimscribeError, TypesetError
from trimscribe.model.report import Record, Report
from trimscribe.resources.worlds import world_of

if TYPE_CHECKING:
    from trimscribe.archive.shelf import Shelf

_WORK = "trimscribe.desk.work"
_PDF = "pdf"  # the one output that a shelf keeps and a validator knows


@dataclass
class JobOutputs:
    """The result of one job; `records` are the files that were written, by output.

    `done` is what the worker has answered; None where there was no answer.
    """

    job: str
    faults: list[Fault] = field(default_factory=list)
    exit_code: int = Exit.DONE
    records: dict[str, Record] = field(default_factory=dict)
    pages: int = 0
    done: Done | None = None

    @property
    def kind(self) -> str:
        """What the file is where it is not a job, such as a line set; else empty."""
        return self.done.kind if self.done else ""


@dataclass
class Workbench:
    """The jobs of one run, done with the same plugins and put into the same folder.

    `named` are the jobs. `wanted` are the outputs to make of each; a shelf keeps the PDF, others
    go to the folder.
    `serials` are the serial numbers of the jobs' wings, to look back on the shelf.
    `passed_over` are the plugins that could not be used so far.
    """

    named: tuple[str, ...] = ()
    folder: Path = Path()
    theme: str = ""
    force: bool = False
    shop: str = ""
    root: str = ""
    wanted: tuple[str, ...] = ("pdf",)
    made: dict[Path, str] = field(default_factory=dict)
    shelf: Path | None = None
    serials: Mapping[str, str] = field(default_factory=dict)
    redact: bool = False
    validator: tuple[str, ...] = ()
    cell: SerialWorker = field(default_factory=shared)
    passed_over: dict[Fault, None] = field(default_factory=dict)

    @cached_property
    def world(self) -> tuple[str, ...]:
        """What all jobs of the run may read, so that one worker can do them."""
        return world_of(self.named, root=self.root, shop=self.shop, theme=self.theme)

    def check(self, name: str) -> JobOutputs:
        """Read a file of any kind as far as it goes, so that nothing is a surprise later."""
        return self._attempt(name, "trimscribe.desk.checking:checked")

    def findings(self, job: str) -> JobOutputs:
        """All numbers behind a report, in `done.data`."""
        return self._attempt(job, f"{_WORK}:findings")

    def explain(self, job: str, wanted: str) -> JobOutputs:
        """What is behind sentences, in `done.evidence`."""
        return self._attempt(job, f"{_WORK}:explained", wanted)

    def report(self, job: str) -> JobOutputs:
        """Make the report in each output and put them into the folder once all are made."""
        outcome = self._attempt(job, f"{_WORK}:reported")
        if outcome.done and outcome.done.files:
            try:
                self._validate(outcome.done.files)
                outcome.pages = outcome.done.files[0].report.pages
                outcome.records = self._put(outcome.done.files, job)
            except TrimscribeError as error:
                outcome.faults += error.faults
                outcome.exit_code = error.exit_code
        return outcome

    def _attempt(self, job: str, work: str, *given: Any) -> JobOutputs:
        """Have a worker do something; whatever stops one job becomes faults of its outcome."""
        outcome = JobOutputs(job)
        wish = Wish(job, self.theme, self.shop, self.root, self.wanted, self.redact)
        try:
            done: Done = self.cell.call(
                job, work, self._looking_back(wish), *given, reads=self.world
            )
        except TrimscribeError as error:
            show_notes(error)
            outcome.faults += error.faults
            outcome.exit_code = error.exit_code
        except Exception as error:
            outcome.faults.append(bug(error))
            outcome.exit_code = Exit.BUG
        else:
            outcome.done = done
            outcome.faults += done.faults
            outcome.exit_code = done.exit_code
            self.passed_over |= dict.fromkeys(done.passed_over)
        return outcome

    def _looking_back(self, wish: Wish) -> Wish:
        """A wish with what the shelf has of the wing; raises ArchiveError."""
        if not self.shelf:
            return wish
        serial = self.serials.get(wish.job, "")
        earlier = self._on_shelf(self.shelf).kept(serial) if serial else ()
        return replace(wish, shelf=str(self.shelf), earlier=earlier)

    def _on_shelf(self, folder: Path) -> "Shelf":
        """The shelf, whose PDFs are read by a worker."""
        from trimscribe.archive.shelf import Shelf

        return Shelf(folder, shelf_reader(self.cell))

    def _put(self, files: tuple[Named, ...], job: str) -> dict[str, Record]:
        """Put all files where they belong, or none."""
        on_shelf: dict[str, Report] = {}
        if self.shelf and not self.redact:
            on_shelf = {file.output: file.report for file in files if file.output == _PDF}
        beside = {file.output: file for file in files if file.output not in on_shelf}
        paths = {name: self.folder / bare(file.name) for name, file in beside.items()}
        # Even --force does not let a job replace what another has just made.
        firsts = {name: self.made.setdefault(path, job) for name, path in paths.items()}
        own = all(first == job for first in firsts.values())
        try:
            records = put_all(
                [(file.report, paths[name]) for name, file in beside.items()],
                force=self.force and own,
            )
        except ArchiveError as error:
            other = next((first for first in firsts.values() if first != job), "")
            raise (made_twice(error, other) if other else error) from None
        found = dict(zip(beside, records, strict=True))
        if self.shelf:
            for name, report in on_shelf.items():
                found[name] = self._on_shelf(self.shelf).put(report)
        return {file.output: found[file.output] for file in files}

    def _validate(self, files: tuple[Named, ...]) -> None:
        pdf = next((file.report for file in files if file.output == _PDF), None)
        if not self.validator or pdf is None:
            return
        from trimscribe.verification.validator import nonconformities

        if faults := nonconformities(pdf.data, self.validator):
            raise TypesetError(faults)


def shelf_reader(cell: SerialWorker) -> PdfReader:
    """What reads the PDFs of a shelf: a worker."""

    def look(data: bytes, path: str) -> ShelfReading:
        found: ShelfReading = cell.call(path, "trimscribe.archive.look:looked", data, path)
        return found

    return look
