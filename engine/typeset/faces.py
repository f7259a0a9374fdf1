"""Whether a font draws the letters that it says: those of `theme check`, before any report.

A report's texts are looked for by their characters. A font that draws another letter for one, or
other words in the place of a few, would show something else.
"""

import functools
import re
import string
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from trimscribe.errors import Fault
from trimscribe.model.document import FontFolder
from trimscribe.typeset.compiler import compile_pdf
from trimscribe.typeset.text import Page, opened

_LETTERS = string.ascii_letters + string.digits
_CELL_PT, _SIZE_PT, _SCALE = 36, 24, 2
_RASTER = 16
# Of all letters on average: seven real faces and ours 0.61 to 0.91, italics of formulas 0.50, every
# letter moved by one 0.26.
_LEAST_ALIKE = 0.45
# Of one letter with its own and with another one: no face of those has such a pair.
_UNLIKE_ITSELF, _LIKE_ANOTHER = 0.45, 0.8
_SAME_SHAPE = ("Il1ij", "O0oQ", "5S", "2Z")
_STYLES = ("weight: 400", "weight: 700", 'style: "italic"')
_SHEET = """\
#set document(title: "Letters")
#set page(width: {width}pt, height: {height}pt, margin: 0pt)
#set text(font: "{family}", lang: "en", size: {size}pt)
#grid(columns: ({cell}pt,) * {count}, rows: {cell}pt, align: center + horizon,
  ..for style in ({styles}) {{ "{letters}".clusters().map(letter => text(..style, letter)) }})
"""
# Letters that faces join; anything else that shares the place of one letter may be another word.
_JOINED = re.compile(r"ff?[filtjbhk]|ff|tt|t[fi]|Th|Qu|c[hkt]|s[tph]|fft")
_Raster = NDArray[np.float64]


def false_faces(
    families: Sequence[str], fonts: tuple[FontFolder, ...], known: Mapping[str, Path]
) -> Iterator[Fault]:
    """Faults of families that draw other letters; `known` are the folders of families that do not.

    Raises TypesetError for a family that no font has.
    """
    ours = [_rasters(name, (FontFolder(path, ()),)) for name, path in known.items()]
    for family in dict.fromkeys(families):
        theirs = _rasters(family, fonts)
        alike = np.max([np.einsum("sik,sjk->sij", theirs, other) for other in ours], axis=0)
        itself = np.einsum("sii->si", alike)
        if itself.mean(1).min() < _LEAST_ALIKE:
            yield _fault(f"The font “{family}” draws other letters than it says.")
            continue
        style, letter = np.nonzero((itself < _UNLIKE_ITSELF) & (alike.max(2) > _LIKE_ANOTHER))
        pairs = {
            (_LETTERS[n], _LETTERS[alike[s, n].argmax()])
            for s, n in zip(style, letter, strict=True)
        }
        for said, drawn in sorted(pairs):
            same = any(said in shape and drawn in shape for shape in _SAME_SHAPE)
            if said.lower() != drawn.lower() and not same:
                yield _fault(f"The font “{family}” draws “{drawn}” for “{said}”.")


def joined_letters(data: bytes) -> Iterator[Fault]:
    """Faults of a finished PDF where one drawing stands for letters that no face joins."""
    found: set[str] = set()
    with opened(data) as pages:
        for page in pages:
            found |= set(_joined(page))
    for letters in sorted(found):
        if not _JOINED.fullmatch(letters):
            yield _fault(f"A font draws “{letters}” as one character, which may be another word.")


def _joined(page: Page) -> Iterator[str]:
    """Letters of a page, two and more, that share one place."""
    last, letters = None, ""
    for number, letter in enumerate(page.text):
        box = page.textpage.get_charbox(number)
        if box == last and box[2] > box[0]:
            letters += letter
            continue
        if len(letters) > 1:
            yield letters
        last, letters = box, letter


def _fault(message: str) -> Fault:
    hint = "Required texts are found by their letters. Take another font, or another copy of it."
    return Fault("font-false", message, hint=hint)


def _rasters(family: str, fonts: tuple[FontFolder, ...]) -> _Raster:
    """Each letter of a family as a small picture, style by style."""
    source = _SHEET.format(
        family=family,
        size=_SIZE_PT,
        cell=_CELL_PT,
        count=len(_LETTERS),
        width=_CELL_PT * len(_LETTERS),
        height=_CELL_PT * len(_STYLES),
        letters=_LETTERS,
        styles=", ".join(f"({style})" for style in _STYLES),
    )
    data, _ = compile_pdf({"main.typ": source.encode()}, fonts, 0)
    with opened(data) as (page,):
        bitmap = page.page.render(scale=_SCALE, grayscale=True, may_draw_forms=False)
        ink = 255 - bitmap.to_numpy().reshape(bitmap.height, bitmap.width).astype(float)
    step = _CELL_PT * _SCALE
    rows, columns = range(len(_STYLES)), range(len(_LETTERS))
    return np.array(
        [
            [_shape(ink[r * step : (r + 1) * step, c * step : (c + 1) * step]) for c in columns]
            for r in rows
        ]
    )


def _shape(cell: _Raster) -> _Raster:
    """What is inked of a cell, stretched to the raster, its mean taken out, of length one."""
    rows, columns = np.flatnonzero(cell.max(1) > 60), np.flatnonzero(cell.max(0) > 60)
    if not len(rows):
        return np.zeros(_RASTER * _RASTER)
    inked = cell[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    high, wide = inked.shape
    small = (_means(high) @ inked @ _means(wide).T).ravel()
    small -= small.mean()
    return np.asarray(small / (np.linalg.norm(small) or 1))


@functools.cache
def _means(count: int) -> _Raster:
    """What each of so many pixels adds to each cell of the raster, as the part that lies in it."""
    found: _Raster = np.repeat(np.eye(count), _RASTER, 0).reshape(_RASTER, count, count).mean(1)
    return found
