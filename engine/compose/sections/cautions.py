"""The cautions: complete, in one frame, in every report."""

from dataclasses import dataclass

from trimscribe.contracts import SectionView, View
from trimscribe.model.statements import Weight
from trimscribe.model.template_values import CautionsValues


@dataclass(frozen=True)
class Cautions:
    """All cautions, those that the findings add first."""

    contract: int = 2
    name: str = "cautions"
    template: str = "cautions.typ.j2"

    def view(self, view: View) -> SectionView:
        """Values for the frame."""
        cautions = view.statements.cautions
        ordered = sorted(cautions, key=lambda c: c.weight is not Weight.WARNING)
        values: CautionsValues = {
            "title": view.statements.labels["cautions"],
            "cautions": [
                {"title": c.title, "text": c.text, "warning": c.weight is Weight.WARNING}
                for c in ordered
            ],
        }
        return SectionView(values=values)


section = Cautions()
