"""What a shelf calls a report on the whole."""

import pytest

from trimscribe.model.manifest import OUTCOMES, About
from trimscribe.model.verdicts import Verdict

GROUPS = ("lines", "brakes", "cloth", "strength", "risers", "inspection")


def outcome(*verdicts: str) -> str:
    by_group = {group: Verdict(word) for group, word in zip(GROUPS, verdicts, strict=True)}
    about = About("1", "2026-10-16", "", "", "", "", "", None, "", "en", by_group)
    assert about.outcome in OUTCOMES
    return about.outcome


P, N, C, F = "pass", "not assessed", "conditional pass", "fail"


@pytest.mark.parametrize(
    ("verdicts", "word"),
    [
        ((P, P, P, P, P, P), "pass"),
        ((P, P, P, N, P, P), "pass in part"),  # nobody pulled a line
        ((P, N, N, N, N, N), "pass in part"),
        ((P, P, P, P, P, C), "conditional pass"),
        ((C, P, P, N, P, P), "conditional pass in part"),
        ((N, P, P, P, P, P), "not assessed"),  # the lines are what a report is about
        ((N, P, P, P, P, F), "fail"),
        ((P, P, P, N, P, F), "fail"),
        ((P, P, "conditional fail", N, P, P), "conditional fail"),
        ((N, N, N, N, N, N), "not assessed"),
    ],
)
def test_a_wing_is_called_what_was_assessed_of_it_and_never_more(
    verdicts: tuple[str, ...], word: str
) -> None:
    assert outcome(*verdicts) == word
