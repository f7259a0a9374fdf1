"""How a result stands: against a limit, and against what a pilot may notice."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """A result against its limit.

    A conditional one is too close to it for the decision rule, on either side, and is called close.
    """

    PASS = "pass"
    CONDITIONAL_PASS = "conditional pass"
    CONDITIONAL_FAIL = "conditional fail"
    FAIL = "fail"
    NOT_ASSESSED = "not assessed"

    @property
    def within(self) -> bool:
        """The result lies within its limit, clearly or not."""
        return self in (Verdict.PASS, Verdict.CONDITIONAL_PASS)

    @property
    def outside(self) -> bool:
        """The result lies outside its limit, as surely as the decision rule asks."""
        return self is Verdict.FAIL

    @property
    def beyond(self) -> bool:
        """The result lies on the wrong side of its limit, clearly or not."""
        return self in (Verdict.FAIL, Verdict.CONDITIONAL_FAIL)

    @property
    def conditional(self) -> bool:
        """The result lies too close to its limit for the decision rule."""
        return self in (Verdict.CONDITIONAL_PASS, Verdict.CONDITIONAL_FAIL)


_FROM_WORST = (
    Verdict.FAIL,
    Verdict.CONDITIONAL_FAIL,
    Verdict.NOT_ASSESSED,
    Verdict.CONDITIONAL_PASS,
    Verdict.PASS,
)


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The worst of several results; one that was not assessed outweighs a pass.

    Nothing at all is NOT_ASSESSED.
    """
    present = set(verdicts)
    return next((v for v in _FROM_WORST if v in present), Verdict.NOT_ASSESSED)


class Expectation(StrEnum):
    """Whether the pilot should expect to notice an effect."""

    NONE = "none expected"
    POSSIBLE = "possible"
    EXPECTED = "expected"
    NOT_ASSESSED = "not assessed"


class WhyNot(StrEnum):
    """Why something was not assessed."""

    ASSESSED = ""
    NOT_MEASURED = "not measured"
    TOO_FEW_ROWS = "fewer than two rows at different chord positions"
    TOO_FEW_LINES = "too few lines to know what all share"
    ROWS_UNLIKE = "a row has so few points that nobody knows where along the span they lie"
    TOO_UNCERTAIN = "too uncertain to tell"
    NO_CHORD = "chord positions not given"
    NO_LIMIT = "no limit given"
    NO_TRAILING_EDGE = "trailing edge position not given"
    LOAD_DIFFERS = "measuring load differs too much from the specification's"
    ENDED_EARLY = "held at less than the required load"
    MEASURED_OTHERWISE = "not measured as before, or not stated how"
    NO_CONTROLS = "no control lines, and not the same day"
    CONTROLS_DISAGREE = "control lines do not agree"
    IN_DOUBT = "hangs on lengths in doubt"
    SHIFT_UNKNOWN = "too few untouched lines to know what all lines changed by"


class RiserBasis(StrEnum):
    """What the risers contribute to an angle; from the best known to the least."""

    INCLUDED = "included in the specified lengths"
    MEASURED = "measured"
    PARTLY_MEASURED = "partly measured"
    NOT_MEASURED = "not measured"


@dataclass(frozen=True)
class Effect:
    """A quantity judged against the size from which a pilot may notice it.

    `value` is None when it was not assessed (`why_not` says why, `u` is then 0). `probability` is
    that of the true value lying beyond ±`threshold`. `value`, `u` and `threshold` are in `unit`.
    """

    value: float | None
    u: float
    threshold: float
    unit: str
    expectation: Expectation
    probability: float | None = None
    why_not: WhyNot = WhyNot.ASSESSED
