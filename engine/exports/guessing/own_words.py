"""Words that a workshop's exports use, from its shop file."""

from collections.abc import Mapping
from pathlib import Path

from trimscribe.errors import InputError
from trimscribe.exports.files import load_file
from trimscribe.exports.guessing.propose import OwnWords
from trimscribe.resources import nearest_shop
from trimscribe.schemas.shop import EXPORT_WORDS

__all__ = ["own_words"]


def own_words(shop: Path | None, near: Path) -> OwnWords:
    """The words of a shop file, else of the nearest one beside or above a file.

    InputError when a shop file that was named cannot be read.
    """
    if shop is None:
        folder = near.resolve().parent
        nearest = nearest_shop(folder)
        if not nearest:
            return ()
        try:
            data = load_file(folder / nearest).data
        except InputError:
            return ()  # `check` says what is wrong with it
    else:
        data = load_file(shop).data
    words = data.get("export_words") if isinstance(data, Mapping) else None
    if not isinstance(words, Mapping):
        return ()
    return tuple(
        (EXPORT_WORDS[name], name, str(phrase))
        for name, given in words.items()
        if name in EXPORT_WORDS
        for phrase in (given if isinstance(given, list) else [given])
    )
