"""What a report replaces: the earlier one stays, and this one says what changed and why."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Amendment:
    """The report that this one replaces, by its service number and the SHA-256 of its file.

    `change` and `reason` are the workshop's own words (ISO/IEC 17025:2017, 7.8.8).
    """

    report: str
    sha256: str
    change: str
    reason: str
