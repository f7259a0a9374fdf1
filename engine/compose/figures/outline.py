"""The wing's outline from above, drawn from the specification where it has span and chord."""

import bisect
import functools
import math
from dataclasses import dataclass

from trimscribe.canvas import XY, Canvas
from trimscribe.contracts import View
from trimscribe.model.wing import BRAKE_MAIN, LineGroup, Point, Side, Specification

_TOP = 14.0
_BRAKES = 18.0  # brakes pull below the trailing edge
_EDGE = 3.0
_SWEEP = 0.42  # share of the chord that stays in line along the span
_ASPECT = 5.0  # span over centre chord when the specification gives no span: a common figure
_SPAN_SHARE = 0.955  # the outermost attachment is a little inside the tip


@dataclass(frozen=True)
class Outline:
    """Turns points of the specification into places on a sheet `width` wide, in points."""

    width: float
    height: float
    chord: float
    rows: tuple[LineGroup, ...]
    taper: tuple[float, ...]
    trailing_edge_m: float

    @classmethod
    def of(cls, spec: Specification, width: float, *, brakes: bool = False) -> "Outline | None":
        """Build the outline, with room for `brakes`; None when no row has chordwise positions."""
        rows = tuple(row for row in spec.rows if row.chord_m)
        if not rows:
            return None
        rear = rows[-1]
        root_m = spec.trailing_edge_m or rear.chord_m[0] / 0.66
        taper = tuple(x / rear.chord_m[0] for x in rear.chord_m)
        span_m = spec.span_m or root_m * _ASPECT
        # A flat wing drawn to scale leaves no room for numbers: the chord is drawn fuller.
        chord = min(max(width * root_m / span_m, width * 0.24, 30.0 * len(rows)), 150.0)
        below = _BRAKES if brakes else _EDGE
        return cls(width, chord + _TOP + below, chord, rows, taper, root_m)

    def sheet(self, view: View) -> Canvas:
        """A sheet with the outline, and words for the front and both sides."""
        ink, labels = view.ink, view.statements.labels
        sheet = Canvas(self.width, self.height, ink.font)
        sheet.line(self.border, ink.quiet, 0.9, fill=ink.wash, close=True)
        sheet.text(self.width / 2, 8, labels["front"], 7.5, ink.quiet, "center")
        sheet.text(2, 8, labels["left"], 7.5, ink.quiet)
        sheet.text(self.width - 2, 8, labels["right"], 7.5, ink.quiet, "right")
        return sheet

    def place(self, point: Point, side: Side) -> XY | None:
        """Where a point lies on the sheet; the main brake line half way, behind the wing."""
        if point.group == BRAKE_MAIN:
            x, y = self._at(side, 0.5, 1.0)
            return x, y + 10
        row = next((row for row in self.rows if row.name == point.group), None)
        if row is None or not 1 <= point.number <= len(row.chord_m):
            return None
        station = _station(point.number, len(row.chord_m))
        taper = self._taper(station)
        share = row.chord_m[point.number - 1] / (self.trailing_edge_m * taper)
        return self._at(side, station, min(share, 0.97))

    @functools.cached_property
    def border(self) -> list[XY]:
        """The closed outline, from the left tip along the front and back along the rear."""
        # Closer together towards the tips, where the outline turns.
        stations = [math.sin(math.pi / 2 * i / 30) for i in range(31)]
        front = [self._at(Side.LEFT, s, 0.0) for s in reversed(stations)]
        front += [self._at(Side.RIGHT, s, 0.0) for s in stations[1:]]
        rear = [self._at(Side.RIGHT, s, 1.0) for s in reversed(stations)]
        rear += [self._at(Side.LEFT, s, 1.0) for s in stations[1:]]
        return front + rear

    def _at(self, side: Side, station: float, share: float) -> XY:
        chord = self.chord * self._taper(station)
        front = _TOP + (self.chord - chord) * _SWEEP
        reach = station * (self.width / 2 - 2)
        x = self.width / 2 + (reach if side is Side.RIGHT else -reach)
        return x, front + share * chord

    def _taper(self, station: float) -> float:
        """Chord at a station as a share of the centre chord.

        Straight between attachments; the tip goes on in that direction and closes as an ellipse.
        """
        stations, values = _stations(len(self.taper)), (1.0, *self.taper)
        right = bisect.bisect_left(stations, station, lo=1)
        if right < len(stations):
            left = right - 1
            share = (station - stations[left]) / (stations[right] - stations[left])
            return values[left] + (values[right] - values[left]) * share
        beyond = (station - stations[-1]) / (1 - stations[-1])
        slope = (values[-1] - values[-2]) / (stations[-1] - stations[-2])
        straight = max(values[-1] + slope * (station - stations[-1]), 0.0)
        return straight * math.sqrt(max(0.0, 1 - beyond**2))


@functools.cache
def _stations(points: int) -> tuple[float, ...]:
    """The centre and all attachments, as shares of the half span."""
    return (0.0, *(_station(number, points) for number in range(1, points + 1)))


def _station(number: int, points: int) -> float:
    """Share of the half span of the nth of `points` attachments, evenly spread."""
    return (number - 0.5) / points * _SPAN_SHARE
