"""The manifest: what a report says of itself to machines, carried inside it as JSON.

It names every attached file with its hash, the software and fonts that made the report, and what a
shelf needs to find it again. It holds no clock and no host, so that it never changes by itself.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from trimscribe.model.plain import from_plain
from trimscribe.model.report import Amendment
from trimscribe.model.verdicts import Verdict, worst

FORMAT = 1  # another number when a key goes or changes its meaning
NAME = "manifest.json"


class Role(StrEnum):
    """What an attached file is to the report."""

    JOB = "job"
    SHOP = "shop"  # one that was chosen in place of the job's own
    INPUT = "input"
    HISTORY = "history"
    FINDINGS = "findings"
    THEME = "theme"


_IN_PART = " in part"
# What a report comes to in a word or two, the best first.
OUTCOMES = (
    *(
        f"{v.value}{part}"
        for v in (Verdict.PASS, Verdict.CONDITIONAL_PASS)
        for part in ("", _IN_PART)
    ),
    *(v.value for v in (Verdict.NOT_ASSESSED, Verdict.CONDITIONAL_FAIL, Verdict.FAIL)),
)


@dataclass(frozen=True)
class Carried:
    """One attached file. `named` is how the job names it, which may lead over folders."""

    name: str
    role: Role
    named: str
    media_type: str
    relationship: str
    size: int
    sha256: str


@dataclass(frozen=True)
class Package:
    """A package that took part, and its plugins that did, as `kind/name`."""

    name: str
    version: str
    plugins: tuple[str, ...]


@dataclass(frozen=True)
class About:
    """What the report is about. Dates are ISO 8601; what was not stated is empty or None."""

    service: str
    done: str
    workshop: str
    maker: str
    model: str
    size: str
    serial_number: str
    hours: float | None
    pilot: str
    language: str
    verdicts: Mapping[str, Verdict]
    replaces: Amendment | None = None
    redacted: bool = False

    @property
    def outcome(self) -> str:
        """One of `OUTCOMES`: the verdict that weighs most of all that was assessed.

        What was not assessed is never hidden by what passed: that is a pass "in part". Where the
        lines have no verdict there is none on the whole, unless something else is beyond its limit.
        """
        judged = worst({*self.verdicts.values()} - {Verdict.NOT_ASSESSED})
        if judged.beyond:
            return judged.value
        if self.verdicts.get("lines", Verdict.NOT_ASSESSED) is Verdict.NOT_ASSESSED:
            return Verdict.NOT_ASSESSED.value
        part = Verdict.NOT_ASSESSED in self.verdicts.values()
        return f"{judged.value}{_IN_PART if part else ''}"


@dataclass(frozen=True)
class Manifest:
    """All of it. `fonts` maps a font file to its SHA-256, `versions` a library to its version."""

    about: About
    theme: str
    files: tuple[Carried, ...]
    versions: Mapping[str, str]
    packages: tuple[Package, ...]
    fonts: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def from_plain(cls, data: object) -> "Manifest":
        """Build it from JSON that anybody may have written; ValueError when it is not one."""
        if not isinstance(data, Mapping) or data.get("format") != FORMAT:
            raise ValueError(f"this is not a manifest of format {FORMAT}")
        found = from_plain(data, cls)
        dt.date.fromisoformat(found.about.done)
        return found
