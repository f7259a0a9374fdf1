"""The wing over its flying hours: as it came to each service, as it left, and what lay between.

One small panel each for line lengths, angle and cloth. A diamond is the wing on arrival, a dot on
leaving, a stem joins the two: that is the workshop's work. The line from a dot to the next diamond
is what flying did.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trimscribe.canvas import XY, Canvas
from trimscribe.compose.figures import figure_of
from trimscribe.contracts import View
from trimscribe.model.document import Figure
from trimscribe.model.history import History, HistoryGap, LineSetLevels, ServiceSummary

_LEFT, _RIGHT = 34.0, 12.0
_TITLE, _HEIGHT, _BELOW = 18.0, 74.0, 16.0
_STEPS = (1.0, 2.0, 5.0, 10.0)
_TICKS = 4


@dataclass(frozen=True)
class _Panel:
    """Values by service: on arrival (None where the chart has one value only) and on leaving."""

    title: str
    came: tuple[float | None, ...]
    left: tuple[float | None, ...]
    joined: tuple[bool, ...]
    digits: int
    limit: float | None = None

    @property
    def values(self) -> list[float]:
        return [v for v in (*self.came, *self.left) if v is not None]


@dataclass(frozen=True)
class HistoryChart:
    """Draws what the earlier services and this one measured."""

    contract: int = 2
    name: str = "history_chart"

    def draw(self, view: View) -> Figure | None:
        """Return the chart, or None without earlier services or anything measured."""
        if view.history is None:
            return None
        panels = [panel for panel in _panels(view, view.history) if panel.values]
        if not panels:
            return None
        height = len(panels) * (_TITLE + _HEIGHT) + _BELOW
        sheet = Canvas(view.width_pt, height, view.ink.font)
        x = _places(view, view.history.services)
        for number, panel in enumerate(panels):
            _draw(sheet, view, panel, x, number * (_TITLE + _HEIGHT) + _TITLE)
        _axis(sheet, view, x, height - 5)
        return figure_of(self.name, sheet, _alt(view, panels))


def _panels(view: View, history: History) -> list[_Panel]:
    labels, services = view.statements.labels, history.services
    alike = tuple(gap is HistoryGap.COMPARED for gap in history.gaps)

    def measured(of: Callable[[LineSetLevels], float | None], title: str, digits: int) -> _Panel:
        came = tuple(of(s.before) if s.before and s.after else None for s in services)
        left = tuple(of(s.now) if s.now else None for s in services)
        return _Panel(title, came, left, alike, digits)

    panels = [
        measured(lambda levels: levels.all_mm, labels["history_all_lines"], 0),
        measured(lambda levels: levels.pitch_deg, labels["history_angle"], 1),
    ]
    if last := services[-1].cloth:
        means = tuple(
            s.cloth.mean if s.cloth and s.cloth.basis == last.basis else None for s in services
        )
        title = view.statements.label("history_cloth_in", unit=last.printed_unit)
        none = (None,) * len(services)
        panels.append(_Panel(title, none, means, (True,) * len(alike), 0, last.limit))
    return panels


def _places(view: View, services: Sequence[ServiceSummary]) -> list[float]:
    """By flying hours where all are stated and none falls, else by date; never two in one place."""
    hours = [s.hours for s in services if s.hours is not None]
    stated = len(hours) == len(services) and hours == sorted(hours)
    at = hours if stated else [s.year for s in services]
    low, span = min(at), max(at) - min(at)
    first, room = _LEFT + 22, view.width_pt - _LEFT - _RIGHT - 44
    if not span:
        at, low, span = [float(n) for n in range(len(at))], 0.0, float(len(at) - 1)
    return [first + room * (value - low) / span for value in at]


def _draw(sheet: Canvas, view: View, panel: _Panel, x: Sequence[float], top: float) -> None:
    ink = view.ink
    reach = [*panel.values, *([panel.limit] if panel.limit is not None else [])]
    ticks = _ticks(min(reach), max(reach))
    low, high = ticks[0], ticks[-1]

    def y(value: float) -> float:
        return top + 6 + (_HEIGHT - 18) * (high - value) / (high - low)

    sheet.text(0, top - 5, panel.title, 8.5, ink.text, bold=True)
    for tick in ticks:
        line = [(_LEFT, y(tick)), (view.width_pt - _RIGHT, y(tick))]
        sheet.line(line, ink.text if tick == 0 else ink.rule, 0.5)
        words = view.formats.number(tick, panel.digits if high - low >= 1 else 2, sign=low < 0)
        sheet.text(_LEFT - 5, y(tick) + 2.5, words, 7, ink.quiet, "right")
    if panel.limit is not None:
        line = [(_LEFT, y(panel.limit)), (view.width_pt - _RIGHT, y(panel.limit))]
        sheet.line(line, ink.outside, 0.8, (3, 2))
        words = view.statements.labels["history_limit"]
        sheet.text(view.width_pt - _RIGHT, y(panel.limit) - 3, words, 7, ink.outside, "right")

    def at(place: float, value: float | None) -> XY | None:
        return None if value is None else (place, y(value))

    came = [at(*pair) for pair in zip(x, panel.came, strict=True)]
    left = [at(*pair) for pair in zip(x, panel.left, strict=True)]
    arrived = [a or b for a, b in zip(came, left, strict=True)]
    flown = [
        [then, now]
        for then, now, joined in zip(left[:-1], arrived[1:], panel.joined, strict=True)
        if joined and then and now
    ]
    sheet.lines(flown, ink.quiet, 1.0)
    sheet.lines([[a, b] for a, b in zip(came, left, strict=True) if a and b], ink.quiet, 0.5)
    sheet.marks([p for p in came if p], "diamond", 5, ink.before, fill=ink.paper)
    sheet.marks([p for p in left if p], "dot", 5, ink.after, fill=ink.after)


def _ticks(low: float, high: float) -> list[float]:
    """A few round values that enclose what is drawn."""
    span = max(high - low, abs(high) * 0.02, 0.1)
    rough = span / (_TICKS - 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(s * power for s in _STEPS if s * power >= rough * 0.999)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [n * step for n in range(first, max(last, first + 1) + 1)]


def _axis(sheet: Canvas, view: View, x: Sequence[float], y: float) -> None:
    """Year and hours below each service; where two would meet the earlier one is left out."""
    assert view.history is not None  # the caller looked
    taken = math.inf
    for place, service in reversed([*zip(x, view.history.services, strict=True)]):
        words = _when(view, service)
        half = len(words) * 2.1
        if place + half < taken:
            sheet.text(place, y, words, 7.5, view.ink.quiet, "center")
            taken = place - half - 4


def _when(view: View, service: ServiceSummary) -> str:
    if service.hours is None:
        return service.done[:4]
    hours = view.statements.label("history_hours", hours=view.formats.number(service.hours))
    return f"{service.done[:4]}, {hours}"


def _alt(view: View, panels: Sequence[_Panel]) -> str:
    """Every value, panel by panel, as a reader who cannot see the chart needs it."""
    assert view.history is not None  # the caller looked
    label, number = view.statements.label, view.formats.number
    parts = []
    for panel in panels:
        values = []
        for service, came, left in zip(view.history.services, panel.came, panel.left, strict=True):
            if left is None:
                continue
            when, now = _when(view, service), number(left, panel.digits + 1)
            values.append(
                label("history_alt_single", when=when, now=now)
                if came is None
                else label(
                    "history_alt_value", when=when, before=number(came, panel.digits + 1), now=now
                )
            )
        parts.append(label("history_alt", title=panel.title, values="; ".join(values)))
    return " ".join(parts)


figure = HistoryChart()
