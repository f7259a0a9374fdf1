"""Compose: statements, findings and a theme to a Typst document.

Takes a `Content` and a theme, returns a `Document`; may fail with `ThemeError`. Knows nothing of
how Typst is run.
"""

from trimscribe.compose.document import compose, compose_sheet

__all__ = ["compose", "compose_sheet"]
