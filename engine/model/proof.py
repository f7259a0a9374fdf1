"""What was found when a report was asked to prove itself."""

from dataclasses import dataclass
from enum import StrEnum


class Standing(StrEnum):
    """How a report stands, best first."""

    IDENTICAL = "identical"
    SAME_CONTENT = "same content"
    UNPROVEN = "unproven"
    ALTERED = "altered"
    UNREADABLE = "unreadable"


@dataclass(frozen=True)
class Difference:
    """One thing that is not as the report's own job gives it: a stable code, and words."""

    code: str
    message: str


@dataclass(frozen=True)
class OtherVersion:
    """A library that made the report in one version and is installed in another, or not at all."""

    name: str
    then: str
    now: str


class SignatureState(StrEnum):
    """What a signature is worth, best first; NOT_CHECKED where the extra `sign` is missing."""

    GOOD = "good"
    ISSUER_UNKNOWN = "issuer unknown"
    NOT_CHECKED = "not checked"
    SELF_SIGNED = "self-signed"
    EXPIRED = "expired"
    WRONG_KEY = "wrong key"
    ALTERED = "altered after signing"


@dataclass(frozen=True)
class Signature:
    """Who signed and when (ISO 8601); the time is the signer's own word unless `time_stamped`."""

    state: SignatureState
    signer: str = ""
    when: str = ""
    time_stamped: bool = False


@dataclass(frozen=True)
class Proof:
    """The outcome for one PDF. `service` is empty where the report could not be read so far."""

    standing: Standing
    sha256: str
    service: str = ""
    differences: tuple[Difference, ...] = ()
    versions: tuple[OtherVersion, ...] = ()
    signature: Signature | None = None
