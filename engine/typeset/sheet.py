"""A page of a finished PDF, looked at only as far as somebody asks.

Places are in points from the lower left corner of the page.
"""

import bisect
import operator
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property, partial
from typing import Any

from trimscribe.typeset import pdfium
from trimscribe.typeset.objects import (
    Box,
    Rgb,
    Solid,
    Writing,
    bounds,
    points_of,
    solids_of,
    writing_of,
)
from trimscribe.typeset.pdfium import Address

__all__ = ["Sheet"]

_SHOWN = 60  # letters of a run that are told
_SMALL = 0.1  # scale of a thumbnail, which takes less than half the time of a full picture
_SAME = 3  # steps of 255 in which rounding may end
_order = operator.attrgetter("order")
_BAND = 12  # points; pages are looked through in bands of this height


class Sheet:
    """One page, looked at only as far as somebody asks."""

    def __init__(self, page: Any, textpage: Any) -> None:
        """Take an open page and its open text."""
        self._page, self._text = page, textpage
        self._characters = pdfium.address(textpage)
        self._shares: dict[Rgb, float] = {}
        self._seen: dict[int, Writing | None] = {}
        width, height = page.get_size()
        self.box = Box(0, 0, width, height)

    @cached_property
    def _orders(self) -> Mapping[Address, int]:
        """Place in the order of painting by address."""
        return {address: n for n, address in enumerate(self._objects)}

    @cached_property
    def _objects(self) -> list[Address]:
        page = pdfium.address(self._page)
        return [pdfium.object_at(page, n) for n in range(pdfium.count_objects(page))]

    def around(self, box: Box) -> list[tuple[Solid, float]]:
        """All that meets a box, in the order of painting, with the share of the box it takes."""
        left, bottom, right, top = box
        # By identity: one that lies in several bands is met once, without comparing it as a whole.
        met = {
            id(solid): solid
            for band in _bands(box)
            for solid, (x1, y1, x2, y2) in self._solids_by_band.get(band, ())
            if x1 < right and x2 > left and y1 < top and y2 > bottom
        }
        return [(solid, box.shared(solid.box)) for solid in sorted(met.values(), key=_order)]

    def writings(self, characters: Sequence[int]) -> Iterator[tuple[Writing | None, int]]:
        """The runs that some characters of the page's text belong to, with how many each.

        None for a run that is not on the page itself but in a picture.
        """
        run_of = partial(pdfium.object_of_character, self._characters)
        last = run_of(characters[-1])
        start = 0
        while start < len(characters):
            address, end = run_of(characters[start]), len(characters)
            if address != last:
                # The letters of a run follow each other, so its end is found by halving.
                end = bisect.bisect_left(
                    characters, True, start + 1, key=lambda c: run_of(c) != address
                )
            if address:  # there is none for a letter that PDFium put in itself
                yield self._writing(address), end - start
            start = end

    def texts(self) -> Iterator[tuple[Solid, str]]:
        """Every run of text that is more than blanks, with the words in it."""
        for solid in self._solids:
            if solid.text and solid.box.right > solid.box.left:
                yield solid, self._text.get_text_bounded(*solid.box).strip()[:_SHOWN]

    def exact(self, solid: Solid) -> Box:
        """The box of a solid without the room that PDFium gives to the corners of its stroke."""
        points = points_of(self._objects[solid.order]) if solid.colour is not None else []
        return bounds(points) if points else solid.box

    def size_of(self, solid: Solid) -> float:
        """The size of a run of text in points, as it is seen."""
        return self._written(solid.order).size

    def _writing(self, address: Address) -> Writing | None:
        if address not in self._seen:
            order = self._orders.get(address)
            found = None if order is None else self._written(order)
            self._seen[address] = found
        return self._seen[address]

    def blank_share(self, colour: Rgb) -> float:
        """The share of the page that shows this colour: what nothing stands on, if it is plain."""
        if colour not in self._shares:
            near = abs(self._thumbnail - colour[::-1]) < _SAME
            self._shares[colour] = float(near.all(axis=2).mean())
        return self._shares[colour]

    @cached_property
    def _thumbnail(self) -> Any:
        return self._page.render(scale=_SMALL, may_draw_forms=False).to_numpy().astype(int)

    def rim(self, box: Box) -> Iterator[tuple[Rgb, Rgb]]:
        """What is seen a little above and below a box, from its left end to its right."""
        above, below = self.box.top - box.top - 1.5, self.box.top - box.bottom + 0.5
        for x in range(int(box.left), int(box.right) + 1, 2):
            yield _pixel(self._picture, x, above), _pixel(self._picture, x, below)

    def _written(self, order: int) -> Writing:
        return writing_of(self._objects[order], order, self._box_of[order])

    @cached_property
    def _box_of(self) -> Mapping[int, Box]:
        return {solid.order: solid.box for solid in self._solids}

    @cached_property
    def _picture(self) -> Any:
        return self._page.render(scale=1, may_draw_forms=False).to_numpy()

    @cached_property
    def _solids_by_band(self) -> Mapping[int, list[tuple[Solid, Box]]]:
        bands: dict[int, list[tuple[Solid, Box]]] = {}
        inside = range(int(self.box.top) // _BAND + 1)
        for solid in self._solids:
            for band in _bands(solid.box):
                if band in inside:
                    bands.setdefault(band, []).append((solid, solid.box))
        return bands

    @cached_property
    def _solids(self) -> tuple[Solid, ...]:
        return tuple(solids_of(self._objects))


def _pixel(picture: Any, x: float, y: float) -> Rgb:
    """The pixel at a place from the upper left corner, or the nearest one."""
    height, width = picture.shape[:2]
    found = picture[min(max(int(y), 0), height - 1)][min(max(int(x), 0), width - 1)]
    blue, green, red = (int(channel) for channel in found[:3])
    return red, green, blue


def _bands(box: Box) -> range:
    return range(int(box.bottom) // _BAND, int(box.top) // _BAND + 1)
