"""By which rule a result is compared with its limit."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

_FAR = 9.0  # uncertainties beyond a limit where no value conforms any more
_HALVINGS = 60


class Acceptance(StrEnum):
    """What it takes to pass (JCGM 106:2012, ILAC-G8:09/2019)."""

    SIMPLE = "simple"
    GUARDED = "guarded"
    PROBABILITY = "probability"


@dataclass(frozen=True)
class DecisionRule:
    """Simple acceptance takes a value as it is.

    `value` of a guarded rule is the guard band inside (and outside) the limit, in standard
    uncertainties of the result; that of a probability rule is the least probability, above 0.5,
    that the true value conforms.
    """

    acceptance: Acceptance = Acceptance.SIMPLE
    value: float = 0.0

    def borders(
        self, limit: float | None, u: float | None, *, one_sided: bool = False
    ) -> tuple[float, ...]:
        """Where the verdict on a value's size changes besides at its limit: before it, and beyond.

        The value has the standard uncertainty `u` in the limit's unit and lies within ±`limit`, or
        on one side of it where that is `one_sided`. Empty for a rule, or a value, without them.
        """
        if limit is None or not u or self.acceptance is Acceptance.SIMPLE:
            return ()
        if self.acceptance is Acceptance.GUARDED or one_sided:
            guarded = self.acceptance is Acceptance.GUARDED
            away = u * (self.value if guarded else NormalDist().inv_cdf(self.value))
            return tuple(size for size in (limit - away, limit + away) if size > 0.0)
        error = NormalDist(0.0, u)

        def conforms(size: float) -> float:
            return error.cdf(limit - size) - error.cdf(-limit - size)

        found = (
            _falls_to(conforms, share, limit + _FAR * u) for share in (self.value, 1.0 - self.value)
        )
        return tuple(size for size in found if size is not None)


def _falls_to(share_of: Callable[[float], float], share: float, far: float) -> float | None:
    """The size from which a falling share is less than that; None where it always is."""
    if share_of(0.0) < share:
        return None
    low, high = 0.0, far
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if share_of(middle) >= share else (low, middle)
    return low


SIMPLE = DecisionRule()


@dataclass(frozen=True)
class Decision:
    """The rule of this job with what it risks.

    `false_acceptance` is the highest probability that a result which passes by this rule does not
    conform; `worst_accepted` that of the result which came nearest to it, in whichever measuring,
    None when none passed.
    `simple_for` names the parts judged by simple acceptance because nobody stated their
    uncertainty; it is empty when the rule is simple anyway.
    """

    rule: DecisionRule = SIMPLE
    false_acceptance: float = 0.5
    worst_accepted: float | None = None
    simple_for: tuple[str, ...] = ()


UNDECIDED = Decision()
