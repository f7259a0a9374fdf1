"""Put analyses in an order in which each finds what it needs."""

import heapq
from collections.abc import Iterable, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter

from trimscribe.contracts import Analysis
from trimscribe.errors import Fault, PluginError


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
