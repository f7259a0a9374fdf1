"""Text that does not lie where a reader expects it: off the page, or on other text."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from trimscribe.errors import Fault, Severity
from trimscribe.typeset.runs import overprinted, runs_of, text_in
from trimscribe.typeset.text import Page, opened

_EDGE_PT = 11.0  # about 4 mm: printers leave this much of a sheet blank
_TINY_PT = 6.0  # for a label in a drawing; required texts must be larger


def overprint_warnings(found: Mapping[str, Sequence[int]]) -> tuple[Fault, ...]:
    """Warnings of texts that overlap others, each with the numbers of its pages."""
    return tuple(
        _fault("text-on-text", text, pages, Severity.WARNING) for text, pages in found.items()
    )


def misplaced(data: bytes) -> tuple[Fault, ...]:
    """Faults of a finished PDF as a whole; what is on every page is reported once."""
    found: dict[tuple[str, str], list[int]] = {}
    with opened(data) as pages:
        for number, page in enumerate(pages, 1):
            for place in _misplaced(page):
                found.setdefault(place, []).append(number)
    return tuple(_fault(*place, pages) for place, pages in found.items())


def _misplaced(page: Page) -> Iterator[tuple[str, str]]:
    runs, (width, height) = runs_of(page.page), page.page.get_size()
    edge = np.array((_EDGE_PT, _EDGE_PT, width - _EDGE_PT, height - _EDGE_PT))
    inside = (runs.boxes[:, :2] > edge[:2] - 0.1).all(1) & (runs.boxes[:, 2:] < edge[2:] + 0.1).all(
        1
    )
    for code, those in (("text-off-the-page", ~inside), ("text-tiny", runs.sizes < _TINY_PT)):
        for box in runs.boxes[those]:
            yield code, text_in(page.textpage, box)
    for text in overprinted(page.textpage):
        yield "text-on-text", text


def _fault(
    code: str, text: str, numbers: Sequence[int], severity: Severity = Severity.ERROR
) -> Fault:
    pages = ", ".join(map(str, dict.fromkeys(numbers)))
    where = f"On page {pages}" if len(set(numbers)) == 1 else f"On pages {pages}"
    message, hint = {
        "text-off-the-page": (
            "runs off the page or too close to its edge",
            "Give it more room, or let it break.",
        ),
        "text-tiny": (
            f"is smaller than {_TINY_PT:g} pt",
            "Set it, or the drawing that it is in, larger.",
        ),
        "text-on-text": ("overlaps other text", "Let the two take their own room."),
    }[code]
    return Fault(code, f"{where} “{text}” {message}.", hint=hint, severity=severity)
