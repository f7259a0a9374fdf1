"""Read: paths to a checked job, or all its faults at once."""

from trimscribe.read.reader import read
from trimscribe.read.redact import named_by_look, named_by_rules, read_redacted
from trimscribe.read.shop import own_rules, workshop_alone

__all__ = [
    "named_by_look",
    "named_by_rules",
    "own_rules",
    "read",
    "read_redacted",
    "workshop_alone",
]
