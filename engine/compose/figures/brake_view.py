"""How far each brake moves before it acts, against the least that it should."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trimscribe.canvas import Canvas
from trimscribe.compose.figures import figure_of
from trimscribe.contracts import View
from trimscribe.model.assessment import Fact
from trimscribe.model.document import Figure
from trimscribe.model.findings import State
from trimscribe.model.wing import Side

_HEIGHT = 96.0
_FIRST = 34.0  # the left brake's line, and how far the right one is below it
_NEXT = 30.0
_SCALE = 96.0  # where a brake's line begins
_WIDE = 8.0  # a mark and a little room
_ROOM = 70.0  # for the words behind it


@dataclass(frozen=True)
class BrakeView:
    """A line for each brake: a diamond as it came, a dot now, a dashed line at the least.

    It draws what page one says: nothing of now where a brake was not measured again. Its caption
    explains the marks that are there, and no others.
    """

    contract: int = 2
    name: str = "brake_view"

    def draw(self, view: View) -> Figure | None:
        """Return the drawing, or None when no free travel is known."""
        facts = view.assessment.facts
        least = _mm(facts["free_travel_limit_mm"])
        travel = {side: _travel(view, side) for side in Side}
        known = [mm for pair in travel.values() for mm in pair if mm is not None]
        if not known or least is None:
            return None
        ink, labels = view.ink, view.statements.labels
        sheet = Canvas(view.width_pt, _HEIGHT, ink.font)
        most = max(*known, least) * 1.15
        per_mm = (view.width_pt - _SCALE - _ROOM) / most
        edge = _SCALE + least * per_mm
        sheet.line([(edge, 16), (edge, _FIRST + _NEXT + 12)], ink.quiet, 0.7, (3, 2))
        words = view.statements.label("brake_view_least", value=view.formats.written(least))
        sheet.text(edge, 11, words, 7.5, ink.quiet, "center")
        said: list[str] = []
        dots: dict[Side, bool] = {}
        diamonds: dict[Side, bool] = {}
        low_drawn = False
        lows = facts["free_travel_low"]
        for index, (side, (first, last)) in enumerate(travel.items()):
            y = _FIRST + index * _NEXT
            sheet.text(0, y + 2.5, labels[side.value], 8.5, ink.text, bold=True)
            sheet.line([(_SCALE, y), (_SCALE + most * per_mm, y)], ink.rule, 0.8)
            if first is not None:
                # Above the line where the dot would cover it.
                covered = (
                    last is not None and abs(max(last, 0.0) - max(first, 0.0)) * per_mm < _WIDE
                )
                at = (_SCALE + max(first, 0.0) * per_mm, y - _WIDE if covered else y)
                sheet.marks([at], "diamond", 6, ink.before, fill=ink.paper)
                diamonds[side] = _calculated(view.findings.before, side)
            shown = first if last is None else last
            if shown is None:
                continue
            at = (_SCALE + max(shown, 0.0) * per_mm, y)
            if last is not None:
                sheet.marks([at], "dot", 6, ink.after, fill=ink.after)
                dots[side] = _calculated(view.findings.now, side)
            if low := isinstance(lows, tuple) and side.value in lows:
                sheet.marks([at], "ring", 11, ink.outside)
                low_drawn = True
            number = f"{view.formats.at_least(shown, least)} mm"
            colour = ink.outside if low else ink.before if last is None else ink.after
            sheet.text(_SCALE + most * per_mm + 8, y + 2.5, number, 8.5, colour, bold=True)
            if last is None:
                number = view.statements.label("brake_view_past", value=number)
            said.append(f"{labels[side.value]}: {number}.")
        dot = "now" if view.findings.twice else "measured"
        low_key = "brake_view_low" if facts["free_travel_sure"] else "brake_view_low_perhaps"
        explained = [
            *_explained(view, dot, dots),
            *_explained(view, "before", diamonds),
            *([labels[low_key]] if low_drawn else []),
            *([labels["outside_view_sides"]] if facts["doubts_sides"] else []),
        ]
        alt = " ".join([*said, f"{words[:1].upper()}{words[1:]}."])
        return figure_of(
            self.name, sheet, alt, " ".join([labels["brake_view_caption"], *explained])
        )


def _travel(view: View, side: Side) -> tuple[float | None, float | None]:
    """Free travel as it came, where that is not as it is now, and now."""
    facts = view.assessment.facts
    found, now = (_mm(facts[f"{at}_free_travel_{side.value}_mm"]) for at in ("found", "now"))
    return (found if view.findings.twice or now is None else None), now


def _calculated(state: State | None, side: Side) -> bool:
    """Whether the free travel of a brake was calculated from its lines, not measured."""
    brake = state.brakes.get(side) if state else None
    return brake is not None and brake.estimated


def _explained(view: View, mark: str, calculated: Mapping[Side, bool]) -> Iterator[str]:
    """What a mark shows, and for which brakes that was calculated."""
    if not calculated:
        return
    label, labels = view.statements.label, view.statements.labels
    if all(calculated.values()):
        if mark == "measured":
            yield labels["brake_view_estimated"]
            return
        words = labels["brake_view_calculated"]
    else:
        one = next((side for side, so in calculated.items() if so), None)
        side = labels[one.value].lower() if one else ""
        words = label("brake_view_calculated_one", side=side) if one else ""
    yield label(f"brake_view_{mark}", calculated=words)


def _mm(value: Fact) -> float | None:
    return value if isinstance(value, float) else None


figure = BrakeView()
