"""Letters as people compare them."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimscribe.letters import plain_letters, with_places


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Łucja Ångström", "lucja angstrom"),
        ("Zéphyr", "zephyr"),
        (unicodedata.normalize("NFD", "Zéphyr"), "zephyr"),
        ("STRAẞE, Straße", "strasse, strasse"),
        ("Ærø, Đorđe, Þór", "aero, dorde, thor"),
        ("Έλενα", "ελενα"),
        ("ＡＢ ﬁn", "ab fin"),
        ("Ёлка 风", "елка 风"),
    ],
)
def test_accents_capitals_and_ligatures_do_not_count(text: str, plain: str) -> None:
    assert plain_letters(text) == plain


@given(st.text())
def test_each_letter_knows_where_it_came_from(text: str) -> None:
    plain, places = with_places(text)

    assert len(places) == len(plain) + 1
    assert [*places] == sorted(places)
    assert places[-1] == len(text)
    for letter, place in zip(plain, places[:-1], strict=True):
        assert letter in plain_letters(text[place])


@given(st.text(st.characters(exclude_categories=["Mn", "Cs"])))
def test_letter_by_letter_it_is_the_same_text(text: str) -> None:
    assert with_places(text)[0] == plain_letters(text)
