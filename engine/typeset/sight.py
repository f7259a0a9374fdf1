"""Whether a reader can see a text that the finished page holds: all its letters, or why not.

Nothing is taken on trust from the theme: sizes, colours and places are those of the PDF.
"""

from collections.abc import Sequence

from trimscribe.colour import contrast
from trimscribe.typeset.objects import PATTERNS, Box, Rgb, Solid, Writing
from trimscribe.typeset.sheet import Sheet

__all__ = ["why_unseen"]

SMALLEST_PT = 7.0  # the small print of a report; about the x-height of a telephone book's
_LEAST_CONTRAST = 4.5  # WCAG 2.2, 1.4.3
_SLIMMEST = 0.6  # letters squeezed beyond a narrow face are no longer told apart
_TIGHTEST = 0.22  # em that a letter takes on average; running text has about 0.45
_COVERED = 0.2  # share of a run under something else; a thin rule through it is below that
_BLANK = 0.3  # share of a page that is blank at least; a gradient shows no colour that often
_WHITE = (255, 255, 255)


def why_unseen(sheet: Sheet, characters: Sequence[int]) -> str:
    """What keeps a reader from these characters of the page's text; empty when nothing does."""
    line: list[Writing] = []
    for writing, count in sheet.writings(characters):
        if writing is None:
            return "it stands in a picture"
        if reason := _misshaped(writing, count):
            return reason
        if line and not _beside(line[-1].box, writing.box):
            if reason := _hidden(line, sheet):
                return reason
            line = []
        line.append(writing)
    return _hidden(line, sheet) if line else ""


def _beside(one: Box, other: Box) -> bool:
    """Whether a run stands behind another on one line, and not on it."""
    level = one.bottom < other.top and other.bottom < one.top
    return level and other.left > one.right - _COVERED * (one.right - one.left)


def _misshaped(writing: Writing, count: int) -> str:
    if not writing.drawn:
        return "its letters are not painted"
    if not writing.read:
        return "programs that read aloud are told to skip it"
    if not writing.upright:
        return "it is turned or mirrored"
    if writing.size < SMALLEST_PT - 0.01:
        return f"it is {writing.size:.1f} pt high; {SMALLEST_PT:g} pt is the least"
    if writing.slim < _SLIMMEST:
        return "its letters are squeezed"
    width = writing.box.right - writing.box.left
    if count > 3 and width < count * writing.size * _TIGHTEST * writing.slim:
        return "its letters stand on each other"
    return ""


def _hidden(line: Sequence[Writing], sheet: Sheet) -> str:
    """Whether a run of a line is off the page, cut, covered, or too faint on its ground."""
    whole = _around([writing.box for writing in line])
    own = {writing.order for writing in line}
    met = [thing for thing in sheet.around(whole) if thing[0].order not in own]
    # Mostly nothing but even ground meets a line, so that its runs need no look of their own.
    even = all(not solid.text and solid.order < min(own) and share > 0.999 for solid, share in met)
    for writing in line:
        if reason := _cut(writing, sheet):
            return reason
        if even:
            ground = met[-1][0] if met else None
        else:
            ground, reason = _ground(writing, sheet)
        if reason := reason or _faint(writing, ground, sheet):
            return reason
    return ""


def _cut(writing: Writing, sheet: Sheet) -> str:
    if writing.box.shared(sheet.box) < 0.99:
        return "it runs off the page"
    if writing.clip is not None and writing.box.shared(_grown(writing.clip, 1)) < 0.9:
        return "it is cut off"
    return ""


def _ground(writing: Writing, sheet: Sheet) -> tuple[Solid | None, str]:
    """What was painted last below a run, and what hides the run from above."""
    ground: Solid | None = None
    for solid, share in sheet.around(writing.box):
        if solid.text:
            if solid.order != writing.order and share > _COVERED:
                return ground, "other text stands on it"
        elif solid.order < writing.order:
            ground = solid
        elif share > _COVERED and writing.box.shared(sheet.exact(solid)) > _COVERED:
            return ground, "something is painted over it"
    return ground, ""


def _faint(writing: Writing, ground: Solid | None, sheet: Sheet) -> str:
    """Contrast with the ground; where its colour is not certain, with what is seen there."""
    if writing.colour is None:
        return "it is see-through"
    if ground is None:  # bare paper
        lowest = contrast(writing.colour, _WHITE)
    elif ground.colour is None or ground.colour in PATTERNS:
        lowest = _seen_contrast(writing.colour, writing.box, ground, sheet)
    else:
        lowest = contrast(writing.colour, ground.colour)
    if lowest < _LEAST_CONTRAST - 0.01:
        return f"its contrast is {lowest:.1f}; {_LEAST_CONTRAST:g} is the least"
    return ""


def _seen_contrast(colour: Rgb, box: Box, ground: Solid, sheet: Sheet) -> float:
    if sheet.box.shared(ground.box) > 0.99:
        paper = ground.colour
        if paper is not None and sheet.blank_share(paper) > _BLANK:
            return contrast(colour, paper)
    # Of above and below the better: a rule or a letter of the next line may touch one of them.
    found = sorted(max(contrast(colour, pixel) for pixel in pair) for pair in sheet.rim(box))
    return found[len(found) // 10] if found else 1.0


def _around(boxes: Sequence[Box]) -> Box:
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return Box(min(lefts), min(bottoms), max(rights), max(tops))


def _grown(box: Box, by: float) -> Box:
    return Box(box.left - by, box.bottom - by, box.right + by, box.top + by)
