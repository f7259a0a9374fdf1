"""Did you mean …? One way to say it everywhere."""

from collections.abc import Iterable
from difflib import get_close_matches

__all__ = ["suggest"]

_MOST = 12  # names listed; a longer list is no help


def suggest(word: object, names: Iterable[str], *, listed: bool = True) -> str:
    """The nearest name, or else (if `listed`) all that are allowed, as a sentence."""
    known = list(dict.fromkeys(names))
    by_lower = {name.lower(): name for name in known}
    if near := get_close_matches(str(word).lower(), by_lower, n=1, cutoff=0.6):
        return f"Did you mean `{by_lower[near[0]]}`?"
    if not known or not listed:
        return ""
    allowed = ", ".join(f"`{name}`" for name in known[:_MOST])
    return f"Allowed: {allowed}{' …' if len(known) > _MOST else ''}."
