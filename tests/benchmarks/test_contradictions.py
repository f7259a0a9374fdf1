"""No report says or draws two things that exclude each other: the table, compared with reports.

A few generated wings and all jobs of the examples; `truth.py --pages` tries many.
"""

import re
from pathlib import Path

import pytest
from contradictions import PAIRS
from report_lines import clashes, lines_of_report, pages_of
from trials import trials
from truth import trial

from trimscribe.assess.facts import DECLARED
from trimscribe.compose import compose
from trimscribe.narrate.rules import load_rules
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = (
    "demo", "four-row", "inspection", "outside", "part-remeasured", "planned", "planned-done",
    "two-row",
)  # fmt: skip
JOBS = [
    *(ROOT / "examples" / f"{name}.yaml" for name in EXAMPLES),
    ROOT / "tests" / "jobs" / "only-after.yaml",
]
WINGS = trials(40)
PDF_TOO = ("demo", "outside")


def test_the_table_is_long_enough_and_no_pair_is_there_twice() -> None:
    assert len({(pair.one, pair.other) for pair in PAIRS}) == len(PAIRS) >= 60
    assert all(pair.why for pair in PAIRS)


def test_each_pattern_speaks_of_rules_and_facts_that_there_are() -> None:
    """A rule that got another name would let its pair hold for nothing."""
    known = [f"rule {rule.name} |" for rule in load_rules(frozenset(DECLARED))] + [
        f"fact {name}" for name in DECLARED
    ]
    for pair in PAIRS:
        for pattern in (pair.one, pair.other):
            if re.match(r"\^(rule|fact) ", pattern):
                head = re.split(r"\\\|", pattern)[0]
                assert any(re.search(head, line) for line in known), pattern


@pytest.mark.parametrize(
    "lines",
    [
        ["rule found_up | nose up", "rule found_level | level"],
        ["strip brakes pass | within limits", "rule caution_short_brakes | A brake is short."],
        ["fact grounded", "page html | Take off in calm air, and check the brakes."],
        ["claim pitch now open  not assessed", "figure side_view | Now: 0.4\u00b0 nose up."],
        ["fact only_after", "rule headline_not_again | They have not been measured since."],
        ["fact only_after", "rule brakes_found | Compared with the lines, as it came: neither."],
        ["rule done_entered | By our record", "rule changes_agree | Each of the six"],
        ["strip lines conditional fail | outside limits: 2 lines", "fact now_checked"],
        ["fact still_outside", "rule headline_within | within limits."],
        ["fact now_close", "rule headline_within | Your wing's line lengths are within limits."],
        ["fact now_missing", "rule done_again | The wing was measured again."],
        ["fact now_doubted", "rule headline_within | Your wing's line lengths are within limits."],
        ["fact now_doubted", "rule done_again_carried | All 66 are within limits."],
        ["fact found_doubted", "rule found_lines_within | All 66 lines were within limits."],
        ["fact found_pitch_in_doubt", "rule found_up | It was nose up."],
        ["rule air_launch_same | Launch and speed will probably feel", "fact short_brakes"],
        [
            "rule air_unchanged | Nothing was changed, so it will fly as it did before.",
            "fact repaired",
        ],
        ["rule air_unchanged | It will fly as it did before.", "fact short_brakes"],
        [
            "rule air_brakes_unlike | How the left brake acts compared with before is not settled",
            "rule air_brakes_sooner | Both brakes will probably act sooner.",
        ],
        ["rule air_brakes_unlike | How both brakes act is not settled", "rule air_no_change | No."],
        [
            "rule found_one_side | Only lines of the left side were measured.",
            "fact found_brakes_measured",
        ],
        [
            "rule headline_doubts | some of what was entered looks wrong and was not confirmed.",
            "strip lines conditional pass | within limits, a change without an entry",
        ],
        [
            "rule headline_stop_brakes | The left brake has too little free travel.",
            "strip brakes fail | perhaps too little free travel",
        ],
        [
            "rule caution_doubts | Left and right may have been mixed up in measuring.",
            "rule air_brakes_sooner | The left brake will probably act sooner.",
        ],
        ["strip strength pass | held the required load", "rule caution_broken | A1 broke."],
        [
            "rule headline_lines_not_measured | Of its lines only those of the brakes",
            "fact found_measured",
        ],
        ["rule before_travel_not_measured | Free travel was not", "fact free_travel_read"],
        ["rule before_brakes_past | Its lines were not measured again.", "fact brakes_past_again"],
        [
            "rule done_again_carried | The second time we measured no lines; 98 that",
            "fact now_brakes_again",
        ],
        ["rule air_no_change | No change.", "rule air_turns | It may pull to the left."],
    ],
)
def test_a_contradiction_is_found(lines: list[str]) -> None:
    assert clashes(lines)
    assert not clashes(lines[:1])
    assert not clashes(lines[1:])


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.stem)
@pytest.mark.typesets
def test_no_example_contradicts_itself(job: Path) -> None:
    registry, world = Registry.installed(), World.real()
    content = prepare(job, registry)
    lines = lines_of_report(content, registry, world)
    if job.stem in PDF_TOO:
        lines += pages_of(compose(content, registry, world), registry, ["pdf"])
    assert clashes(lines) == []


@pytest.mark.thorough
def test_no_generated_wing_gets_a_page_that_contradicts_itself() -> None:
    tally = trial(WINGS, seed=5000, pages=True)
    assert tally.cases["pages_that_contradict_themselves", ""] > WINGS / 2
    assert not [what for what in tally.behind if what.startswith("contradiction")]
