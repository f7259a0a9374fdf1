"""Each line before and now: the span charts and how to read them."""

from dataclasses import dataclass

from trimscribe.contracts import SectionView, View
from trimscribe.model.findings import LineFinding, State
from trimscribe.model.job import OffsetMethod
from trimscribe.model.statements import Place
from trimscribe.model.template_values import LinesValues
from trimscribe.model.wing import GroupKind

__all__ = ["section"]


_SAME_MM = 1.0  # two offsets that differ by less are reported as one


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
        retrimmed = view.findings.after is not None
        values: LinesValues = {
            "title": labels["how_each_line_moved" if retrimmed else "how_each_line_measured"],
            "explained": _explained(view, now),
            "key": [
                *([{"shape": "diamond", "label": labels["before"]}] if retrimmed else []),
                {"shape": "dot", "label": labels["now" if retrimmed else "measured"]},
                *([{"shape": "square", "label": labels["carried_over"]}] if _carried(now) else []),
                *(
                    [{"shape": "cross", "label": labels["not_measured"]}]
                    if any(_left_out(line) for line in now.lines)
                    else []
                ),
                *(
                    [{"shape": "question", "label": labels["in_doubt"]}]
                    if any(_in_doubt(line) for line in now.lines)
                    else []
                ),
                {"shape": "ring", "label": labels["outside_tolerance"]},
            ],
            "sentences": [s.text for s in view.statements.at(Place.CHARTS)],
        }
        return SectionView(
            values=values,
            figures=("span_charts",),
        )


def _carried(state: State) -> bool:
    return state.carry_over is not None and state.carry_over.carried > 0


def _left_out(line: LineFinding) -> bool:
    """Of a row, and not measured."""
    return line.deviation_mm is None and line.kind is GroupKind.ROW


def _in_doubt(line: LineFinding) -> bool:
    return line.doubted and line.kind is GroupKind.ROW


def _explained(view: View, now: State) -> str:
    """How to read the charts; each measuring's marks are against its own common offset."""
    label, number = view.statements.label, view.formats.number
    before_state = view.findings.before
    if now.offset is None or (before_state is not None and before_state.offset is None):
        return label("chart_explained_plain")
    if now.offset.method is OffsetMethod.NONE:
        return label(
            "chart_explained_none" if view.findings.after else "chart_explained_single_none"
        )
    offset = _offset_mm(now)
    # One row's mean is not what all lines share, and is not called so.
    key, of = (
        ("chart_taken_row", {"row": now.offset.row})
        if now.offset.method is OffsetMethod.ROW
        else ("chart_taken", {})
    )
    before = offset if before_state is None else _offset_mm(before_state)
    if view.findings.after is not None and abs(offset - before) >= _SAME_MM:
        mm = {"before": number(before, 0, sign=True), "now": number(offset, 0, sign=True)}
        return label("chart_explained_moved", taken=label(f"{key}_moved", **of, **mm))
    taken = label(key, **of, offset=number(offset, 0, sign=True))
    single = view.findings.after is None
    return label("chart_explained_single" if single else "chart_explained", taken=taken)


def _offset_mm(state: State) -> float:
    return state.offset.value_mm if state.offset else 0.0


section = Lines()
