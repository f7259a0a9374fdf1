"""By which rule a result is compared with its limit."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["SIMPLE", "UNDECIDED", "Acceptance", "Decision", "DecisionRule"]


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


SIMPLE = DecisionRule()


@dataclass(frozen=True)
class Decision:
    """The rule of this job with what it risks.

    `false_acceptance` is the highest probability that a result which passes by this rule does not
    conform; `worst_accepted` that of the result which came nearest to it, None when none passed.
    `simple_for` names the parts judged by simple acceptance because nobody stated their
    uncertainty; it is empty when the rule is simple anyway.
    """

    rule: DecisionRule = SIMPLE
    false_acceptance: float = 0.5
    worst_accepted: float | None = None
    simple_for: tuple[str, ...] = ()


UNDECIDED = Decision()
