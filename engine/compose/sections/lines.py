"""Each line before and now: the span charts and how to read them."""

from collections.abc import Iterator
from dataclasses import dataclass

from trimscribe.contracts import SectionView, View
from trimscribe.model.findings import LineFinding, State
from trimscribe.model.job import OffsetMethod
from trimscribe.model.statements import Place
from trimscribe.model.template_values import LinesValues
from trimscribe.model.wing import GroupKind, Side

_SAME_MM = 0.05  # print does not tell two offsets apart that differ by less


@dataclass(frozen=True)
class Lines:
    """The charts; left out when no line was measured."""

    contract: int = 2
    name: str = "lines"
    template: str = "lines.typ.j2"

    def view(self, view: View) -> SectionView | None:
        """Values for the charts' page."""
        now = view.findings.now
        if now is None or not now.lines:
            return None
        labels = view.statements.labels
        retrimmed = view.findings.twice
        values: LinesValues = {
            "title": labels["how_each_line_moved" if retrimmed else "how_each_line_measured"],
            "explained": " ".join(
                filter(
                    None,
                    (
                        _explained(view, now),
                        _corrected(view),
                        _limits(view, now),
                        _rows_left_out(view, now),
                        _rows_spread(view),
                    ),
                )
            ),
            "key": [{"shape": mark, "label": labels[key]} for mark, key in _key(view, now)],
            "sentences": [s.text for s in view.statements.at(Place.CHARTS)],
        }
        return SectionView(values=values, figures=("span_charts",))


def _key(view: View, now: State) -> Iterator[tuple[str, str]]:
    """The marks that the charts have, and the label of each."""
    retrimmed, before = view.findings.twice, view.findings.before
    rows = _rows_measured(now, before if retrimmed else None)
    lines = [line for line in _charted(now) if line.point.group in rows]
    drawn = [line for line in lines if _has_mark(line)]
    if retrimmed and before is not None and any(_has_mark(line) for line in _charted(before)):
        yield "diamond", "before"
    if any(not line.carried for line in drawn):
        yield "dot", "now" if retrimmed else "measured"
    if any(line.verdict.conditional for line in drawn):
        yield "half", "too_close"
    if any(line.carried for line in drawn):
        yield "square", "carried_over"
    if any(line.deviation_mm is None for line in lines):
        yield "cross", "not_measured_now" if retrimmed else "not_measured"
    if any(line.doubted for line in lines):
        yield "question", "in_doubt"
    if any(line.verdict.outside for line in drawn):
        yield "ring", "outside_tolerance_now" if retrimmed else "outside_tolerance"


def _rows_spread(view: View) -> str:
    """That rows of far fewer lines than others are drawn as wide as those; empty where none is."""
    facts = view.assessment.facts
    unlike = facts["found_rows_unlike"] or facts["now_rows_unlike"]
    return view.statements.labels["rows_spread"] if unlike else ""


def _charted(state: State) -> list[LineFinding]:
    return [line for line in state.lines if line.kind is GroupKind.ROW]


def _rows_measured(*states: State | None) -> set[str]:
    """The rows that have a chart: those of which some line was measured."""
    lines = [line for state in states if state is not None for line in _charted(state)]
    return {line.point.group for line in lines if line.deviation_mm is not None}


def _has_mark(line: LineFinding) -> bool:
    """Whether a line has a mark at a height of its own."""
    return line.deviation_mm is not None and not line.doubted


def _states(view: View, now: State) -> list[State]:
    """Both measurings, or the only one."""
    before = view.findings.before if view.findings.after is not None else None
    return [now] if before is None else [before, now]


def _drawn(view: View, now: State) -> list[State]:
    """Those with a mark at a height of its own; a measuring that is all in doubt has none."""
    return [s for s in _states(view, now) if any(map(_has_mark, _charted(s)))]


