"""How to mend what somebody wrote: “Did you mean …?”, and numbers that are not written as such."""

import re
from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any

__all__ = ["number_hint", "suggest"]

_MOST = 12  # names listed; a longer list is no help


def nearest(word: object, names: Iterable[str]) -> str:
    """The name that somebody who wrote `word` may have meant, whatever its case; else nothing."""
    written, by_lower = str(word).lower(), {name.lower(): name for name in names}
    # One slip in a word of three or four letters is near; by the usual 0.6 `pilot` was `cloth`.
    near = get_close_matches(written, by_lower, n=1, cutoff=2 / 3 if len(written) == 3 else 0.75)
    return by_lower[near[0]] if near else ""


def suggest(word: object, names: Iterable[str], *, listed: bool = True) -> str:
    """The nearest name, or else (if `listed`) all that are allowed, as a sentence."""
    known = list(dict.fromkeys(names))
    if near := nearest(word, known):
        return f"Did you mean `{near}`?"
    if not known or not listed:
        return ""
    allowed = ", ".join(f"`{name}`" for name in known[:_MOST])
    return f"Allowed: {allowed}{' …' if len(known) > _MOST else ''}."


def number_hint(value: Any, nothing: str = "For something not measured write ~.") -> str:
    """How to mend what should have been a number; `nothing` says how to leave it out."""
    if not isinstance(value, str):
        return ""
    text = value.strip()
    if re.fullmatch(r"[-+]?\d+,\d+", text):
        return "Write a decimal point, not a comma."
    if re.fullmatch(r"[-+]?\d+\.?\d*", text):
        return "Write the number without quotes."
    if re.fullmatch(r"[-+]?\d[\d ,.'’\u00a0\u202f]*", text):
        return "Write the digits without spaces or separators, with a point before the decimals."
    if re.fullmatch(r"[-+]?[\d.,]+\s*[^\W\d]+[^\W]*", text):
        return "The unit is in the key; write the number alone."
    if text.lower() in ("-", "?", "", "x", "n/a", "nan", "inf", "none"):
        return nothing
    return ""
