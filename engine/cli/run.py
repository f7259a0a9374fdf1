"""A run over several jobs, shown to people as it goes or to programs at the end."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from trimscribe.cli.exits import Exit
from trimscribe.cli.faults import counted, fault_data, print_faults
from trimscribe.cli.output import (
    FORMAT,
    clean,
    print_data,
    print_document,
    print_error,
    print_result,
    progress,
)
from trimscribe.cli.work import JobOutputs, Workbench
from trimscribe.errors import Fault
from trimscribe.model.plain import Plain, to_plain
from trimscribe.model.report import Record

if TYPE_CHECKING:
    from trimscribe.evidence import Evidence


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
