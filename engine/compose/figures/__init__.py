"""Figures of the report, one per file."""

from trimscribe.canvas import Canvas
from trimscribe.model.document import Figure


def figure_of(name: str, sheet: Canvas, alt: str, caption: str = "") -> Figure:
    """A finished sheet as a figure of its size."""
    return Figure(
        name=name,
        svg=sheet.svg(),
        width_pt=sheet.width,
        height_pt=sheet.height,
        alt=alt,
        caption=caption,
    )
