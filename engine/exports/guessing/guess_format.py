"""How an export is written down, guessed: encoding, delimiter, way to records, signs of numbers."""

import codecs
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from trimscribe.exports.mapping.load import SIGNS
from trimscribe.marked_yaml import load
from trimscribe.model.tables import Cell

_BLANK = re.compile(r"\s|(?:mm|cm|m|in)$")
_WITH_UNIT = re.compile(r"[-+\d., '’\u00a0\u2009\u202f]*\d\s*(mm|cm|m|in)")
_COMMA = re.compile(r"[-+]?\d{1,6},\d{1,4}")
_POINT = re.compile(r"[-+]?\d{1,6}\.\d{1,4}")
_APOSTROPHES = re.compile(r"[-+]?\d{1,3}(?:['’]\d{3})+(?:[.,]\d+)?")
_GROUPED = re.compile(r"[-+]?\d{1,3}(?P<sign>[.,'’])\d{3}(?:[.,]\d+)?")
_DELIMITERS = ("semicolon", "tab", "bar", "comma")


@dataclass(frozen=True)
class Guess:
    """One value for the map, how sure it is (sure, likely, a guess) and why."""

    value: str
    sure: str
    why: str


def guess_text(data: bytes) -> dict[str, Guess]:
    """Encoding and delimiter of a text file."""
    encoding = _encoding(data)
    text = data.decode(encoding.value, "replace").lstrip("\ufeff")
    lines = [line for line in re.split("\r\n|\r|\n", text) if line.strip()]
    return {"encoding": encoding, "delimiter": _delimiter(lines)}


def _encoding(data: bytes) -> Guess:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return Guess("utf-16", "sure", "the file starts with the mark of UTF-16")
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return _eight_bit(data)
    why = "every letter is plain ASCII" if data.isascii() else "all letters are UTF-8"
    return Guess("utf-8", "sure", why)


def _eight_bit(data: bytes) -> Guess:
    """Central European or Western, by which makes more of the file's letters."""
    central, western = (_strange(data, name) for name in ("cp1250", "cp1252"))
    if central < western:
        why = "it is not UTF-8, and its letters are those of Czech or Polish"
        return Guess("windows-1250", "likely", why)
    return Guess("windows-1252", "a guess", "it is not UTF-8; umlauts and accents may be wrong")


# Letters above ASCII of the languages that exports come in; the table of each code page decides.
_LETTERS = {"cp1250": "áčďéěíňóřšťúůýžąćęłńóśźż", "cp1252": "äöüßàâçéèêëîïôùûœáíñóúìòåæø"}


def _strange(data: bytes, encoding: str) -> int:
    """How many letters would be none of the languages that are written so."""
    text = data.decode(encoding, "replace").lower()
    found = 0
    for before, sign, after in zip(" " + text, text, text[1:] + " ", strict=False):
        in_word = before.isalpha() and after.isalpha()
        if not sign.isascii() and sign not in _LETTERS[encoding]:
            found += in_word or sign not in "«»“”„’‘–—°±€²³ \u00a0§"
    return found


def _delimiter(lines: list[str]) -> Guess:
    """The character that separates most lines into the same number of cells, more than one."""
    best = Guess("blanks", "a guess", "no other character separates the lines into columns")
    most = 0
    for name in _DELIMITERS:
        counts = Counter(line.count(SIGNS[name]) + 1 for line in lines)
        columns, count = max(
            ((n, c) for n, c in counts.items() if n > 1), key=lambda one: one[1], default=(1, 0)
        )
        if count > most:
            most = count
            sure = "sure" if count >= 0.9 * len(lines) else "likely"
            why = f"{count} of {len(lines)} lines have {columns} columns by it"
            best = Guess(name, sure, why)
    return best


def guess_records(data: bytes, name: str) -> Guess:
    """The way to the records of a JSON file: its lists of alike mappings, else its numbers."""
    tree = load(data, name).data
    kinds: dict[tuple[int, tuple[str, ...]], list[tuple[tuple[str, ...], int]]] = {}
    for way, records in _lists(tree, ()):
        key = (len(way), tuple(sorted(map(str, records[0]))))
        kinds.setdefault(key, []).append((way, len(records)))
    found = sorted(kinds.values(), key=lambda lists: -sum(count for _, count in lists))
    if found and (total := sum(count for _, count in found[0])) > 1:
        way = _common_way([one for one, _ in found[0]], tree)
        return Guess(".".join((*way, "*")), "likely", f"there are {total} records")
    ways = Counter(_leaf_ways(tree, ()))
    if not ways:
        return Guess("*", "a guess", "no list of records was found")
    leaf, count = ways.most_common(1)[0]
    return Guess(".".join(leaf), "likely", f"{count} numbers are there")


