"""Schemas of the files that people write, one file per kind, and their JSON Schemas."""
