"""Words of exports by meaning: those of the file beside this one, and a workshop's own."""

import functools
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from trimscribe.letters import plain_letters
from trimscribe.marked_yaml import load

_FILE = Path(__file__).with_name("vocabulary.yaml")
_TOKEN = re.compile(r"[^\W\d_]+|\d+")
# From the most telling to the least: a word of two meanings has the first.
_KINDS = ("view", "when", "side", "role", "row", "head", "filler")

Word = tuple[str, str]  # a kind such as side, and what it names, such as left


def tokens_of(text: str) -> list[tuple[str, int, int]]:
    """Runs of letters and of digits in plain letters, each with where it starts and ends."""
    return [(plain_letters(m[0]), m.start(), m.end()) for m in _TOKEN.finditer(text)]


@dataclass(frozen=True)
class Vocabulary:
    """Phrases (tuples of plain words) and what they mean; `initials` are pairs left, right."""

    phrases: Mapping[tuple[str, ...], Word]
    starts: Sequence[tuple[str, Word]]
    initials: Sequence[tuple[str, str]]
    last: Mapping[str, Word]
    paired: Mapping[str, Word] = field(default_factory=dict)

    def find(self, words: Sequence[str]) -> tuple[int, Word] | None:
        """The longest phrase that the words begin with: its length and meaning."""
        for length in range(min(4, len(words)), 0, -1):
            if found := self.phrases.get(tuple(words[:length])):
                return length, found
        return next(((1, word) for start, word in self.starts if words[0].startswith(start)), None)


@functools.lru_cache(maxsize=8)
def vocabulary(own: tuple[tuple[str, str, str], ...] = ()) -> Vocabulary:
    """The vocabulary; `own` are a workshop's words as kind, name, phrase, and go first."""
    data: Any = load(_FILE.read_bytes(), _FILE.name).data
    phrases: dict[tuple[str, ...], Word] = {}
    starts: list[tuple[str, Word]] = []
    given = [(phrase, (kind, name)) for kind, name, phrase in own]
    for phrase, word in (*given, *_words(data)):
        if phrase.endswith("*"):
            starts.append((plain_letters(phrase[:-1]), word))
        else:
            phrases.setdefault(tuple(token for token, _, _ in tokens_of(phrase)), word)
    return Vocabulary(
        phrases,
        sorted(starts, key=lambda one: -len(one[0])),
        [(left, right) for left, right in data["initials"]],
        dict(_whens(data["last"])),
        dict(_whens(data["paired"])),
    )


@functools.cache
def about_words() -> Mapping[tuple[str, ...], str]:
    """Labels of what is written beside tables, as plain words, and what each names."""
    data: Any = load(_FILE.read_bytes(), _FILE.name).data
    return {
        tuple(token for token, _, _ in tokens_of(str(phrase))): name
        for name, languages in data["about"].items()
        for phrases in languages.values()
        for phrase in phrases
    }


def _words(data: Mapping[str, Any]) -> Iterator[tuple[str, Word]]:
    for kind in _KINDS[:-1]:
        for name, languages in data[kind].items():
            for words in languages.values():
                for phrase in words:
                    yield str(phrase), (kind, name)
    for words in data["filler"].values():
        for phrase in words:
            yield str(phrase), ("filler", "")


def _whens(data: Mapping[str, Any]) -> Iterator[tuple[str, Word]]:
    for name, languages in data.items():
        for words in languages.values():
            for word in words:
                yield plain_letters(str(word)), ("when", name)
