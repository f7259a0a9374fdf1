"""Words for left and right, before and after, in some languages; those that an export uses."""

import re
from collections.abc import Iterable, Mapping

from trimscribe.read.maps.forms import folded

__all__ = ["words_in"]

_KNOWN: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "side": {
        "left": ("L", "li", "links", "lft", "gauche", "izquierda", "izq", "sinistra", "sx"),
        "right": ("R", "re", "rechts", "rgt", "droite", "derecha", "der", "destra", "dx"),
    },
    "when": {
        "before": ("in", "vorher", "avant", "antes", "prima", "old", "pre"),
        "after": ("out", "nachher", "après", "después", "dopo", "new", "post"),
    },
}
_WORD = re.compile(r"[^\W\d_]+")


def words_in(texts: Iterable[str]) -> dict[str, dict[str, list[str]]]:
    """The known words that stand somewhere in the texts, by what they mean.

    Only where both of a pair are there, so that a row called L is no side.
    """
    there = {folded(word) for text in texts for word in _WORD.findall(text)}
    found = {}
    for kind, names in _KNOWN.items():
        used = {
            name: [word for word in words if folded(word) in there] for name, words in names.items()
        }
        if all(words or name in there for name, words in used.items()):
            found[kind] = {name: words for name, words in used.items() if words}
    return {kind: names for kind, names in found.items() if names}
