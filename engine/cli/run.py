"""A run over several jobs, shown to people as it goes or to programs at the end."""

from collections.abc import Callable, Iterable, Sequence

from trimscribe.cli.exits import Exit
from trimscribe.cli.faults import counted, fault_data, print_faults
from trimscribe.cli.output import FORMAT, clean, print_data, print_error, print_result, progress
from trimscribe.cli.work import JobOutputs, Workbench
from trimscribe.errors import Fault
from trimscribe.model.plain import Plain
from trimscribe.model.report import Record


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
    standard output. With `as_json` there is one document on standard output and nothing else.
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
        print_data(_document(code, passed_over, outcomes))
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
        pages = f"{outcome.pages} page{'s' * (outcome.pages != 1)}"
        parts = [pages, *(["unchanged"] if all(r.unchanged for r in records) else []), *parts]
    print_error(f"{outcome.job}: {', '.join(parts)}")
    for record in records:
        print_result(clean(record.path.as_posix()))


def _document(code: int, passed_over: Iterable[Fault], outcomes: Iterable[JobOutputs]) -> Plain:
    """The whole run as data, in the shape that `FORMAT` stands for.

    `format`, `exit_code`; `faults`: those of no single job, such as plugins that were passed over;
    `jobs`: for each its path as typed, its `kind` (job, or what `check` found it to be), its
    `exit_code`, its `report` (`path`, `pages`, `sha256`,
    `unchanged`; null where none was made), its `outputs` (the same without pages for each, by
    name) and its `faults` in file order. A fault has `code`,
    `severity` (error or warning), `message`, `hint`, `file`, `cell`, `line`, `column`, `width` and
    `source`; lines and columns count from 1, and what is not known is null.
    """
    return {
        "format": FORMAT,
        "exit_code": int(code),
        "faults": [*map(fault_data, passed_over)],
        "jobs": [
            {
                "job": outcome.job,
                "kind": outcome.kind or "job",
                "exit_code": int(outcome.exit_code),
                "report": _report_data(outcome),
                "outputs": {name: _file(record) for name, record in outcome.records.items()},
                "faults": [*map(fault_data, outcome.faults)],
            }
            for outcome in outcomes
        ],
    }


def _report_data(outcome: JobOutputs) -> Plain:
    """The first of its outputs: the report that a person has asked for."""
    first = next(iter(outcome.records.values()), None)
    return {**_file(first), "pages": outcome.pages} if first else None


def _file(record: Record) -> dict[str, Plain]:
    return {
        "path": record.path.as_posix(),
        "sha256": record.sha256,
        "unchanged": record.unchanged,
    }
