"""Numbers, dates, lists and plural forms as a language writes them: the one home of babel.

Babel gives the symbols and rules once per locale. Plain numbers are then written here, because a
record prints hundreds of them and babel's own formatter is far slower.
"""

import datetime as dt
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from babel import Locale, UnknownLocaleError
from babel.dates import format_date
from babel.lists import format_list
from babel.numbers import get_decimal_symbol, get_group_symbol

MINUS = "\u2212"
_GROUP_FROM = 10_000  # a length of 7342 mm stays in one piece, whatever the comma means to a reader
_MOST = 3  # decimals; more is what arithmetic leaves behind, not what anybody measures
# A blank between a number and its unit, or within "k = 2", which is no place to end a line.
_BOUND = re.compile(
    r"(?<=\d) (?=(?:mm|mm/m|cm²|cm|m|L|kg|lb|N|daN|Pa|h|s|%|km/h|mph|kn)(?![\w/]))"
    r"|(?<=\(k) (?==)|(?<=\(k =) "
)
_TELEPHONE = re.compile(r"\+\d[\d ]{6,20}\d")  # as E.123 writes it for abroad
# Such as 16 October 2026, 16. Oktober 2026, 16 de octubre de 2026 and October 16, 2026.
_DATE = re.compile(
    r"\b\d{1,2}\.? (?:de )?[^\W\d]{3,}\.? (?:de )?\d{4}\b|\b[^\W\d]{3,} \d{1,2}, \d{4}\b"
)
_SAME = 1e-9  # 7310.1 less 7300 is 10.100000000000364 in binary, and still at a limit of 10.1


@dataclass(frozen=True)
class LocaleFormats:
    """Writes values for one locale; None reads as `missing`. Implements `contracts.Formats`."""

    locale: Locale
    missing: str
    dates: str
    group: str
    decimal: str

    def number(self, value: float | None, digits: int = 0, *, sign: bool = False) -> str:
        """A number with fixed digits; `sign` also writes a plus, but never on what reads as zero.

        Minus is U+2212. Thousands are grouped from 10,000. ValueError for a number that is not
        finite.
        """
        if value is None:
            return self.missing
        if not math.isfinite(value):
            raise ValueError(f"{value} is not a number to print")
        size = abs(value) + _SAME  # halves go away from zero, whatever arithmetic left of them
        grouped = round(size, digits) >= _GROUP_FROM
        text = f"{size:,.{digits}f}" if grouped else f"{size:.{digits}f}"
        if digits or grouped:
            whole, _, fraction = text.partition(".")
            text = whole.replace(",", self.group) + (self.decimal + fraction if digits else "")
        if value < 0 and text.strip("0" + self.decimal):
            return MINUS + text
        if sign and value > 0 and text.strip("0" + self.decimal):
            return "+" + text
        return text

    def at_most(self, value: float, digits: int = 0) -> str:
        """A bound, rounded up: what is said to be within it is."""
        step = 10.0**digits
        return self.number(math.ceil(value * step - _SAME) / step, digits)

    def written(self, value: float | None, *, sign: bool = False) -> str:
        """A number with the decimals that somebody wrote it with: 8.5, and 10 for 10.0."""
        return self.number(value, 0 if value is None else decimals(value), sign=sign)

    def beside(
        self,
        value: float | None,
        limit: float | None,
        digits: int = 0,
        *,
        sign: bool = False,
        borders: Sequence[float] = (),
    ) -> str:
        """A number whose size is compared with a limit, so that it reads on its own side of it.

        It has `digits` decimals, and up to three where fewer would show it at the limit, or on the
        other side: 9.8 and 10.2 against 10, but 10 for what lies at the limit. So it is for
        `borders`, where a decision rule's verdict on its size changes besides at the limit.
        """
        if value is not None and limit is not None:
            edges = (limit, *borders)
            sides = [_side(value, edge) for edge in edges]
            while digits < _MOST and [_side(_rounded(value, digits), e) for e in edges] != sides:
                digits += 1
        return self.number(value, digits, sign=sign)

    def at_least(self, value: float, least: float) -> str:
        """A whole number that should reach `least`; finer where that would hide that it does not.

        So it reads no finer than what is uncertain by millimetres can be known.
        """
        return self.beside(value, least) if value < least else self.number(value)

    def decimals(self, value: float) -> int:
        """How many decimals a number was written with, up to three."""
        return decimals(value)

    def date(self, value: dt.date | None) -> str:
        """A date in the locale's long form, or in the one that was chosen."""
        return self.missing if value is None else format_date(value, self.dates, locale=self.locale)

    def items(self, parts: Sequence[str]) -> str:
        """A list in running text: `A, B and C`."""
        return format_list(list(parts), locale=self.locale)

    def plural(self, count: int) -> str:
        """The locale's plural category of a count: one, few, many, other …"""
        return str(self.locale.plural_form(count))


def with_units(text: str) -> str:
    """The text with each unit kept on one line with its number, and a telephone number on one."""
    bound = _BOUND.sub("\u00a0", text)
    return _TELEPHONE.sub(lambda number: number[0].replace(" ", "\u00a0"), bound)


def with_dates(text: str) -> str:
    """The text with each date that has its month in words kept on one line."""
    return _DATE.sub(lambda date: date[0].replace(" ", "\u00a0"), text)


def _rounded(value: float, digits: int) -> float:
    """As `LocaleFormats.number` writes it: halves away from zero."""
    return math.copysign(float(f"{abs(value) + _SAME:.{digits}f}"), value)


def decimals(value: float) -> int:
    """How many decimals a number was written with, up to three."""
    return len(f"{value:.{_MOST}f}".rstrip("0").partition(".")[2])


def _side(value: float, limit: float) -> int:
    """-1 within the limit, 0 at it, 1 beyond."""
    over = abs(value) - limit
    return 0 if abs(over) <= _SAME else 1 if over > 0 else -1


@lru_cache(maxsize=32)
def formats_for(
    locale: str, missing: str = "–", dates: str = "", symbols: tuple[str, str] | None = None
) -> LocaleFormats:
    """Formats of a locale such as `en_GB`; ValueError when babel does not know it.

    `missing` is the language's word or sign for "not measured". `dates`, a CLDR pattern, and
    `symbols`, the separators of thousands and decimals, are in place of the locale's own.
    """
    try:
        known = Locale.parse(locale)
    except (UnknownLocaleError, ValueError) as error:
        raise ValueError(f"unknown locale {locale!r}") from error
    group, decimal = symbols or (get_group_symbol(known), get_decimal_symbol(known))
    return LocaleFormats(known, missing, dates or "long", group, decimal)
