"""Required texts are looked for in the finished file."""

from trimscribe.typeset.text import missing_texts


def test_line_breaks_and_spaces_do_not_hide_a_text() -> None:
    assert missing_texts(("Check the\r\nbrakes  first.",), ("Check the brakes first.",)) == ()


def test_a_text_that_no_page_holds_is_named() -> None:
    assert missing_texts(("one", "two"), ("two", "three")) == ("three",)


def test_a_text_torn_over_two_pages_counts_as_missing() -> None:
    assert missing_texts(("Check the", "brakes"), ("Check the brakes",)) == ("Check the brakes",)
