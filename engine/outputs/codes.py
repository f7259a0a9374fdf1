"""Every code that a fault in a page for the screen can carry, beside those of typesetting."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "page-refused": "A page holds what pages may not: scripts, forms, frames, addresses elsewhere.",
    "style-refused": "A style of a page can hide what must be read, or fetches something.",
}
