"""Required texts are looked for in the finished file as a person would read it."""

import pytest
from paper import document

from trimscribe.typeset.pdf import output
from trimscribe.typeset.text import Unseen, seen_in

pytestmark = pytest.mark.quick


def pdf(body: str) -> bytes:
    return output.make(document(body)).data


@pytest.mark.parametrize(
    ("body", "text"),
    [
        ("#block(width: 2cm)[Check the brakes first.]", "Check the brakes first."),
        ("Check#h(2cm)the brakes", "Check the  brakes"),
        ("½ of the office’s files", "½ of the office’s ﬁles"),
        ("Zoë Müller, Ελένη, Жанна", "Zoe\u0308 Müller, Ελένη, Жанна"),
    ],
)
def test_line_breaks_spaces_and_ways_of_writing_a_letter_do_not_hide_a_text(
    body: str, text: str
) -> None:
    assert seen_in(pdf(body), (text,)).unseen == ()


def test_a_text_that_no_page_holds_is_named() -> None:
    found = seen_in(pdf("one\n#pagebreak()\ntwo"), ("two", "three"))

    assert (found.pages, found.unseen) == (2, (Unseen("three"),))


def test_a_text_torn_over_two_pages_counts_as_missing() -> None:
    found = seen_in(pdf("Check the\n#pagebreak()\nbrakes"), ("Check the brakes",))

    assert found.unseen == (Unseen("Check the brakes"),)


def test_of_several_places_one_that_is_legible_is_enough() -> None:
    body = "#text(size: 3pt)[brakes] and #text(size: 4pt)[brakes]"

    assert "3.0 pt" in seen_in(pdf(body), ("brakes",)).unseen[0].why
    assert seen_in(pdf(f"{body} and brakes"), ("brakes",)).unseen == ()
