"""How far each brake moves before it acts, against the least that it should."""

from dataclasses import dataclass

from trimscribe.canvas import Canvas
from trimscribe.contracts import View
from trimscribe.model.document import Figure
from trimscribe.model.findings import State
from trimscribe.model.wing import Side

__all__ = ["figure"]

_HEIGHT = 96.0
_FIRST = 34.0  # the left brake's line, and how far the right one is below it
_NEXT = 30.0
_SCALE = 96.0  # where a brake's line begins
_ROOM = 70.0  # for the words behind it


@dataclass(frozen=True)
class BrakeView:
    """A line for each brake: a diamond before the work, a dot now, a dashed line at the least."""

    contract: int = 2
    name: str = "brake_view"

    def draw(self, view: View) -> Figure | None:
        """Return the drawing, or None when no free travel is known."""
        before, now = view.findings.before, view.findings.now
        travel = {side: (_free(before, side), _free(now, side)) for side in Side}
        known = [mm for pair in travel.values() for mm in pair if mm is not None]
        least = view.assessment.facts["free_travel_limit_mm"]
        if not known or not isinstance(least, float):
            return None
        ink, labels = view.ink, view.statements.labels
        sheet = Canvas(view.width_pt, _HEIGHT, ink.font)
        most = max(*known, least) * 1.15
        per_mm = (view.width_pt - _SCALE - _ROOM) / most
        edge = _SCALE + least * per_mm
        sheet.line([(edge, 16), (edge, _FIRST + _NEXT + 12)], ink.quiet, 0.7, (3, 2))
        words = view.statements.label("brake_view_least", value=view.formats.written(least))
        sheet.text(edge, 11, words, 7.5, ink.quiet, "center")
        said = []
        for index, (side, (first, last)) in enumerate(travel.items()):
            y = _FIRST + index * _NEXT
            sheet.text(0, y + 2.5, labels[side.value], 8.5, ink.text, bold=True)
            sheet.line([(_SCALE, y), (_SCALE + most * per_mm, y)], ink.rule, 0.8)
            if view.findings.after is not None and first is not None:
                at = (_SCALE + max(first, 0.0) * per_mm, y)
                sheet.marks([at], "diamond", 6, ink.before, fill=ink.paper)
            if last is None:
                continue
            at = (_SCALE + max(last, 0.0) * per_mm, y)
            low = last < least
            sheet.marks([at], "dot", 6, ink.after, fill=ink.after)
            if low:
                sheet.marks([at], "ring", 11, ink.outside)
            number = f"{view.formats.beside(last, least)} mm"
            colour = ink.outside if low else ink.after
            sheet.text(_SCALE + most * per_mm + 8, y + 2.5, number, 8.5, colour, bold=True)
            said.append(f"{labels[side.value]}: {number}.")
        caption = labels["brake_view_caption"]
        alt = " ".join([*said, f"{words[:1].upper()}{words[1:]}."])
        return Figure(
            name=self.name,
            svg=sheet.svg(),
            width_pt=view.width_pt,
            height_pt=_HEIGHT,
            alt=alt,
            caption=caption,
        )


def _free(state: State | None, side: Side) -> float | None:
    brake = state.brakes.get(side) if state else None
    return brake.free_travel_mm if brake else None


figure = BrakeView()
