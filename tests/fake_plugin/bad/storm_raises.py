"""Needs a file of another machine as soon as it is imported."""

from pathlib import Path

lengths = Path("/home/storm/desk/lengths.db").read_bytes()
