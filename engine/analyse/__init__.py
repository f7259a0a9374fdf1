"""Analyse: a job to findings, in numbers only.

    line_set   before, after   measurings ▶ offsets ▶ tolerance_check
    change     change                     ▶ pitch, symmetry, brakes
    ledger     what loops promise against what was measured
    doubts     what in the data looks wrong
    decision   by which rule results passed, and what that risks
    cloth, strength, inspection

The names at the left are the analyses; each fills its own part of the findings. Every value is
judged in `judging`, against its limit or what a pilot may notice; every uncertainty comes from
`uncertainty`. What goes into each finding is in `trimscribe.model.origins`.
"""

import heapq
from collections.abc import Iterable, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter

from trimscribe.contracts import Analysis
from trimscribe.errors import Fault, PluginError
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job
from trimscribe.registry import Registry


def analyse(job: Job, registry: Registry) -> Findings:
    """Let every analysis add its part to the findings, each after those it needs.

    Pure: no files, no clock. Raises PluginError when an analysis needs one that is not there or
    when their needs run in a circle.
    """
    findings = Findings()
    for analysis in in_order(registry.all("analyses")):
        findings = analysis.analyse(job, findings)
    return findings


def in_order(analyses: Iterable[Analysis]) -> tuple[Analysis, ...]:
    """Each analysis after those it needs, else by name.

    Raises PluginError with one fault per need that no analysis meets, or one that names the
    analyses whose needs run in a circle.
    """
    known = {analysis.name: analysis for analysis in sorted(analyses, key=lambda a: a.name)}
    missing = [
        _missing(analysis.name, need, known)
        for analysis in known.values()
        for need in analysis.needs
        if need not in known
    ]
    if missing:
        raise PluginError(missing)
    sorter = TopologicalSorter({name: analysis.needs for name, analysis in known.items()})
    try:
        sorter.prepare()
    except CycleError as error:
        raise PluginError(_circle(error.args[1], known)) from error
    order, ready = [], list(sorter.get_ready())
    heapq.heapify(ready)
    while ready:
        # One at a time: a name that becomes ready now may come before the others.
        name = heapq.heappop(ready)
        order.append(known[name])
        sorter.done(name)
        for other in sorter.get_ready():
            heapq.heappush(ready, other)
    return tuple(order)


def _missing(name: str, need: str, known: Iterable[str]) -> Fault:
    return Fault(
        code="analysis-need-unknown",
        message=f"The analysis `{name}` needs `{need}`, which is not installed.",
        hint=f"Installed are: {', '.join(known)}. Install what is missing or remove `{name}`.",
    )


def _circle(names: Sequence[str], known: Mapping[str, Analysis]) -> Fault:
    stuck = [known[name] for name in sorted(set(names))]
    needs = "; ".join(f"`{a.name}` needs {', '.join(f'`{n}`' for n in a.needs)}" for a in stuck)
    return Fault(
        code="analysis-needs-circular",
        message=f"These analyses wait for each other: {needs}.",
        hint="Remove one of the needs.",
    )
