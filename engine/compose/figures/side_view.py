"""Side view: the wing's pitch before and now over the same lines, drawn larger than it is.

Where the direction is not settled the wing is drawn level, in a wedge of what it may be.
"""

import math
from collections.abc import Iterator, Sized
from dataclasses import dataclass
from textwrap import wrap

from trimscribe.canvas import XY, Canvas
from trimscribe.compose.figures import LETTER_PT, figure_of
from trimscribe.contracts import View
from trimscribe.model.assessment import Claim, Fact, Subject, When
from trimscribe.model.document import Figure
from trimscribe.model.wing import Specification

_HEIGHT = 150.0
_FACTOR = 8  # the same in every report, so that two of them compare
_MOST_DEG = 16.0  # a drawn tilt beyond this looks like a fall
_TAKEN_FROM: dict[Fact, str] = {
    "lines": "side_view_by_lines",
    "half": "side_view_one_half",
    "half_lines": "side_view_one_half_lines",
    "rows": "side_view_rows",
    "rows_lines": "side_view_rows_lines",
}
_GAP = 26.0  # from one label of two lines to the next
_LINE = 10.0  # of a label
_OUTLINE = 1.2  # how wide the wing's outline is drawn, in points


@dataclass(frozen=True)
class _Stage:
    """Where the wing stands on the sheet, in points: its leading edge, chord and lines.

    `below` is from the chord down to where the lines meet; `arrow` shows the way of flight.
    """

    leading_edge: XY
    chord: float
    below: float
    arrow: XY

    @property
    def end(self) -> float:
        """Where the trailing edge is when the wing is as specified."""
        return self.leading_edge[0] + self.chord


_PAGE = _Stage((112.0, 46.0), 200.0, 96.0, arrow=(14.0, 46.0))
# On a narrow sheet the arrow goes over the wing, and the words beside it still have their room.
_NARROW = _Stage((10.0, 54.0), 150.0, 84.0, arrow=(2.0, 14.0))
_NARROW_BELOW = 400.0  # points
_LOW, _LOW_HEIGHT = _Stage((112.0, 34.0), 200.0, 54.0, arrow=(14.0, 34.0)), 94.0


@dataclass(frozen=True)
class SideView:
    """Draws the profile dashed as it came and solid as it leaves."""

    contract: int = 2
    name: str = "side_view"

    def draw(self, view: View) -> Figure | None:
        """Return the drawing, or None when no pitch was assessed."""
        spec, assessment = view.job.specification, view.assessment
        before, now = (assessment.claim(Subject.PITCH, when) for when in (When.FOUND, When.NOW))
        if spec is None or now.value is None:
            return None
        height = _LOW_HEIGHT if view.low else _HEIGHT
        sheet = Canvas(view.width_pt, height, view.ink.font)
        ink = view.ink

        wide = _LOW if view.low else _PAGE
        stage = _NARROW if view.width_pt < _NARROW_BELOW else wide
        left, chord_line = stage.leading_edge
        end = stage.end
        sheet.line([(left - 14, chord_line), (end + 12, chord_line)], ink.rule, 0.8)
        _flight_arrow(sheet, view, stage)
        labels: list[tuple[float, str, str, str]] = []
        if assessment.facts["remeasured"] and before.value is not None:
            _wedge(sheet, stage, before, ink.before)
            tail = _wing(sheet, stage, spec, _drawn_deg(before), ink.before, "", (3, 2))
            title = _title(view, "before", "found")
            labels.append((tail, ink.before_text, title, _say(view, before)))
        _wedge(sheet, stage, now, ink.after)
        tail = _wing(sheet, stage, spec, _drawn_deg(now), ink.after, ink.wash, ())
        key = "now" if assessment.facts["remeasured"] else "side_view_measured"
        labels.append((tail, ink.after, _title(view, key, "now"), _say(view, now)))
        texts = [_lines(title, words, view.width_pt - end - 18) for _, _, title, words in labels]
        tops = _spread([tail for tail, *_ in labels], [len(lines) for lines in texts])
        for y, (_, colour, *_), lines in zip(tops, labels, texts, strict=True):
            for number, (words, bold) in enumerate(lines):
                sheet.text(end + 18, y + number * _LINE, words, 8, colour, bold=bold)
        alt = " ".join(f"{title}: {words}." for _, _, title, words in labels)
        beyond = max(before.value or 0.0, now.value) * _FACTOR > _MOST_DEG
        key = "side_view_caption_beyond" if beyond else "side_view_caption"
        most = view.formats.number(_MOST_DEG / _FACTOR)
        return figure_of(
            self.name,
            sheet,
            alt,
            " ".join(
                [
                    view.statements.label(key, factor=_FACTOR, most=most),
                    *(view.statements.labels[one] for one in _marks(stage, labels, before, now)),
                ]
            ),
        )


def _title(view: View, key: str, when: str) -> str:
    """When, and what it is taken from where that is not the whole wing."""
    facts, labels = view.assessment.facts, view.statements.labels
    known = _TAKEN_FROM.get(facts[f"{when}_angle_by"])
    if known is None:
        return labels[key]
    side = facts[f"{when}_angle_side"]
    half = labels[f"half_{side}"] if side else ""
    return view.statements.label(known, when=labels[key], half=half)


def _marks(stage: _Stage, drawn: Sized, before: Claim, now: Claim) -> Iterator[str]:
    """What of the drawing needs a word: two outlines or one, and the band of an open angle."""
    both = len(drawn) > 1
    if both:
        yield "side_view_same" if _same(stage, before, now) else "side_view_outlines"
    if _open(now) or (both and _open(before)):
        yield "side_view_band"


