"""Numbers, dates, lists and plurals against babel's own; where ours differ, on purpose."""

import datetime as dt
import math
from decimal import ROUND_HALF_UP, Decimal

import pytest
from babel.dates import format_date
from babel.lists import format_list
from babel.numbers import format_decimal
from hypothesis import assume, given
from hypothesis import strategies as st

from trimscribe.formats import MINUS, formats_for
from trimscribe.model.workshop import DATE_FORMATS, Writing

LOCALES = ["en_GB", "de_DE", "fr_FR"]


@pytest.mark.parametrize("locale", LOCALES)
@given(value=st.floats(-900.0, 900.0), digits=st.integers(0, 3))
def test_small_numbers_read_as_babel_writes_them(locale: str, value: float, digits: int) -> None:
    # Rounded first: babel rounds halves to even, ours go away from zero.
    step = Decimal(1).scaleb(-digits)
    exact = Decimal(value)
    short_of_half = abs(abs(exact) % step - step / 2)
    assume(short_of_half == 0 or short_of_half > Decimal("1e-8"))
    rounded = float(exact.quantize(step, ROUND_HALF_UP)) or 0.0
    pattern = "0." + "0" * digits if digits else "0"
    babel = format_decimal(rounded, pattern, locale=locale).replace("-", MINUS)
    assert formats_for(locale).number(value, digits) == babel


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (0.5, 0, "1"),
        (2.5, 0, "3"),
        (-11.5, 0, f"{MINUS}12"),
        (0.25, 1, "0.3"),
        (-0.15, 1, f"{MINUS}0.2"),  # a hair below the half as a binary number
        (1.005, 2, "1.01"),  # so is this
        (0.285 * 100, 0, "29"),  # and this, by arithmetic
        (11.4999, 0, "11"),
    ],
)
def test_halves_go_away_from_zero(value: float, digits: int, text: str) -> None:
    assert formats_for("en_GB").number(value, digits) == text


@pytest.mark.parametrize("locale", LOCALES)
@pytest.mark.parametrize("value", [9_999.96, 10_000, 12_345.6, -98_765_432.1])
def test_large_numbers_are_grouped_as_babel_groups_them(locale: str, value: float) -> None:
    babel = format_decimal(value, "#,##0.0", locale=locale).replace("-", MINUS)
    assert formats_for(locale).number(value, 1) == babel


@pytest.mark.parametrize("locale", LOCALES)
def test_a_line_length_stays_in_one_piece(locale: str) -> None:
    assert formats_for(locale).number(7342) == "7342"


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (0.0, 0, "0"),
        (-0.0, 1, "0.0"),
        (-0.4, 0, "0"),
        (0.4, 0, "0"),
        (0.5, 1, "+0.5"),
        (-3.0, 0, f"{MINUS}3"),
        (3.0, 0, "+3"),
        (-12_345.6, 1, f"{MINUS}12,345.6"),
    ],
)
def test_what_reads_as_zero_carries_no_sign(value: float, digits: int, text: str) -> None:
    assert formats_for("en_GB").number(value, digits, sign=True) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(8.5, "8.5"), (10.0, "10"), (0.25, "0.25"), (7340.1 - 7335, "5.1"), (12_345.5, "12,345.5")],
)
def test_what_was_written_keeps_its_decimals_and_gets_none(value: float, text: str) -> None:
    formats = formats_for("en_GB")

    assert formats.written(value) == text
    assert formats.written(-value, sign=True) == MINUS + text
    assert formats.written(None) == formats.number(None)


@pytest.mark.parametrize(
    ("value", "limit", "text"),
    [
        (-9.4, 10, "−9"),
        (-9.8, 10, "−9.8"),
        (9.96, 10, "+9.96"),
        (10.2, 10, "+10.2"),
        (-10.6, 10, "−11"),
        (2.6, 2.5, "+3"),
        (2.5, 2.5, "+2.5"),
        (7310.1 - 7300, 10.1, "+10.1"),
        (7.7, None, "+8"),
        (None, 10, "–"),
    ],
)
def test_a_value_beside_its_limit_has_the_decimals_that_tell_its_side(
    value: float | None, limit: float | None, text: str
) -> None:
    assert formats_for("en_GB").beside(value, limit, sign=True) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (-14.55, "−14.55"),
        (-15.0, "−15"),
        (5.44, "+5.44"),
        (5.2, "+5"),
        (9.8, "+9.8"),
        (12.4, "+12"),
    ],
)
def test_a_value_reads_on_its_own_side_of_each_border_too(value: float, text: str) -> None:
    """10 mm with a guard band of 4.58 mm: ringed from 14.58 mm, passed up to 5.42 mm."""
    shown = formats_for("en_GB").beside(value, 10, sign=True, borders=(5.42, 14.58))

    assert shown == text


