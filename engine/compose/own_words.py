"""What a theme says in its own words, for a workshop to read before it uses a stranger's theme.

It is looked for in two ways: finished pages are searched for words that no value has brought there,
and the theme's files for words that they may bring under some condition.
"""

import html
import re
from collections.abc import Iterable, Iterator
from typing import Any

from trimscribe.compose.look import Look
from trimscribe.model.document import texts_in

_WORD = re.compile(r"[^\W\d_]{2,}")
_SVG_TEXT = re.compile(r"<text\b[^>]*>(.*?)</text>", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")
_HALF = 0.5
_NO_WORD = 12  # letters and figures; such a thing is a number or a hash, or as good as a sentence
_REMARK = re.compile(r"<#.*?#>|^\s*//.*$", re.DOTALL | re.MULTILINE)
_STATEMENT = re.compile(r"<%.*?%>", re.DOTALL)
_STYLE = re.compile(r"<style>.*?</style>", re.DOTALL)
_QUOTED = re.compile(r'"([^"\n]*)"|\'([^\'\n]*)\'|\[([^\[\]"\n]*)\]')
_SHOWN = re.compile(r">([^<>]*)<")
_LINE = re.compile(r"^(.*)$", re.MULTILINE)
_CODE = re.compile(r"[{}()#+<>=;:|]")


def texts_of(value: Any) -> Iterator[str]:
    """Every text in a value of a template, those in drawings too."""
    for text in texts_in(value):
        yield text
        yield from (html.unescape(_TAG.sub(" ", inner)) for inner in _SVG_TEXT.findall(text))


def unaccounted(pages: Iterable[str], known: Iterable[str]) -> Iterator[str]:
    """Words of pages, as far as they are together, that come from none of the known texts."""
    texts = {letters: words for words in known if (letters := _letters(words))}
    sayings = [key for key, words in texts.items() if " " in words.strip() or len(key) >= _NO_WORD]
    everything = "\0".join(sayings)
    for page in pages:
        words = page.split()
        bare = [_letters(word) for word in words]
        brought = _brought("".join(bare), sayings)
        together: list[str] = []
        own = False
        place = 0
        for word, plain in zip([*words, ""], [*bare, ""], strict=True):
            share = sum(brought[place : place + len(plain)])
            place += len(plain)
            if word and share <= _HALF * len(plain):
                # A word that is known by itself may be a part of what is around it.
                together.append(word)
                own = own or bool(plain and plain not in texts)
                continue
            said = " ".join(together)
            # A piece of a known text, torn by a column or the end of a line, is no other.
            if own and _WORD.search(said) and _letters(said) not in everything:
                yield said
            together, own = [], False


def _brought(letters: str, texts: Iterable[str]) -> bytearray:
    """A one for each letter that one of the texts has brought."""
    brought = bytearray(len(letters))
    for text in texts:
        start = letters.find(text)
        while start >= 0:
            brought[start : start + len(text)] = b"\1" * len(text)
            start = letters.find(text, start + 1)
    return brought


def written(look: Look) -> Iterator[str]:
    """Texts of two words and more in the files of a theme and its parents, base left out."""
    for folder in look.chain:
        if folder.file.name != "base":
            for texts in (*folder.file.wording.values(), *folder.file.phrases.values()):
                yield from texts.values()
            for name, template in folder.templates.items():
                if name != "style.html.j2":
                    yield from _in_template(template, _SHOWN if ".html" in name else _QUOTED)


def base_words(look: Look) -> Iterator[str]:
    """Texts of the base theme's own templates, which are ours."""
    for template in look.chain[-1].templates.values():
        for found in _QUOTED.finditer(template):
            yield from (text.replace("\\n", " ") for text in found.groups() if text)


def _in_template(template: str, pattern: re.Pattern[str]) -> Iterator[str]:
    text = _STYLE.sub("", _REMARK.sub("", template))
    found = [*pattern.finditer(text), *_LINE.finditer(_STATEMENT.sub("", text))]
    for words in (part.strip() for match in found for part in match.groups() if part):
        if len(_WORD.findall(words)) > 1 and " " in words and not _CODE.search(words):
            yield words


def _letters(text: str) -> str:
    """Letters and figures alone, without case: what line ends and marks leave of a text."""
    return "".join(filter(str.isalnum, text.casefold()))
