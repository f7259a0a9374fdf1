"""How certain the lengths are that were compared with limits, of each measuring where they differ.

All as standard uncertainties (k = 1): from them, and the decision rule, a reader can follow every
verdict of the record.
"""

from collections.abc import Callable, Iterable

from trimscribe.contracts import View
from trimscribe.model.findings import State
from trimscribe.model.job import OffsetMethod
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import BRAKE, BRAKE_MAIN

_BRAKES = (BRAKE, BRAKE_MAIN)


def budget_facts(view: View) -> list[list[str]]:
    """Label and value for lines, brakes and risers; what was not judged is left out."""
    return [
        *_of_both(view, "budget", _lines),
        *_of_both(view, "budget_brakes", _brakes),
        *_risers(view),
    ]


def _of_both(view: View, key: str, worded: Callable[[View, State], str]) -> list[list[str]]:
    """One row where both measurings, or the only one, say the same."""
    labels, found = view.statements.labels, {}
    for when, state in (("before", view.findings.before), ("after", view.findings.after)):
        if state is not None and (text := worded(view, state)):
            found[when] = text
    if len(set(found.values())) > 1:
        return [[labels[f"{key}_{when}"], text] for when, text in found.items()]
    return [[labels[key], text] for text in dict.fromkeys(found.values())]


def _lines(view: View, state: State) -> str:
    """What one deviation is uncertain by, and each source of error."""
    label, number = view.statements.label, view.formats.number
    known = _range(view, _of_lines(state, brakes=False))
    if not known:
        return ""
    sources = [
        label(f"budget_{source.name}", value=f"{number(source.u, 2)} {source.unit}")
        for source in state.budget
    ]
    tie = state.carry_over
    if tie is not None and tie.carried:
        sources.append(label("budget_carried", value=f"{number(tie.u_mm, 2)} mm"))
    words = label("budget_of_line", value=known, sources=", ".join(sources))
    taken_out = view.job.offset_method is not OffsetMethod.NONE
    return words if taken_out else f"{words}{_session(view)}"


def _brakes(view: View, state: State) -> str:
    """What a brake line, and the mean of a brake's lines, are uncertain by."""
    line = _range(view, _of_lines(state, brakes=True))
    mean = _range(view, (x.u_mm for x in state.brakes.values() if x.tolerance_mm is not None))
    if not line or not mean:
        return ""
    words = view.statements.label("budget_of_brakes", line=line, mean=mean)
    if view.job.specification is None or view.job.specification.brakes_share_offset:
        return words
    return f"{words}{_session(view)}"


def _session(view: View) -> str:
    """What lines err by together where nothing that they share is taken out."""
    value = f"{view.formats.number(session_mm(view), 2)} mm"
    return view.statements.label("budget_session", value=value)


def session_mm(view: View) -> float:
    """What all lengths of one measuring err by together, in mm (k = 1)."""
    return Thresholds().with_overrides(view.job.thresholds).u_session_shift_mm


def _risers(view: View) -> list[list[str]]:
    """Of the risers that the report lists, those measured last."""
    before, now = view.findings.before, view.findings.now
    risers = (now.risers if now else ()) or (before.risers if before else ())
    known = _range(view, (x.u_mm for x in risers if x.tolerance_mm is not None))
    labels, label = view.statements.labels, view.statements.label
    return [[labels["budget_risers"], label("budget_of_riser", value=known)]] if known else []


def _of_lines(state: State, *, brakes: bool) -> Iterable[float | None]:
    """Of every line that has a deviation to judge: brake lines, or all others."""
    return (
        x.u_mm
        for x in state.lines
        if (x.point.group in _BRAKES) is brakes and x.relative_mm is not None and not x.doubted
    )


def _range(view: View, known_mm: Iterable[float | None]) -> str:
    """The least and the largest of them, or the one that all print as; empty without any."""
    known = [mm for mm in known_mm if mm is not None]
    if not known:
        return ""
    low, high = (view.formats.number(mm, 1) for mm in (min(known), max(known)))
    if low == high:
        return f"{high} mm"
    return view.statements.label("budget_range", low=low, high=high)
