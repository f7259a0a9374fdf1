"""Every code with which a plan is refused, or that travels beside one. Codes are stable."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "plan-angle-unknown": "The wing's angle is not assessed, so a plan could make it faster.",
    "plan-differs": "Another plan is in the job already.",
    "plan-doubts": "Lengths look wrong, and nobody has confirmed them.",
    "plan-loops-not-stated": "The loops as found are not stated for each main line.",
    "plan-loop-not-allowed": "Warning: a loop as found is not among those that the maker allows.",
    "plan-no-cascade": "The specification does not say which points hang on which main line.",
    "plan-no-lengths": "There are no lengths before the work, or no specification.",
    "plan-no-line": "There is no line whose loop may be changed.",
    "plan-not-found": "No plan was found within the bounds of the search.",
    "plan-not-there": "The job holds no plan that could be marked as done.",
    "plan-number": "There is no alternative of that number.",
    "plan-only-faster": "Whatever loops are tied, the wing would be faster than specified.",
    "plan-other-load": "The lengths were measured at another load than the specification's.",
    "plan-too-few-lines": "Fewer lines were measured than an honest common offset needs.",
    "plan-was-done": "The plan in the job is marked as done.",
}
