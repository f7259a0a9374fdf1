"""What may be said about a service, once for every word, picture, mark and colour."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from trimscribe.model.origins import Origin
from trimscribe.model.verdicts import Verdict

Fact = str | float | bool | tuple[str, ...] | tuple[tuple[str, str], ...] | None
Facts = Mapping[str, Fact]


class Subject(StrEnum):
    """What a claim is about."""

    LINES = "lines"
    OFFSET = "offset"
    PITCH = "pitch"
    SPEED = "speed"
    TIPS = "tips"
    TURN = "turn"
    BENT_ROW = "bent row"
    BRAKES = "brakes"
    BRAKE_TRAVEL = "brake travel"
    FREE_TRAVEL = "free travel"
    RISERS = "risers"
    CLOTH = "cloth"
    STRENGTH = "strength"
    INSPECTION = "inspection"
    WORK = "work"
    COVERAGE = "coverage"
    DATA = "data in doubt"


class When(StrEnum):
    """Of which time a claim is: as the wing came, as it leaves, what changed, or the service."""

    FOUND = "found"
    NOW = "now"
    CHANGE = "change"
    SERVICE = "service"


class ClaimStatus(StrEnum):
    """What may be said: nothing to notice, possible, expected; open = there, but not which way.

    BLOCKED is what a wrong measuring load forbids to say, or what hangs on lengths in doubt.
    """

    NONE = "none"
    POSSIBLE = "possible"
    EXPECTED = "expected"
    OPEN = "open"
    NOT_ASSESSED = "not assessed"
    BLOCKED = "blocked"


@dataclass(frozen=True)
class Completeness:
    """How complete it is.

    `judged`, `missing`, `carried` and `doubted` count the parts that were judged, were missing,
    were carried over from before, are in doubt.
    """

    judged: int = 0
    missing: int = 0
    carried: int = 0
    doubted: int = 0


@dataclass(frozen=True)
class Claim:
    """One thing that may be said.

    `direction` is a word such as up, left, longer or faster; it is empty unless it is settled.
    `low` and `high` are the size as a range in `unit`, without a sign; None = not known, and a
    `high` of None beside a `low` means at least so much. `verdict` is the result against a limit,
    `value` and `limit` what to print of it. `reasons` say why the claim is limited, `trail` names
    the findings behind it.
    """

    subject: Subject
    when: When
    status: ClaimStatus
    direction: str = ""
    low: float | None = None
    high: float | None = None
    unit: str = ""
    verdict: Verdict = Verdict.NOT_ASSESSED
    value: float | None = None
    limit: float | None = None
    complete: Completeness = Completeness()
    reasons: tuple[str, ...] = ()
    trail: tuple[str, ...] = ()

    @property
    def noticeable(self) -> bool:
        """A pilot may or should notice it, whichever way."""
        return self.status in (ClaimStatus.POSSIBLE, ClaimStatus.EXPECTED, ClaimStatus.OPEN)


@dataclass(frozen=True)
class Assessment:
    """All claims, and the facts that rules and phrases read.

    `trails` names, by fact, the findings or values of the job that it comes from; `added` says how
    the findings of other packages come about, by their path.
    """

    claims: tuple[Claim, ...] = ()
    facts: Facts = field(default_factory=dict)
    trails: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    added: Mapping[str, Origin] = field(default_factory=dict)

    def claim(self, subject: Subject, when: When) -> Claim:
        """The claim about a subject; one of NOT_ASSESSED where there is none."""
        found = (c for c in self.claims if c.subject is subject and c.when is when)
        return next(found, Claim(subject, when, ClaimStatus.NOT_ASSESSED))
