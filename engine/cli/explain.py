"""Why each sentence is in a report, as text for people or as data."""

from collections.abc import Iterator

from trimscribe.cli.exits import Exit
from trimscribe.cli.faults import fault_data, print_faults
from trimscribe.cli.output import clean, print_document, print_error, print_result
from trimscribe.cli.work import Workbench
from trimscribe.evidence import Evidence
from trimscribe.model.plain import to_plain


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


def _lines(evidence: Evidence) -> Iterator[str]:
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
