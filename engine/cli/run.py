"""A run over several jobs: a worker does each, and what was found wrong with one stops no other.

It is shown to people as it goes, or to programs at the end.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimscribe.archive import put_once
from trimscribe.archive.entry import PdfReader, ShelfReading
from trimscribe.archive.names import bare
from trimscribe.cell import SerialWorker
from trimscribe.cell.once import shared
from trimscribe.cli.output import (
    Exit,
    clean,
    counted,
    fault_data,
    number_of,
    print_data,
    print_document,
    print_error,
    print_faults,
    print_result,
    progress,
)
from trimscribe.cli.program import bug, show_notes
from trimscribe.desk.wish import Done, Named, Wish
from trimscribe.errors import Fault, TrimscribeError, TypesetError
from trimscribe.model.plain import Plain, to_plain
from trimscribe.model.report import Record, Report
from trimscribe.resources.worlds import world_of

if TYPE_CHECKING:
    from trimscribe.archive.shelf import Shelf
    from trimscribe.evidence import Evidence

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

    `named` are the jobs, `wanted` the outputs to make of each; a shelf keeps the PDF, others go to
    the folder. `serials` are the serial numbers of the jobs' wings, to look back on the shelf,
    `passed_over` the plugins that could not be used so far.
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
        return self._attempt(name, f"{_WORK}:checked")

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
        named = [(file.report, self.folder / bare(file.name)) for file in beside.values()]
        records = put_once(job, named, self.made, force=self.force)
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


def run(
    bench: Workbench,
    jobs: Sequence[str],
    work: Callable[[str], JobOutputs],
    *,
    strict: bool = False,
    as_json: bool = False,
) -> int:
    """Do all jobs and return the highest of their exit codes; `strict` counts warnings.

    People get each job's faults and a summary on standard error, the path of its report on
    standard output. With `as_json` there is one document on standard output and nothing else:
    `format`, `exit_code`, `faults` of no single job, such as plugins that were passed over, `jobs`.
    """
    outcomes = []
    reported: set[Fault] = set()
    for number, job in enumerate(jobs, 1):
        with progress(f"{number} of {len(jobs)}: {job}", shown=len(jobs) > 1):
            outcome = work(job)
        outcome.exit_code = max(outcome.exit_code, _strictly(outcome.faults, strict))
        outcomes.append(outcome)
        if not as_json:
            print_faults(fault for fault in bench.passed_over if fault not in reported)
            reported.update(bench.passed_over)
            _print_outcome(outcome)
    passed_over = tuple(bench.passed_over)
    code = max(_strictly(passed_over, strict), *(outcome.exit_code for outcome in outcomes))
    if as_json:
        print_document(
            code, faults=[*map(fault_data, passed_over)], jobs=[*map(_outcome_data, outcomes)]
        )
    return code


def show_findings(bench: Workbench, job: str) -> int:
    """Print the findings of one job as JSON on standard output, its faults on standard error."""
    outcome = bench.findings(job)
    print_faults(bench.passed_over)
    _print_outcome(outcome)
    if outcome.done and outcome.done.data is not None:
        print_data(outcome.done.data)
    return outcome.exit_code


def _strictly(faults: Sequence[Fault], strict: bool) -> int:
    return Exit.WARNINGS if strict and faults else Exit.DONE


def _print_outcome(outcome: JobOutputs) -> None:
    """Faults, then a line such as `demo.yaml: 6 pages, 1 warning`, then the report's path."""
    print_faults(outcome.faults)
    parts = [*([outcome.kind] if outcome.kind else []), counted(outcome.faults) or "no faults"]
    if records := outcome.records.values():
        pages = number_of(outcome.pages, "page")
        parts = [pages, *(["unchanged"] if all(r.unchanged for r in records) else []), *parts]
    print_error(f"{outcome.job}: {', '.join(parts)}")
    for record in records:
        print_result(clean(record.path.as_posix()))


def _outcome_data(outcome: JobOutputs) -> Plain:
    """One job as data.

    Its path as typed (`job`), its `kind` (job, or what `check` found it to be), its `exit_code`,
    its `report` (`path`, `pages`, `sha256`, `unchanged`; null where none was made), its `outputs`
    (the same without pages for each, by name) and its `faults` in file order. A fault has `code`,
    `severity` (error or warning), `message`, `hint`, `file`, `cell`, `line`, `column`, `width` and
    `source`; lines and columns count from 1, and what is not known is null.
    """
    return {
        "job": outcome.job,
        "kind": outcome.kind or "job",
        "exit_code": int(outcome.exit_code),
        "report": _report_data(outcome),
        "outputs": {name: _file(record) for name, record in outcome.records.items()},
        "faults": [*map(fault_data, outcome.faults)],
    }


def _report_data(outcome: JobOutputs) -> Plain:
    """The first of its outputs: the report that a person has asked for."""
    first = next(iter(outcome.records.values()), None)
    return {**_file(first), "pages": outcome.pages} if first else None


def _file(record: Record) -> dict[str, Plain]:
    return {"path": record.path.as_posix(), "sha256": record.sha256, "unchanged": record.unchanged}


def show_evidence(bench: Workbench, job: str, wanted: str, *, as_json: bool) -> int:
    """Explain what is behind the sentences of one job, or behind the one that is wanted.

    `wanted` is a rule such as `found_up` or a finding such as `before.pitch`; empty means every
    sentence.
    """
    outcome = bench.explain(job, wanted)
    evidence = outcome.done.evidence if outcome.done else ()
    if outcome.done and outcome.done.unknown:
        hint = outcome.done.unknown
        print_error(f"This report has no sentence or finding `{wanted}`. {hint}")
        return Exit.USAGE
    if as_json:
        faults = [*map(fault_data, outcome.faults)]
        print_document(outcome.exit_code, faults=faults, evidence=to_plain(evidence))
        return outcome.exit_code
    print_faults(outcome.faults)
    for number, one in enumerate(evidence):
        print_result(("\n" if number else "") + "\n".join(map(clean, _lines(one))))
    return outcome.exit_code


def _lines(evidence: "Evidence") -> Iterator[str]:
    yield evidence.text
    if evidence.rule:
        yield f"  rule {evidence.rule}, {evidence.rule_place}: {evidence.condition}"
    for name, value in evidence.numbers.items():
        yield f"  {name} = {f'{value:.6g}' if isinstance(value, float) else value}"
    for path, how in evidence.how.items():
        yield f"  {path}: {how}"
    for used in evidence.inputs:
        yield f"  from {used.path}: {', '.join(used.places)}"
    for one in evidence.thresholds:
        unit = "" if one.unit == "1" else f" {one.unit}"
        yield f"  with {one.name} = {one.value:g}{unit}, {one.place}: {one.source}"
