"""The workshop's terms of business, small, near the end."""

from dataclasses import dataclass

from trimscribe.contracts import SectionView, View
from trimscribe.model.template_values import TermsValues


@dataclass(frozen=True)
class TermsSection:
    """The terms paragraph by paragraph; left out when the workshop has none."""

    contract: int = 2
    name: str = "terms"
    template: str = "terms.typ.j2"

    def view(self, view: View) -> SectionView | None:
        """Values for the paragraphs."""
        terms = view.job.workshop.terms
        if not terms:
            return None
        paragraphs = [" ".join(part.split()) for part in terms.split("\n\n")]
        values: TermsValues = {"title": view.statements.labels["terms"], "paragraphs": paragraphs}
        return SectionView(values=values, required=tuple(paragraphs))


section = TermsSection()
