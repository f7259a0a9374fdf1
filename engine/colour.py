"""Colours as numbers: contrast, lightness, and how people with another colour vision see them.

Contrast is WCAG 2.2's formula (relative luminance of sRGB, IEC 61966-2-1). Lightness is L* of CIE
1976 for the white of sRGB. A colour is parsed, never evaluated.
"""

import re
from collections.abc import Mapping
from functools import lru_cache

__all__ = ["VISIONS", "Rgb", "contrast", "difference", "lightness", "parse", "seen_with"]

Rgb = tuple[int, int, int]
_Row = tuple[float, float, float]

_HEX = re.compile(r"#([0-9a-fA-F]{2})([0-9a-fA-F]{2})([0-9a-fA-F]{2})")
_XYZ: tuple[_Row, _Row, _Row] = (  # linear sRGB to CIE XYZ, IEC 61966-2-1
    (0.4124, 0.3576, 0.1805),
    (0.2126, 0.7152, 0.0722),
    (0.0193, 0.1192, 0.9505),
)
# Linear sRGB as the three kinds of dichromats see it: Machado, Oliveira & Fernandes, "A
# physiologically-based model for simulation of color vision deficiency" (2009), severity 1.0.
VISIONS: Mapping[str, tuple[_Row, _Row, _Row]] = {
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def parse(colour: str) -> Rgb:
    """Red, green and blue (0–255) of `#rrggbb`; ValueError for anything else."""
    found = _HEX.fullmatch(colour)
    if found is None:
        raise ValueError(f"{colour!r} is not a colour such as #24566b")
    red, green, blue = (int(part, 16) for part in found.groups())
    return red, green, blue


@lru_cache(maxsize=4096)
def contrast(one: str | Rgb, other: str | Rgb) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2)."""
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def lightness(colour: str | Rgb) -> float:
    """L*, 0 for black to 100 for white: what is left of a colour in greyscale."""
    return _lab(_linear(colour))[0]


def seen_with(vision: str, colour: str | Rgb) -> _Row:
    """The colour as one of `VISIONS` has it, in linear sRGB from 0 to 1."""
    linear = _linear(colour)
    red, green, blue = (min(max(_dot(row, linear), 0.0), 1.0) for row in VISIONS[vision])
    return red, green, blue


def difference(one: _Row, other: _Row) -> float:
    """Distance of two colours in linear sRGB as CIE 1976 ΔE: 2.3 is just noticeable."""
    pairs = zip(_lab(one), _lab(other), strict=True)
    return float(sum((a - b) ** 2 for a, b in pairs) ** 0.5)


def _linear(colour: str | Rgb) -> _Row:
    def linear(channel: int) -> float:
        share = channel / 255
        return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)

    red, green, blue = parse(colour) if isinstance(colour, str) else colour
    return linear(red), linear(green), linear(blue)


def _luminance(colour: str | Rgb) -> float:
    return _dot(_XYZ[1], _linear(colour))


def _lab(linear: _Row) -> _Row:
    def root(share: float) -> float:
        return float(share ** (1 / 3)) if share > 216 / 24389 else (24389 / 27 * share + 16) / 116

    x, y, z = (root(_dot(row, linear) / sum(row)) for row in _XYZ)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _dot(row: _Row, other: _Row) -> float:
    return sum(a * b for a, b in zip(row, other, strict=True))
