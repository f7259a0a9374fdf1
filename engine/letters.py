"""Letters as people compare them: `Łucja Ångström` and `lucja angstrom` are one name."""

import functools
import re
import unicodedata
from collections.abc import Iterator, Sequence

# Letters that Unicode does not take apart.
_SPELLED = str.maketrans(
    {"æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "ł": "l", "þ": "th", "ı": "i"}
)
_APART = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe", "æ": "ae"})
_ACCENTS = range(0x0300, 0x0370)


def plain_letters(text: str) -> str:
    """The text in small letters without accents, ligatures and other widths, taken apart (NFKD).

    Letters that have no such form, as those of other scripts, stay as they are.
    """
    # Folded again: taking a letter apart may uncover a capital, as in a circled one.
    apart = unicodedata.normalize("NFKD", text.casefold()).casefold().translate(_SPELLED)
    return "".join(c for c in apart if ord(c) not in _ACCENTS)


def spellings(name: str) -> Iterator[str]:
    """A name as it is and as it is written where letters such as ä are missing, or put in."""
    yield name
    yield unicodedata.normalize("NFC", name).casefold().translate(_APART)
    yield re.sub("(?<=[aou])e", "", plain_letters(name))


def with_places(text: str) -> tuple[str, Sequence[int]]:
    """The plain letters, and for each the place in `text` that it came from; then the end."""
    if text.isascii():
        return text.casefold(), range(len(text) + 1)
    parts = [_plain(sign) for sign in text]
    places = [place for place, part in enumerate(parts) for _ in part]
    return "".join(parts), [*places, len(text)]


_plain = functools.lru_cache(maxsize=4096)(plain_letters)
