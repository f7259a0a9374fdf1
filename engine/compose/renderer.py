"""A theme at work for outputs that are not paper: figures in other widths, pages in HTML."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from trimscribe.compose.look import Look
from trimscribe.contracts import View
from trimscribe.model.document import Figure
from trimscribe.registry import Registry

__all__ = ["ThemeStudio"]


@dataclass(frozen=True)
class ThemeStudio:
    """Works only when it is asked, so that paper alone costs nothing more.

    `shared` are the values that all templates of a theme see. Implements `Studio`.
    """

    look: Look
    view: View
    registry: Registry
    shared: Mapping[str, Any]

    def draw(self, name: str, width_pt: float, *, low: bool = False) -> Figure | None:
        """The figure as it is drawn for this width, in points, or with less height."""
        figure: Figure | None = self.registry.get("figures", name).draw(
            replace(self.view, width_pt=width_pt, low=low)
        )
        return figure

    def page(self, template: str, values: Mapping[str, Any]) -> str:
        """A template in HTML with each value escaped; raises ThemeError with file and line."""
        return self.look.templates.render(template, {**self.shared, **values})
