"""Compose: statements, findings and a theme to a Typst document."""
