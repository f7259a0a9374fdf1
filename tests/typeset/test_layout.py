"""Pages as a whole: nothing runs off them, overlaps other text, or is too small to read."""

import pytest
from paper import document

from trimscribe.typeset.layout import misplaced
from trimscribe.typeset.pdf import output

pytestmark = pytest.mark.quick


def reported(body: str) -> list[tuple[str, str]]:
    data = output.make(document(f"#set text(size: 10pt)\n{body}")).data
    return [(fault.code, fault.message) for fault in misplaced(data)]


@pytest.mark.parametrize(
    "body",
    [
        "Plain words, and more of them. " * 60,
        "#underline[gypsy] and #strong[bold], ÄÖÅ under gjpq\n\n" * 20,
        "#table(columns: 3, ..range(30).map(n => [cell #n]))",
        "#place(bottom + right)[in the corner]",
        "#box(rect(fill: black, text(fill: white)[on a box]))",
    ],
)
def test_sound_pages_are_let_through(body: str) -> None:
    assert reported(body) == []


@pytest.mark.parametrize(
    ("body", "code", "words"),
    [
        ('#box(width: 2cm, "' + "unbroken" * 20 + '")', "text-off-the-page", "On page 1"),
        ("#place(dx: -2.4cm)[edge]", "text-off-the-page", "“edge”"),
        ("#place(bottom, dy: 6cm)[below]", "text-off-the-page", "“below”"),
        ("#place[lower words]upper words", "text-on-text", "overlaps other text"),
        ("#text(size: 4pt)[tiny]", "text-tiny", "“tiny” is smaller than 6 pt"),
    ],
)
def test_what_is_misplaced_is_reported_with_its_page_and_words(
    body: str, code: str, words: str
) -> None:
    ((found, message), *_) = reported(body)

    assert found == code
    assert words in message


def test_what_stands_on_every_page_is_reported_once() -> None:
    page = "#set page(footer: move(dy: 2.3cm)[foot])\nx#pagebreak()y#pagebreak()z"

    assert reported(page) == [
        ("text-off-the-page", "On pages 1, 2, 3 “foot” runs off the page or too close to its edge.")
    ]
