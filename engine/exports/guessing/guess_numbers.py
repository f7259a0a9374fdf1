"""How numbers are written and which unit is behind them, guessed from the cells."""

import re
from collections import Counter
from collections.abc import Iterable, Sequence

from trimscribe.exports.guessing.guess_format import Guess
from trimscribe.model.tables import Cell

__all__ = ["guess_signs"]

_BLANK = re.compile(r"\s|(?:mm|cm|m|in)$")
_WITH_UNIT = re.compile(r"[-+\d., '’\u00a0\u2009\u202f]*\d\s*(mm|cm|m|in)")
_COMMA = re.compile(r"[-+]?\d{1,6},\d{1,4}")
_POINT = re.compile(r"[-+]?\d{1,6}\.\d{1,4}")
_APOSTROPHES = re.compile(r"[-+]?\d{1,3}(?:['’]\d{3})+(?:[.,]\d+)?")
_GROUPED = re.compile(r"[-+]?\d{1,3}(?P<sign>[.,'’])\d{3}(?:[.,]\d+)?")


def guess_signs(cells: Sequence[Cell]) -> dict[str, Guess]:
    """What is before decimals, between thousands and behind numbers, where they are text."""
    texts = [_BLANK.sub("", cell.text) for cell in cells if isinstance(cell.value, str)]
    unit = _unit(cell.text for cell in cells if isinstance(cell.value, str))
    return unit | _signs(texts)


def _unit(texts: Iterable[str]) -> dict[str, Guess]:
    """The unit that is behind numbers themselves."""
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
    marked = [text for text in texts if _APOSTROPHES.fullmatch(text)]
    if marked:
        why = f"{len(marked)} numbers have one, such as “{marked[0]}”"
        found = {"thousands": Guess("apostrophe", "sure", why)}
        if any("," in text for text in marked):
            found["decimal"] = Guess("comma", "sure", why)
        return found
    if len(commas) > len(points):
        if all(re.fullmatch(r"[-+]?\d{1,3},\d{3}", text) for text in commas):
            why = f"all of {len(commas)} commas are before three digits, such as “{commas[0]}”"
            return {"thousands": Guess("comma", "a guess", why)}
        sure = "sure" if not points else "likely"
        why = f"{len(commas)} numbers have a comma, such as “{commas[0]}”"
        return {"decimal": Guess("comma", sure, why)}
    if points:
        sure = "sure" if not commas else "likely"
        return {"decimal": Guess("point", sure, f"{len(points)} numbers have a point")}
    return {}
