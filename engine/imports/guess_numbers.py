"""How numbers are written and in which unit, guessed from the cells and from a line set."""

import math
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from statistics import median

from trimscribe.imports.guess_format import Guess
from trimscribe.model.tables import Cell

__all__ = ["guess_meaning", "guess_signs"]

_FACTORS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
_NEAR = 0.08  # decades; the inch lies 0.4 from the centimetre
# Lengths of lines without a line set to compare with: common practice, no source. A main brake
# line has about 2 m, the longest lines of big wings 9 m.
_MAGNITUDES = (("m", 1.5, 15.0), ("cm", 150.0, 1500.0), ("mm", 1500.0, 15000.0))
_BLANK = re.compile(r"\s|(?:mm|cm|m|in)$")
_WITH_UNIT = re.compile(r"[-+\d., '’\u00a0\u2009\u202f]*\d\s*(mm|cm|m|in)")
_COMMA = re.compile(r"[-+]?\d{1,6},\d{1,4}")
_POINT = re.compile(r"[-+]?\d{1,6}\.\d{1,4}")
_GROUPED = re.compile(r"[-+]?\d{1,3}(?P<sign>[.,'’])\d{3}(?:[.,]\d+)?")


def guess_signs(cells: Sequence[Cell]) -> dict[str, Guess]:
    """What stands before decimals, between thousands and behind numbers, where they are text."""
    texts = [_BLANK.sub("", cell.text) for cell in cells if isinstance(cell.value, str)]
    unit = _unit(cell.text for cell in cells if isinstance(cell.value, str))
    return unit | _signs(texts)


def _unit(texts: Iterable[str]) -> dict[str, Guess]:
    """The unit that stands behind numbers themselves."""
    units = Counter(match[1] for text in texts if (match := _WITH_UNIT.fullmatch(text)))
    if not units:
        return {}
    unit, count = units.most_common(1)[0]
    return {"unit": Guess(unit, "sure", f"{count} numbers carry it")}


def _signs(texts: Sequence[str]) -> dict[str, Guess]:
    commas = [text for text in texts if _COMMA.fullmatch(text)]
    points = [text for text in texts if _POINT.fullmatch(text)]
    both = [text for text in texts if "." in text and "," in text and _GROUPED.fullmatch(text)]
    if both:
        decimal = "," if both[0].rfind(",") > both[0].rfind(".") else "."
        thousands = "." if decimal == "," else ","
        names = {".": "point", ",": "comma"}
        why = f"{len(both)} numbers have both signs, such as “{both[0]}”"
        return {
            "decimal": Guess(names[decimal], "sure", why),
            "thousands": Guess(names[thousands], "sure", why),
        }
    if len(commas) > len(points):
        if all(re.fullmatch(r"[-+]?\d{1,3},\d{3}", text) for text in commas):
            why = f"all of {len(commas)} commas stand before three digits, such as “{commas[0]}”"
            return {"thousands": Guess("comma", "a guess", why)}
        sure = "sure" if not points else "likely"
        why = f"{len(commas)} numbers have a comma, such as “{commas[0]}”"
        return {"decimal": Guess("comma", sure, why)}
    if points:
        sure = "sure" if not commas else "likely"
        return {"decimal": Guess("point", sure, f"{len(points)} numbers have a point")}
    return {}


def guess_meaning(values: Sequence[float], specified: Sequence[float]) -> dict[str, Guess]:
    """The unit, and whether numbers are deviations, by their size against specified lengths."""
    if not values:
        return {}
    middle = median(map(abs, values))
    if specified and middle:
        wanted = median(specified)
        if middle < 0.02 * wanted and min(values) < 0 < max(values):
            why = f"numbers of both signs around {middle:g}, where lines have {wanted:g} mm"
            longer = Guess("plus", "a guess", "nothing in the file says which sign is longer")
            return {
                "unit": Guess("mm", "likely", why),
                "means": Guess("deviation", "likely", why),
                "longer": longer,
            }
        far = {name: abs(math.log10(wanted / (middle * f))) for name, f in _FACTORS.items()}
        unit = min(far, key=lambda name: far[name])
        sure = "sure" if far[unit] <= _NEAR else "a guess"
        why = f"the middle number is {middle:g}, the middle line of the line set has {wanted:g} mm"
        return {"unit": Guess(unit, sure, why)}
    for unit, low, high in _MAGNITUDES:
        if low <= middle < high:
            why = f"the middle number is {middle:g}; with --wing its unit shows for sure"
            return {"unit": Guess(unit, "likely", why)}
    why = f"the middle number is {middle:g}, which fits no unit of lengths"
    return {"unit": Guess("mm", "a guess", why)}
