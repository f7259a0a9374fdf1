"""Schemas of the files that people write."""
