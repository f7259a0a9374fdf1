"""One wing in many shapes: each shape writes the same lengths as another invented tool would.

A shape takes a wing and gives the file and the map that reads it. None is any product's format.
"""

from collections.abc import Callable

import shapes_long
import shapes_values
import shapes_wide
from export_wing import Export, Wing

__all__ = ["SHAPES", "Export", "Wing"]

Shape = Callable[[Wing], Export]

SHAPES: dict[str, Shape] = {
    shape.__name__: shape
    for shape in (
        shapes_long.long_plain,
        shapes_long.long_comma,
        shapes_long.one_label,
        shapes_long.dashed_label,
        shapes_long.spoken_label,
        shapes_long.by_blanks,
        shapes_wide.wide,
        shapes_wide.stacked,
        shapes_wide.beside,
        shapes_wide.turned,
        shapes_wide.paired,
        shapes_wide.paired_text,
        shapes_values.deviations,
        shapes_values.from_the_tip,
        shapes_values.repeated,
        shapes_values.inches,
        shapes_values.with_riser,
        shapes_values.two_byte,
        shapes_values.merged_rows,
        shapes_values.json_tree,
        shapes_values.json_records,
    )
}