@given(
    limit=st.decimals(0, 60, places=1),
    value=st.decimals(-80, 80, places=3),
    digits=st.integers(0, 1),
)
def test_a_value_reads_within_its_limit_where_it_is_and_nowhere_else(
    limit: Decimal, value: Decimal, digits: int
) -> None:
    formats = formats_for("en_GB")

    reported = Decimal(formats.beside(float(value), float(limit), digits).replace(MINUS, "-"))
    beside = Decimal(formats.written(float(limit)))

    assert (abs(reported) > beside, abs(reported) < beside) == (
        abs(value) > limit,
        abs(value) < limit,
    )


def test_what_is_missing_reads_as_the_language_says() -> None:
    formats = formats_for("en_GB", "not measured")
    assert formats.number(None) == formats.date(None) == "not measured"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_never_printed(value: float) -> None:
    with pytest.raises(ValueError, match="not a number to print"):
        formats_for("en_GB").number(value)


@pytest.mark.parametrize("locale", LOCALES)
def test_dates_and_lists_are_written_as_babel_writes_them(locale: str) -> None:
    day, parts = dt.date(2026, 10, 6), ["A", "B", "C"]
    formats = formats_for(locale)
    assert formats.date(day) == format_date(day, "long", locale=locale)
    assert formats.items(parts) == format_list(parts, locale=locale)


@pytest.mark.parametrize(
    ("locale", "date", "items", "number"),
    [
        ("en_GB", "6 October 2026", "A, B and C", "12,345.5"),
        ("de_DE", "6. Oktober 2026", "A, B und C", "12.345,5"),
        ("fr_FR", "6 octobre 2026", "A, B et C", "12\N{NARROW NO-BREAK SPACE}345,5"),
    ],
)
def test_a_reader_of_each_language_finds_the_usual_forms(
    locale: str, date: str, items: str, number: str
) -> None:
    formats = formats_for(locale)
    assert formats.date(dt.date(2026, 10, 6)) == date
    assert formats.items(["A", "B", "C"]) == items
    assert formats.number(12_345.5, 1) == number


@pytest.mark.parametrize(
    ("locale", "categories"),
    [
        ("en_GB", ["other", "one", "other"]),
        ("fr_FR", ["one", "one", "other"]),
        ("pl_PL", ["many", "one", "few"]),
    ],
)
def test_plurals_follow_the_language(locale: str, categories: list[str]) -> None:
    assert [formats_for(locale).plural(count) for count in (0, 1, 2)] == categories


def test_an_unknown_locale_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="unknown locale 'xx_XX'"):
        formats_for("xx_XX")


@pytest.mark.parametrize("locale", ["english please", "", "e"])
def test_what_is_no_locale_at_all_is_refused_too(locale: str) -> None:
    with pytest.raises(ValueError, match=f"unknown locale '{locale}'"):
        formats_for(locale)


@pytest.mark.parametrize(
    ("chosen", "date", "number"),
    [
        (Writing(), "16 October 2026", "12,345.6"),
        (Writing("D Month YYYY", "1.234,5"), "16 October 2026", "12.345,6"),
        (Writing("Month D, YYYY", "1,234.5"), "October 16, 2026", "12,345.6"),
        (Writing("DD.MM.YYYY", "1 234,5"), "16.10.2026", "12\u202f345,6"),
        (Writing("YYYY-MM-DD", "1'234.5"), "2026-10-16", "12’345.6"),
    ],
)
def test_a_workshop_s_own_way_of_writing_goes_before_the_locale_s(
    chosen: Writing, date: str, number: str
) -> None:
    formats = formats_for("en_GB", dates=chosen.dates, symbols=chosen.symbols)

    assert formats.date(dt.date(2026, 10, 16)) == date
    assert formats.number(12345.6, 1) == number
    assert formats.number(-0.04, 1) == formats.number(0, 1)


def test_every_way_of_writing_dates_tells_day_from_month() -> None:
    """Common practice, no source: nobody can tell 3/4 from 4/3."""
    for name in DATE_FORMATS:
        texts = {
            formats_for("en_GB", dates=Writing(name).dates).date(day)
            for day in (dt.date(2026, 4, 3), dt.date(2026, 3, 4))
        }
        assert len(texts) == 2
        assert not any("/" in text for text in texts)


def test_speeds_are_converted_by_the_definitions_of_mile_and_knot() -> None:
    assert Writing(speed_unit="mph").speed(1.609344) == pytest.approx(1)
    assert Writing(speed_unit="kn").speed(1.852) == pytest.approx(1)
    assert Writing().speed(38) == 38
