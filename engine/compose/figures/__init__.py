"""Figures of the report, one per file."""
