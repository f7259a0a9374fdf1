"""Numbers, dates, lists and plural forms as a language writes them: the one home of babel.

Babel gives the symbols and rules once per locale. Plain numbers are then written here, because a
record prints hundreds of them and babel's own formatter is far slower.
"""

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from babel import Locale, UnknownLocaleError
from babel.dates import format_date
from babel.lists import format_list
from babel.numbers import get_decimal_symbol, get_group_symbol

__all__ = ["LocaleFormats", "formats_for"]

MINUS = "\u2212"
_GROUP_FROM = 10_000  # a length of 7342 mm stays in one piece, whatever the comma means to a reader


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
            raise ValueError(f"{value} is no number to print")
        size = abs(value)
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

    def date(self, value: dt.date | None) -> str:
        """A date in the locale's long form, or in the one that was chosen."""
        return self.missing if value is None else format_date(value, self.dates, locale=self.locale)

    def items(self, parts: Sequence[str]) -> str:
        """A list in running text: `A, B and C`."""
        return format_list(list(parts), locale=self.locale)

    def plural(self, count: int) -> str:
        """The locale's plural category of a count: one, few, many, other …"""
        return str(self.locale.plural_form(count))


@lru_cache(maxsize=32)
def formats_for(
    locale: str, missing: str = "–", dates: str = "", symbols: tuple[str, str] | None = None
) -> LocaleFormats:
    """Formats of a locale such as `en_GB`; ValueError when babel does not know it.

    `missing` is the language's word or sign for "not measured". `dates`, a CLDR pattern, and
    `symbols`, the signs for thousands and decimals, stand in place of the locale's own.
    """
    try:
        known = Locale.parse(locale)
    except (UnknownLocaleError, ValueError) as error:
        raise ValueError(f"unknown locale {locale!r}") from error
    group, decimal = symbols or (get_group_symbol(known), get_decimal_symbol(known))
    return LocaleFormats(known, missing, dates or "long", group, decimal)
