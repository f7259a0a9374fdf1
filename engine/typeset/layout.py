"""Text that does not lie where a reader expects it: off the page, or on other text."""

from collections.abc import Iterator

from trimscribe.errors import Fault
from trimscribe.typeset.objects import Box
from trimscribe.typeset.sheet import Sheet
from trimscribe.typeset.text import opened

__all__ = ["misplaced"]

_EDGE_PT = 11.0  # about 4 mm: printers leave this much of a sheet blank
_TINY_PT = 6.0  # for a label in a drawing; required texts must be larger
_OVER = 0.25  # share of a run that may lie under another's box: accents and descenders reach out


def misplaced(data: bytes) -> tuple[Fault, ...]:
    """Faults of a finished PDF as a whole; what stands on every page is told once."""
    found: dict[tuple[str, str], list[int]] = {}
    with opened(data) as pages:
        for number, page in enumerate(pages, 1):
            for place in _misplaced(page.sheet):
                found.setdefault(place, []).append(number)
    return tuple(_fault(code, text, numbers) for (code, text), numbers in found.items())


def _misplaced(sheet: Sheet) -> Iterator[tuple[str, str]]:
    inner = Box(_EDGE_PT, _EDGE_PT, sheet.box.right - _EDGE_PT, sheet.box.top - _EDGE_PT)
    for solid, text in sheet.texts():
        if solid.box.shared(inner) < 0.99:
            yield "text-off-the-page", text
        if solid.box.top > solid.box.bottom and sheet.size_of(solid) < _TINY_PT:
            yield "text-tiny", text
        others = (o for o, share in sheet.around(solid.box) if o.text and share > _OVER)
        if any(other.order < solid.order for other in others):
            yield "text-on-text", text


def _fault(code: str, text: str, numbers: list[int]) -> Fault:
    pages = ", ".join(map(str, dict.fromkeys(numbers)))
    where = f"On page {pages}" if len(set(numbers)) == 1 else f"On pages {pages}"
    if code == "text-off-the-page":
        message = f"{where} “{text}” runs off the page or too close to its edge."
        return Fault("text-off-the-page", message, hint="Give it more room, or let it break.")
    if code == "text-tiny":
        message = f"{where} “{text}” is smaller than {_TINY_PT:g} pt."
        return Fault("text-tiny", message, hint="Set it, or the drawing that it is in, larger.")
    message = f"{where} “{text}” stands on other text."
    return Fault("text-on-text", message, hint="Let the two take their own room.")
