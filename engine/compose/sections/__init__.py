"""The sections of the report, and how they print a deviation beside its limit.

It is in whole millimetres, and finer where rounding would hide on which side of the limit it is.
"""

from dataclasses import dataclass

from trimscribe.contracts import View
from trimscribe.model.decision import Acceptance


@dataclass(frozen=True)
class NearLimit:
    """A deviation in mm, + = longer, with its limit and standard uncertainty in mm."""

    mm: float | None
    limit_mm: float | None
    u_mm: float | None

    def text(self, view: View) -> str:
        """As tables print it."""
        borders = view.job.decision_rule.borders(self.limit_mm, self.u_mm)
        return view.formats.beside(self.mm, self.limit_mm, sign=True, borders=borders)

    def finer(self, view: View) -> bool:
        """Whether it has decimals that a reader may wonder at."""
        return self.text(view) != view.formats.number(self.mm, sign=True)


def why_finer(view: View) -> str:
    """Why some values of a table have decimals among whole numbers."""
    simple = view.job.decision_rule.acceptance is Acceptance.SIMPLE
    return view.statements.labels["finer" if simple else "finer_or_close"]
