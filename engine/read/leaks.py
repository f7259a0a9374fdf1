"""A pilot's name and contact, found however they are written.

Compared are plain letters: without case, accents and ligatures. A name is found as a whole, each of
its words of four letters and more by itself, its words joined or with an initial, in either order,
with signs between the letters, and backwards; of a contact its addresses, numbers and pieces, and
its handles, and mailboxes with more than letters in them, by themselves.
"""

import itertools
import re
from collections.abc import Iterable, Iterator
from functools import cache

from trimscribe.letters import plain_letters, spellings, with_places
from trimscribe.model.job import Pilot

LEAST = 4  # letters of a word of the name that is looked for by itself
_SHORT = 2  # letters of a word that counts beside another one
_APART = 20  # characters between two words of a name, such as a comma or the border of a cell
_JOINED = 7  # letters of words written as one, which hardly are within another word
_SPACED = 9  # the same with anything but letters between them
_BACKWARDS = 6  # letters; shorter words backwards are often other words
_NUMBER = 6  # figures of a number of a telephone
_LOCAL = 7  # its last figures, which stay when the code of the country goes
_ADDRESS = re.compile(r"[^\s@<>,;:\"'()]+@[^\s@<>,;\"'()]+|(?:https?://|www\.)\S+|@\w+")
_MARKS = re.compile(r"@|https?:|www\.")
_BETWEEN = r"[\s().\-/+\u2010-\u2015]{0,4}"
_LETTER = r"[^\W\d_]"
# What languages of Europe put behind a name for its cases and the people of that name: Hale's, den
# Halens, Halem, Halovi. A longer name may have any three letters behind it.
_ENDINGS = r"(?:['\u2019]?s|es|e?ns?|er[ns]?|[aeiy]|[aeo]m|ovi|ow[aei]|ov[aáé]|ina?|ouv?)?"
_LONG, _MORE = 6, rf"{_LETTER}{{0,3}}"


class Sought:
    """What is looked for of a pilot."""

    def __init__(self, pilot: Pilot) -> None:
        """Raises nothing: a pilot without a name has a contact at most."""
        words = [*dict.fromkeys(word for name in spellings(pilot.name) for word in _words(name))]
        self._words = words
        self._long = [word for word in words if len(word) >= LEAST]
        orders = ("".join(pair) for pair in itertools.permutations(words, 2))
        joined = [word for word in orders if len(word) >= _JOINED]
        self._joined = [*joined, *(word[::-1] for word in joined)]
        self._spaced = [word for word in self._joined if len(word) >= _SPACED]
        self._named = _any(self._name())
        self._contact = _any(_contact(pilot.contact))
        # A text whose letters hold none of these in one piece does not name the pilot.
        counted = [word for word in words if len(word) > _SHORT] or words
        self._anchors = [*counted, *(word[::-1] for word in self._long)]
        # Pieces of addresses: mailboxes that are neither a name nor in one piece elsewhere.
        self._of_addresses = [*self._long, *_mailboxes(pilot.contact)]

    def _name(self) -> Iterator[str]:
        words = self._words
        for word in self._long:
            yield _alone(inflected(word))
            yield _alone(r"[\W_]{0,3}".join(word))  # h a l e
            if len(word) >= _BACKWARDS:
                yield _alone(re.escape(word[::-1]))
            for other in words:
                if other != word:  # r.hale, hale-r
                    yield _alone(rf"{other[0]}[._\s-]?{re.escape(word)}")
                    yield _alone(rf"{re.escape(word)}[._-]?{other[0]}")
        counted = [word for word in words if len(word) >= _SHORT] or words
        if len(counted) == 1 and not self._long:
            yield _alone(re.escape(counted[0]))
        for one, other in itertools.permutations(counted, 2):
            yield rf"{_alone(re.escape(one))}.{{1,{_APART}}}?{_alone(re.escape(other))}"

    def places(self, text: str) -> Iterator[tuple[int, int]]:
        """Where a text names the pilot: from, to."""
        plain, places = with_places(text)
        yield from ((places[start], places[end]) for start, end in self._found(plain))

    def _found(self, plain: str) -> Iterator[tuple[int, int]]:
        if self._contact:
            yield from (found.span() for found in self._contact.finditer(plain))
        for address in _ADDRESS.finditer(plain) if _MARKS.search(plain) else ():
            if any(word in address[0] for word in self._of_addresses):
                yield address.span()
        bare = _letters(plain)
        if not self._named or not any(word in bare for word in self._anchors):
            return
        yield from (found.span() for found in self._named.finditer(plain))
        for word in self._joined:
            if (at := plain.find(word)) >= 0:
                yield at, at + len(word)
        for word in self._spaced:
            if (at := bare.find(word)) >= 0:
                kept = [n for n, sign in enumerate(plain) if sign.isalpha()]
                yield kept[at], kept[at + len(word) - 1] + 1


def inflected(word: str) -> str:
    """A pattern of a word of a name, in plain letters, with what its cases put behind it."""
    if len(word) < LEAST:
        return re.escape(word)
    return re.escape(word) + (_MORE if len(word) >= _LONG else _ENDINGS)


def _letters(plain: str) -> str:
    return "".join(filter(str.isalpha, plain))


def _any(patterns: Iterable[str]) -> re.Pattern[str] | None:
    together = "|".join(patterns)
    return re.compile(together, re.DOTALL) if together else None


def _words(name: str) -> list[str]:
    return re.findall(rf"{_LETTER}+", plain_letters(name))


def _alone(pattern: str) -> str:
    """Not within another word; figures and underscores may touch it."""
    return rf"(?<!{_LETTER}){pattern}(?!{_LETTER})"


def _contact(contact: str) -> Iterator[str]:
    plain = plain_letters(contact)
    if plain.strip():
        yield r"\s+".join(map(re.escape, plain.split()))
    for number in re.findall(r"\+?\d[\d\s().\-/]*\d", plain):
        figures = re.sub(r"\D", "", number)
        if len(figures) >= _NUMBER:
            yield rf"(?<!\d){_spaced(figures)}(?!\d)"
            yield rf"{_spaced(figures[-_LOCAL:])}(?!\d)"
    rest = _ADDRESS.sub(" , ", plain)
    for piece in re.split(r"[,;\n·|]", rest):
        words = piece.split()
        if len(words) > 1 and any(re.search(_LETTER * LEAST, word) for word in words):
            yield r"[\s,]+".join(map(re.escape, words))
    yield from map(re.escape, _ADDRESS.findall(plain))
    for address in _ADDRESS.findall(plain):
        box = address.lstrip("@").split("@")[0]
        # A handle stands alone as well, and so does a mailbox that is no word.
        if len(box) >= LEAST and (address.startswith("@") or not box.isalpha()):
            yield _alone(re.escape(box))


def _mailboxes(contact: str) -> Iterator[str]:
    """What is before the @ of an address, or the name of a page."""
    for address in _ADDRESS.findall(plain_letters(contact)):
        box = address.lstrip("@").split("@")[0]
        if len(box) >= LEAST and not box.startswith(("http", "www")):
            yield box


@cache
def _spaced(figures: str) -> str:
    return _BETWEEN.join(figures)
