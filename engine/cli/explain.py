"""Why each sentence stands in a report, as text for people or as data."""

from collections.abc import Iterator
from difflib import get_close_matches

from trimscribe.cli.exits import Exit
from trimscribe.cli.faults import fault_data, tell_faults
from trimscribe.cli.output import FORMAT, clean, say, say_data, tell
from trimscribe.cli.work import Workbench
from trimscribe.evidence import Evidence, evidence_of, evidence_of_finding
from trimscribe.model.content import Content
from trimscribe.model.origins import ORIGINS
from trimscribe.model.plain import to_plain

__all__ = ["show_evidence"]


def show_evidence(bench: Workbench, job: str, wanted: str, *, as_json: bool) -> int:
    """Tell what stands behind the sentences of one job, or behind the one that is wanted.

    `wanted` is a rule such as `found_up` or a finding such as `before.pitch`; empty means every
    sentence.
    """
    outcome = bench.check(job)
    evidence = list(_evidence(outcome.content, wanted)) if outcome.content else []
    if outcome.content and wanted and not evidence:
        _tell_unknown(outcome.content, wanted)
        return Exit.USAGE
    if as_json:
        say_data(
            {
                "format": FORMAT,
                "exit_code": int(outcome.exit_code),
                "faults": [*map(fault_data, outcome.faults)],
                "evidence": to_plain(tuple(evidence)),
            }
        )
        return outcome.exit_code
    tell_faults(outcome.faults)
    for number, one in enumerate(evidence):
        say(("\n" if number else "") + "\n".join(map(clean, _lines(one))))
    return outcome.exit_code


def _evidence(content: Content, wanted: str) -> Iterator[Evidence]:
    said = (*content.statements.sentences, *content.statements.cautions)
    for statement in said:
        if wanted in ("", statement.rule):
            yield evidence_of(statement, content)
    finding = evidence_of_finding(wanted, content) if wanted else None
    if finding:
        yield finding


def _tell_unknown(content: Content, wanted: str) -> None:
    said = (*content.statements.sentences, *content.statements.cautions)
    names = [*(statement.rule for statement in said), *(origin.part for origin in ORIGINS)]
    near = get_close_matches(wanted, names, n=1)
    hint = f"Did you mean `{near[0]}`?" if near else "Without a name, all sentences are explained."
    tell(f"This report has no sentence or finding `{wanted}`. {hint}")


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