def _common_way(ways: list[tuple[str, ...]], tree: Any) -> tuple[str, ...]:
    """One way to several lists; where they part, `*` for all keys there, else the keys."""
    if len(ways) == 1:
        return ways[0]
    common = []
    for depth, words in enumerate(zip(*ways, strict=True)):
        keys = list(dict.fromkeys(words))
        above = tree
        for word in ways[0][:depth]:
            above = above[word]
        whole = len(keys) > 1 and set(keys) == set(map(str, above))
        common.append("*" if whole else "|".join(keys))
    return tuple(common)


def _lists(value: Any, way: tuple[str, ...]) -> list[tuple[tuple[str, ...], list[Any]]]:
    if isinstance(value, list) and value and all(isinstance(one, Mapping) for one in value):
        return [(way, value)]
    if isinstance(value, Mapping):
        return [found for key, below in value.items() for found in _lists(below, (*way, key))]
    return []


def _leaf_ways(value: Any, way: tuple[str, ...]) -> list[tuple[str, ...]]:
    """The way to each number; keys with neighbours of the same kind become `*`."""
    if isinstance(value, list):
        return [found for one in value for found in _leaf_ways(one, (*way, "*"))]
    if isinstance(value, Mapping):
        kinds = Counter(_kind(one) for one in value.values())
        return [
            found
            for key, one in value.items()
            for found in _leaf_ways(one, (*way, "*" if kinds[_kind(one)] > 1 else key))
        ]
    return [way] if isinstance(value, int | float) and not isinstance(value, bool) else []


def _kind(value: Any) -> str:
    """What neighbours have in common: numbers, or collections nested equally deep."""
    depth = 0
    while isinstance(value, Mapping | list) and value:
        depth += 1
        value = next(iter(value.values() if isinstance(value, Mapping) else value))
    return str(depth) if depth or isinstance(value, int | float) else "text"


def guess_signs(cells: Sequence[Cell]) -> dict[str, Guess]:
    """What is before decimals, between thousands and behind numbers, where they are text."""
    texts = [_BLANK.sub("", cell.text) for cell in cells if isinstance(cell.value, str)]
    unit = _unit(cell.text for cell in cells if isinstance(cell.value, str))
    return unit | _signs(texts)


def _unit(texts: Iterable[str]) -> dict[str, Guess]:
    """The unit that is behind numbers themselves."""
    units = Counter(match[1] for text in texts if (match := _WITH_UNIT.fullmatch(text)))
    if not units:
        return {}
    unit, count = units.most_common(1)[0]
    return {"unit": Guess(unit, "sure", f"{count} numbers carry it")}


def _signs(texts: Sequence[str]) -> dict[str, Guess]:
    commas = [text for text in texts if _COMMA.fullmatch(text)]
    points = [text for text in texts if _POINT.fullmatch(text)]
    both = [text for text in texts if "." in text and "," in text and _GROUPED.fullmatch(text)]
    if both:
        decimal = "," if both[0].rfind(",") > both[0].rfind(".") else "."
        thousands = "." if decimal == "," else ","
        names = {".": "point", ",": "comma"}
        why = f"{len(both)} numbers have both characters, such as “{both[0]}”"
        return {
            "decimal": Guess(names[decimal], "sure", why),
            "thousands": Guess(names[thousands], "sure", why),
        }
    marked = [text for text in texts if _APOSTROPHES.fullmatch(text)]
    if marked:
        why = f"{len(marked)} numbers have one, such as “{marked[0]}”"
        found = {"thousands": Guess("apostrophe", "sure", why)}
        if any("," in text for text in marked):
            found["decimal"] = Guess("comma", "sure", why)
        return found
    if len(commas) > len(points):
        if all(re.fullmatch(r"[-+]?\d{1,3},\d{3}", text) for text in commas):
            why = f"all of {len(commas)} commas are before three digits, such as “{commas[0]}”"
            return {"thousands": Guess("comma", "a guess", why)}
        sure = "sure" if not points else "likely"
        why = f"{len(commas)} numbers have a comma, such as “{commas[0]}”"
        return {"decimal": Guess("comma", sure, why)}
    if points:
        sure = "sure" if not commas else "likely"
        return {"decimal": Guess("point", sure, f"{len(points)} numbers have a point")}
    return {}
