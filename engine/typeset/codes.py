"""Every code that a fault in typesetting can carry."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "does-not-set": "Typst cannot set the document; the place is in the theme's template.",
    "font-false": "A font of the theme draws other letters or words than it says.",
    "required-text-missing": "The finished report does not show a text that it must.",
    "required-text-unreadable": "The finished report holds a text that it must, but not legibly.",
    "text-off-the-page": "A text runs off the page or too close to its edge.",
    "text-on-text": "Two texts overlap.",
    "text-tiny": "A text is too small to read on paper.",
    "warning-beyond-page-one": "Warning: a warning does not fit on page one.",
    "typesetting-warning": "Warning: Typst set the document, but noticed something.",
}
