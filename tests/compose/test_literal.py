"""Text from a job can never become markup or code."""

import datetime as dt
import json
import math

import pytest
import typst
from hypothesis import given
from hypothesis import strategies as st

from trimscribe.compose.literal import literal
from trimscribe.model.wing import Side
from trimscribe.model.workshop import InputFile

HOSTILE = [
    '#read("/etc/passwd")',
    '"); #eval("1") //',
    "$5 and *bold _x_ <label> @ref",
    "{{ 7*7 }} << x >> <% y %>",
    "\\",
    '\\"',
    "\\u{41}",
    "line one\nline two\ttab",
    "/* */ // `raw`",
    "eval, plugin, std, dictionary, import, include: evaluation of imported standards",
]


def _read_back(expression: str) -> object:
    """What Typst itself makes of an expression."""
    source = f"#metadata({expression}) <it>".encode()
    compiler = typst.Compiler(source, ignore_system_fonts=True)
    return json.loads(compiler.query("<it>", field="value", one=True))


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_comes_back_as_the_same_text(text: str) -> None:
    assert _read_back(literal(text)) == text


@given(st.text(st.characters(exclude_categories=["Cc", "Cs", "Cn", "Co"]), max_size=60))
def test_any_printable_text_comes_back_unchanged(text: str) -> None:
    shown = "".join(c for c in text if c not in "\u202a\u202b\u202c\u202d\u202e")

    assert _read_back(literal(text)) == shown


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers(-(2**40), 2**40) | st.sampled_from(HOSTILE),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(st.text('abc-"#', max_size=4), inner, max_size=3)
        ),
        max_leaves=8,
    )
)
def test_nested_values_come_back_as_they_were(value: object) -> None:
    assert _read_back(literal(value)) == value


def test_numbers_keep_their_sign_and_digits() -> None:
    assert _read_back(literal([-3, 0.1, 1e-9])) == [-3, 0.1, 1e-9]


def test_enums_and_dates_are_written_as_what_they_stand_for() -> None:
    assert _read_back(literal(Side.LEFT)) == "left"
    assert literal(dt.date(2026, 3, 9)) == "datetime(year: 2026, month: 3, day: 9)"


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_not_finite_is_refused(number: float) -> None:
    with pytest.raises(ValueError, match="not a number"):
        literal(number)


def test_an_unknown_kind_of_value_is_refused() -> None:
    with pytest.raises(TypeError, match="object"):
        literal(object())


def test_what_cannot_be_printed_is_named_with_what_it_holds() -> None:
    with pytest.raises(TypeError) as caught:
        literal({"job": [InputFile("a.png", b"x", "image/png")]})

    assert str(caught.value) == "a template cannot print a dict, which holds a bytes"
    with pytest.raises(TypeError, match="cannot print an object"):
        literal(object())
