"""What a shelf is asked for by words."""

import pytest

from trimscribe.archive.entry import has_words


@pytest.mark.parametrize("words", ["Häher", "haher", "HAEHER s", "wacholder  häher"])
def test_words_are_found_however_their_accents_are_written(words: str) -> None:
    assert has_words("Wacholder Häher S", words)


@pytest.mark.parametrize("words", ["hahner", "her m"])
def test_other_words_are_not(words: str) -> None:
    assert not has_words("Wacholder Häher S", words)
