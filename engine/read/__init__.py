"""Read: paths to a checked job, or all its faults at once."""

from trimscribe.read.reader import read

__all__ = ["read"]