def _same(stage: _Stage, before: Claim, now: Claim) -> bool:
    """Whether the outline of now hides that of before: nowhere further apart than a line is wide.

    Furthest from the pivot is where the lines meet or the trailing edge.
    """
    reach = max(0.67 * stage.chord, stage.below)
    turn = math.radians(_drawn_deg(now) - _drawn_deg(before))
    return abs(turn) * reach < _OUTLINE


def _open(claim: Claim) -> bool:
    """Whether the direction is not settled, but how far off the wing may be."""
    return not claim.direction and claim.high is not None


def _drawn_deg(claim: Claim) -> float:
    """The angle as drawn, + = nose up; level where the direction is not settled."""
    sign = {"up": 1.0, "down": -1.0}.get(claim.direction, 0.0)
    return sign * min((claim.value or 0.0) * _FACTOR, _MOST_DEG)


def _say(view: View, claim: Claim) -> str:
    """The angle in words, with a direction only where it is settled."""
    if not claim.direction and claim.high is not None:
        within = view.formats.at_most(claim.high, 1)
        return view.statements.label("near_specified_angle", angle=within)
    text = view.formats.number(claim.value, 1)
    key = "nose_up_by" if claim.direction == "up" else "nose_down_by"
    return view.statements.label(key, angle=text)


def _wedge(sheet: Canvas, stage: _Stage, claim: Claim, colour: str) -> None:
    """Where the direction is open: the angles that the wing may have, behind the wing."""
    if not _open(claim) or claim.high is None:
        return
    turn = math.radians(min(claim.high * _FACTOR, _MOST_DEG))
    left, chord_line = stage.leading_edge
    pivot = (left + 0.33 * stage.chord, chord_line)
    reach = 0.67 * stage.chord + 6.0
    ends = [
        (pivot[0] + reach * math.cos(way * turn), pivot[1] + reach * math.sin(way * turn))
        for way in (1, -1)
    ]
    sheet.line([ends[0], pivot, ends[1]], colour, 0.6, (1, 1.5))


def _lines(title: str, words: str, room: float) -> list[tuple[str, bool]]:
    """A label line by line, each short enough for the room beside the wing; its title is bold."""
    most = max(int(room / LETTER_PT), 1)
    return [(line, text is title) for text in (title, words) for line in wrap(text, most)]


def _spread(tails: list[float], counts: list[int]) -> list[float]:
    """Label heights near their wing's trailing edge, far enough apart to read."""
    if len(tails) < 2:
        return tails
    first, second = tails
    upper = 1 if first >= second else 0
    gap = _GAP + (counts[upper] - 2) * _LINE
    if abs(first - second) >= gap:
        return tails
    sign, middle = (1 if upper else -1), (first + second) / 2
    return [middle + sign * gap / 2, middle - sign * gap / 2]


def _wing(
    sheet: Canvas,
    stage: _Stage,
    spec: Specification,
    drawn_deg: float,
    colour: str,
    fill: str,
    dash: tuple[float, ...],
) -> float:
    """Draw profile and lines turned nose up by `drawn_deg`; return the trailing edge's height."""
    chord_m = spec.trailing_edge_m or _chord_from_rows(spec)
    left, chord_line = stage.leading_edge
    pivot = (left + 0.33 * stage.chord, chord_line)
    feet = (pivot[0], chord_line + stage.below)
    turn = math.radians(drawn_deg)

    def placed(share: float, up: float) -> XY:
        # Nose up: the leading edge rises and the trailing edge sinks about the pivot.
        x, y = left + share * stage.chord - pivot[0], -up * stage.chord
        return (
            pivot[0] + x * math.cos(turn) - y * math.sin(turn),
            pivot[1] + x * math.sin(turn) + y * math.cos(turn),
        )

    lines = []
    for row in spec.rows:
        if row.chord_m:
            share = min(row.chord_m[0] / chord_m, 1.0)
            lines.append([placed(share, -_thickness(share) * 0.35), feet])
    sheet.lines(lines, colour, 0.7, dash)
    sheet.line([placed(*p) for p in _profile()], colour, _OUTLINE, dash, fill=fill, close=True)
    sheet.marks([feet], "dot", 5, colour, fill=colour)
    return placed(1.0, 0.0)[1]


def _chord_from_rows(spec: Specification) -> float:
    """Without a trailing edge the last row is at about two thirds of the chord."""
    return max((row.chord_m[0] for row in spec.rows if row.chord_m), default=1.0) / 0.66


def _thickness(share: float) -> float:
    """NACA four-digit thickness of a 17 % profile, as a share of the chord (NACA report 460)."""
    x = share
    return (
        5
        * 0.17
        * (0.2969 * math.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1036 * x**4)
    )


def _profile() -> list[XY]:
    """Outline as (share of chord, height): fuller above than below, as a paraglider's is."""
    shares = [(1 - math.cos(math.pi * i / 24)) / 2 for i in range(25)]
    upper = [(s, _thickness(s) * 1.15) for s in shares]
    lower = [(s, -_thickness(s) * 0.35) for s in reversed(shares)]
    return upper + lower[1:]


def _flight_arrow(sheet: Canvas, view: View, stage: _Stage) -> None:
    x, y = stage.arrow
    ink = view.ink
    sheet.text(x, y - 6, view.statements.labels["flight_direction"], 7.5, ink.quiet)
    sheet.lines([[(x + 62, y), (x, y)], [(x + 5, y - 3), (x, y), (x + 5, y + 3)]], ink.quiet, 0.8)


figure = SideView()