def _limits(view: View, now: State) -> str:
    """What the dashed lines are; around plain deviations there are none."""
    drawn, plain = _drawn(view, now), any(state.plain for state in _states(view, now))
    limited = any(
        line.tolerance_mm is not None
        for state in drawn
        for line in _charted(state)
        if _has_mark(line)
    )
    return view.statements.labels["chart_limits"] if limited and not plain else ""


def _rows_left_out(view: View, now: State) -> str:
    """Which rows have no chart because no line of them was measured, then or now."""
    before = view.findings.before if view.findings.after is not None else None
    measured = _rows_measured(now, before)
    spec = view.job.specification
    rows = [row.name for row in spec.rows if row.name not in measured] if spec else []
    # Where no row has a chart there is nothing to explain.
    if not rows or not measured:
        return ""
    key = "chart_row_missing" if len(rows) == 1 else "chart_rows_missing"
    return view.statements.label(key, rows=view.formats.items(rows))


def _untouched(view: View, now: State) -> bool:
    """Whether a line with a stem was not adjusted, nor any line that it hangs on."""
    spec, before = view.job.specification, view.findings.before
    if spec is None or before is None:
        return False
    changed = {(entry.line, entry.side) for entry in view.findings.ledger}
    touched = {
        (side, point)
        for line in spec.cascade
        for side in Side
        if (line.name, side) in changed
        for point in line.points
    }
    first, last = (
        {(line.side, line.point) for line in _charted(state) if _has_mark(line)}
        for state in (before, now)
    )
    return bool((first & last) - touched)


def _corrected(view: View) -> str:
    """What else was done to lengths that were measured at another tension."""
    return view.statements.labels["lines_corrected"] if view.assessment.facts["corrected"] else ""


def _explained(view: View, now: State) -> str:
    """How to read the charts; each measuring's marks are against its own common offset."""
    label, number = view.statements.label, view.formats.number
    states, drawn = _states(view, now), _drawn(view, now)
    if not _rows_measured(*states):
        return ""  # there is no chart
    before_state = states[0]
    if not drawn or any(state.plain for state in states):
        plain = label("chart_explained_plain")
        one_has = next(
            (
                state.offset
                for state in states
                if state.offset and state.offset.method is not OffsetMethod.NONE
            ),
            None,
        )
        if one_has is None or not drawn:
            return plain
        # One measuring has verdicts, against another zero than that of these charts.
        when = "before" if now.offset is None else "now"
        value = number(one_has.value_mm, 1, sign=True)
        return f"{plain} {label(f'chart_plain_but_{when}', value=value)}"
    shown = drawn[-1]
    if shown.offset is None or shown.offset.method is OffsetMethod.NONE:
        return label(
            "chart_explained_none" if view.findings.twice else "chart_explained_single_none"
        )
    offset = _offset_mm(shown)
    # One row's mean is not what all lines share, and is not called so.
    key, of = (
        ("chart_taken_row", {"row": shown.offset.row})
        if shown.offset.method is OffsetMethod.ROW
        else ("chart_taken", {})
    )
    if len(drawn) < len(states):
        taken = label(key, **of, offset=number(offset, 1, sign=True))
        only = "chart_explained_now_only" if shown is now else "chart_explained_before_only"
        return label(only, taken=taken)
    before = _offset_mm(before_state)
    if view.findings.twice and abs(offset - before) >= _SAME_MM:
        mm = {"before": number(before, 1, sign=True), "now": number(offset, 1, sign=True)}
        stems = label("chart_stems_untouched") if _untouched(view, now) else ""
        taken = label(f"{key}_moved", **of, **mm)
        return label("chart_explained_moved", taken=taken, untouched=stems)
    taken = label(key, **of, offset=number(offset, 1, sign=True))
    key = "chart_explained" if view.findings.twice else "chart_explained_single"
    return label(key, taken=taken)


def _offset_mm(state: State) -> float:
    return state.offset.value_mm if state.offset else 0.0


section = Lines()
