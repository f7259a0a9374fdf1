"""Every code that a fault in typesetting can carry."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "does-not-set": "Typst cannot set the document; the place is in the theme's template.",
    "required-text-missing": "The finished report does not show a text that it must.",
    "typesetting-warning": "Warning: Typst set the document, but noticed something.",
}
