"""Put analyses in an order in which each finds what it needs."""

from collections.abc import Iterable

from trimscribe.contracts import Analysis
from trimscribe.errors import Fault, PluginError

__all__ = ["in_order"]


def in_order(analyses: Iterable[Analysis]) -> tuple[Analysis, ...]:
    """Each analysis after those it needs, else by name.

    Raises PluginError with one fault per need that no analysis meets, or one that names the
    analyses whose needs run in a circle.
    """
    waiting = {analysis.name: analysis for analysis in sorted(analyses, key=lambda a: a.name)}
    missing = [
        _missing(analysis.name, need, waiting)
        for analysis in waiting.values()
        for need in analysis.needs
        if need not in waiting
    ]
    if missing:
        raise PluginError(missing)
    done: dict[str, Analysis] = {}
    while waiting:
        ready = [a for a in waiting.values() if all(need in done for need in a.needs)]
        if not ready:
            raise PluginError(_circle(waiting.values()))
        # One at a time: a later name that becomes ready now may come before the others.
        done[ready[0].name] = waiting.pop(ready[0].name)
    return tuple(done.values())


def _missing(name: str, need: str, known: Iterable[str]) -> Fault:
    return Fault(
        code="analysis-need-unknown",
        message=f"The analysis `{name}` needs `{need}`, which is not installed.",
        hint=f"Installed are: {', '.join(known)}. Install what is missing or remove `{name}`.",
    )


def _circle(stuck: Iterable[Analysis]) -> Fault:
    needs = "; ".join(f"`{a.name}` needs {', '.join(f'`{n}`' for n in a.needs)}" for a in stuck)
    return Fault(
        code="analysis-needs-circular",
        message=f"These analyses wait for each other: {needs}.",
        hint="Remove one of the needs.",
    )
