"""Left and right that may have been mixed up: neither a turn nor what differs has a side."""

import re
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.assess import assess
from trimscribe.model.assessment import ClaimStatus, Subject, When
from trimscribe.model.findings import DoubtKind
from trimscribe.model.wing import Side

FAR = {Side.LEFT: 98.0, Side.RIGHT: 52.0}
SIDES = {"found_turn", "caution_turn", "air_turns", "air_still_turns", "air_no_turn"}

NAMED = r"[Tt]he (left|right) (brake|one)\b|mm left(?!.*as entered)"
WITH_A_RESERVE = {"brakes_found", "brakes_now"}  # each of these says: sides as entered


def mixed_up(bench: SimpleNamespace, **more: Any) -> Any:
    """Nobody touched it, and what was off on the left is off on the right now."""
    return bench.job(
        bench.measured(left=bench.tilt(-30), free_travel_mm=FAR),
        bench.measured(right=bench.tilt(-30), free_travel_mm=FAR),
        **more,
    )


def by_rule(statements: Any) -> dict[str, str]:
    return {s.rule: s.text for s in (*statements.sentences, *statements.cautions)}


def test_a_wing_whose_sides_may_be_mixed_up_pulls_to_no_named_side(bench: SimpleNamespace) -> None:
    job = mixed_up(bench)
    said = by_rule(bench.narrated(job))

    assert [d.kind for d in bench.findings(job).doubts] == [DoubtKind.SIDES_SWAPPED]
    assert not SIDES & said.keys()
    for rule in ("found_turn_open", "caution_turn_open"):
        assert "not settled, because left and right may have been mixed up" in said[rule]
    assert "Leave room on both sides" in said["caution_turn_open"]
    assert "a side that this report names may be the other one" in said["caution_doubts"]


def test_the_word_of_the_workshop_settles_the_sides(bench: SimpleNamespace) -> None:
    said = by_rule(bench.narrated(mixed_up(bench, confirmed={"after": "read twice"})))

    assert said["found_turn"].endswith("pulled to the right.")
    assert said["caution_turn"].endswith("pull to the left. Leave room on that side.")
    assert "sides as entered" not in said["before_outside"]
    assert "The left brake had more free travel" in said["found_travel_uneven"]


def test_lists_and_brakes_name_sides_with_a_reserve(bench: SimpleNamespace) -> None:
    said = by_rule(bench.narrated(mixed_up(bench)))

    assert said["before_outside"].startswith("Outside limits, sides as entered: C2 right")
    assert said["found_travel_uneven"].startswith("One brake had more free travel than the other")
    assert said["air_travel_uneven"].startswith("One brake ")
    assert "left and right may have been mixed up" in said["chart_sides"]


def brake(mm: float) -> dict[str, float]:
    return {"brake": mm, "brake_main": mm}


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ({"free_travel_mm": {Side.LEFT: 40.0, Side.RIGHT: 98.0}},) * 2,
        ({"left": brake(-40)}, {"right": brake(-40)}),
        ({"left": brake(90), "right": brake(-20)}, {"right": brake(90), "left": brake(-20)}),
        ({"free_travel_mm": {Side.LEFT: 72.0}}, {"free_travel_mm": {Side.RIGHT: 72.0}}),
        (
            {"free_travel_mm": {Side.LEFT: 72.0, Side.RIGHT: 71.0}},
            {"free_travel_mm": {Side.LEFT: 71.0, Side.RIGHT: 110.0}},
        ),
        ({"left": brake(-30)}, {"both": {"brake": None, "brake_main": None}}),
        ({"left": brake(0), "right": brake(-12)}, {"right": brake(0), "left": brake(-12)}),
    ],
)
def test_no_sentence_about_a_brake_names_its_side_without_a_reserve(
    bench: SimpleNamespace, before: dict[str, Any], after: dict[str, Any]
) -> None:
    tilted = {"left": bench.tilt(-30)}, {"right": bench.tilt(-30)}
    first, second = (
        bench.measured(**more | {side: more.get(side, {}) | lines for side, lines in wing.items()})
        for wing, more in zip(tilted, (before, after), strict=True)
    )
    job = bench.job(first, second)
    told = (by_rule(bench.narrated(replace(job, confirmed=c))) for c in ({}, {"after": "twice"}))
    named, sure = (
        {rule for rule, text in said.items() if re.search(NAMED, text)} - WITH_A_RESERVE
        for said in told
    )

    assert DoubtKind.SIDES_SWAPPED in {d.kind for d in bench.findings(job).doubts}
    assert not named
    assert sure


@pytest.mark.parametrize("confirmed", [{}, {"after": "read twice"}])
def test_the_claim_of_a_turn_is_open_as_its_sentence_is(
    bench: SimpleNamespace, confirmed: dict[str, str]
) -> None:
    job = replace(mixed_up(bench), confirmed=confirmed)
    assessed = assess(bench.findings(job), job)
    turns = [assessed.claim(Subject.TURN, when) for when in (When.FOUND, When.NOW)]

    assert [bool(turn.direction) for turn in turns] == [bool(confirmed)] * 2
    assert [turn.status is ClaimStatus.OPEN for turn in turns] == [not confirmed] * 2
