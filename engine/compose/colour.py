"""Colours as numbers: contrast and lightness, so that a brand cannot make text unreadable.

Contrast is WCAG 2.2's formula (relative luminance of sRGB); a value is parsed, never evaluated.
"""

import re

__all__ = ["contrast", "parse"]

_HEX = re.compile(r"#([0-9a-fA-F]{2})([0-9a-fA-F]{2})([0-9a-fA-F]{2})")


def parse(colour: str) -> tuple[int, int, int]:
    """Red, green and blue (0–255) of `#rrggbb`; ValueError for anything else."""
    found = _HEX.fullmatch(colour)
    if found is None:
        raise ValueError(f"{colour!r} is no colour such as #24566b")
    red, green, blue = (int(part, 16) for part in found.groups())
    return red, green, blue


def _luminance(colour: str) -> float:
    def linear(channel: int) -> float:
        share = channel / 255
        return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)

    red, green, blue = (linear(channel) for channel in parse(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2)."""
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)
