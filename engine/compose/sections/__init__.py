"""Sections of the report, one per file."""
