"""How each line moved: the span charts and how to read them."""

from dataclasses import dataclass

from trimscribe.contracts import SectionView, View
from trimscribe.model.statements import Place

__all__ = ["section"]


@dataclass(frozen=True)
class Lines:
    """The charts; left out when no line was measured."""

    contract: int = 1
    name: str = "lines"
    template: str = "lines.typ.j2"

    def view(self, view: View) -> SectionView | None:
        """Values for the charts' page."""
        now = view.findings.now
        if now is None or not now.lines:
            return None
        labels = view.statements.labels
        offset = now.offset.value_mm if now.offset else 0.0
        retrimmed = view.findings.after is not None
        return SectionView(
            values={
                "title": labels["how_each_line_moved" if retrimmed else "how_each_line_measured"],
                "explained": view.statements.label(
                    "chart_explained" if retrimmed else "chart_explained_single",
                    offset=view.formats.number(offset, 0, sign=True),
                ),
                "key": [
                    *([{"shape": "diamond", "label": labels["before"]}] if retrimmed else []),
                    {"shape": "dot", "label": labels["now" if retrimmed else "measured"]},
                    {"shape": "ring", "label": labels["outside_tolerance"]},
                ],
                "sentences": [s.text for s in view.statements.at(Place.CHARTS)],
            },
            figures=("span_charts",),
        )


section = Lines()
