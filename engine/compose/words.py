"""Values as words in a page: the one gate between a job's text and HTML.

What is not text has no business there: a template that prints a table or a whole figure by mistake
is reported. Escaping itself is done by the template engine, for all text that passes here.
"""

from typing import Any

from trimscribe.templating import Markup, Undefined

__all__ = ["words"]

# Control characters and the marks that reorder text would hide what a reader sees.
_HIDDEN = [*range(0x9), 0xB, 0xC, *range(0xE, 0x20), *range(0x7F, 0xA0), *range(0x202A, 0x202F)]
_SEEN = dict.fromkeys(_HIDDEN, "")


def words(value: Any) -> Any:
    """Text without what nobody sees, or a number; raises TypeError for anything else."""
    if isinstance(value, Markup | Undefined):
        return value  # what is undefined raises when it is written, and names what is missing
    if isinstance(value, str):
        return value.translate(_SEEN)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return value
    raise TypeError(f"a page cannot print a {type(value).__name__}")
