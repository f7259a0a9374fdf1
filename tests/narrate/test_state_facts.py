"""Facts that hold two findings against each other."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from trimscribe.assess.effect_words import speed_of
from trimscribe.assess.facts import facts_of, trails_of
from trimscribe.assess.state_facts import ABSENT, StateFacts, turning_alike
from trimscribe.model.findings import Effect, Expectation, SpeedRange
from trimscribe.model.wing import RiserLengths, Side


def angle(value: float | None) -> Effect:
    return Effect(value, 0.1, 0.5, "deg", Expectation.EXPECTED, 0.99)


@pytest.mark.parametrize(
    ("degrees", "km_h", "reported"),
    [
        (0.7, -0.4, True),
        (-0.7, 0.4, True),
        (0.7, 0.4, False),
        (-0.7, -0.4, False),
        (None, 0.4, False),
    ],
)
def test_a_speed_that_goes_against_the_angle_is_not_reported(
    degrees: float | None, km_h: float, reported: bool
) -> None:
    speed = SpeedRange(km_h, 0.5 * km_h, 1.5 * km_h, 38.0, False)
    assert speed_of(angle(degrees), speed) == (speed if reported else None)


def test_a_speed_of_which_the_least_is_nothing_has_no_direction() -> None:
    assert speed_of(angle(-0.7), SpeedRange(0.4, 0.0, 0.9, 38.0, False)) is None


@pytest.mark.parametrize(("before_n", "after_n"), [(100.0, 50.0), (50.0, 100.0)])
def test_a_correction_leads_to_the_measuring_that_was_corrected(
    before_n: float, after_n: float, bench: SimpleNamespace
) -> None:
    stiff = dict.fromkeys(("A", "B", "C", "stabilo", "brake", "brake_main"), (25_000.0,) * 6)
    job = bench.job(
        bench.measured(tension_n=before_n),
        bench.measured(tension_n=after_n),
        specification=bench.specification(stiffness_n=stiff),
    )
    facts = facts_of(bench.findings(job), job)

    wrong = "before" if before_n != 50 else "after"
    assert trails_of(facts)["corrected_mm"] == (f"{wrong}.correction",)


def test_free_travel_measured_once_leads_to_that_measuring(bench: SimpleNamespace) -> None:
    tight = dict.fromkeys(Side, 40.0)
    job = bench.job(
        bench.measured({"brake": None}, free_travel_mm=tight),
        bench.measured({"brake": None, "brake_main": None}),
        adjustments=bench.adjusted(-15),
    )
    facts = facts_of(bench.findings(job), job)

    assert trails_of(facts)["free_travel_mm"] == ("before.brakes",)


@pytest.mark.parametrize(
    ("rear_mm", "included", "way"),
    [(-9.0, True, "up"), (-9.0, False, ""), (-40.0, False, "up"), (40.0, False, "down")],
)
def test_an_angle_is_less_certain_where_risers_were_not_measured(
    rear_mm: float, included: bool, way: str, bench: SimpleNamespace
) -> None:
    specification = bench.specification(includes_risers=included)
    job = bench.job(bench.measured(bench.tilt(-rear_mm)), specification=specification)
    facts = facts_of(bench.findings(job), job)

    assert facts["found_pitch_way"] == way


@pytest.mark.parametrize(
    ("rear_mm", "way"), [(-10.0, ""), (-16.0, ""), (-40.0, "up"), (40.0, "down")]
)
def test_an_angle_takes_more_to_have_a_direction_where_only_one_side_was_measured(
    rear_mm: float, way: str, bench: SimpleNamespace
) -> None:
    nothing = dict.fromkeys(("A", "B", "C", "stabilo", "brake", "brake_main"))
    specification = bench.specification(includes_risers=True)
    tilted = bench.tilt(-rear_mm)
    right = bench.job(bench.measured(left=nothing, right=tilted), specification=specification)
    both = bench.job(bench.measured(tilted), specification=specification)

    assert facts_of(bench.findings(right), right)["found_pitch_way"] == way
    assert facts_of(bench.findings(both), both)["found_pitch_way"]


NONE, LEFT, OPEN, RIGHT = (
    replace(ABSENT, turn=turn, turn_side=side)
    for turn, side in (("none", ""), ("expected", "left"), ("possible", ""), ("possible", "right"))
)


@pytest.mark.parametrize(
    ("state", "other", "turn", "side"),
    [
        (NONE, LEFT, "possible", "left"),
        (OPEN, LEFT, "possible", "left"),
        (RIGHT, LEFT, "possible", ""),
        (LEFT, RIGHT, "expected", ""),
        (NONE, OPEN, "none", ""),
        (ABSENT, LEFT, "not_assessed", ""),
    ],
)
def test_a_turn_that_no_work_changed_is_there_before_as_well_as_after(
    state: StateFacts, other: StateFacts, turn: str, side: str
) -> None:
    alike = turning_alike(state, other)

    assert (alike.turn, alike.turn_side) == (turn, side)


@pytest.mark.parametrize(
    ("rear_mm", "riser_mm", "by"),
    [(-20.0, 0.0, "lines"), (0.0, -14.0, "risers"), (-10.0, -12.0, "both"), (-40.0, 14.0, "lines")],
)
def test_an_angle_is_put_down_to_what_makes_most_of_it(
    rear_mm: float, riser_mm: float, by: str, bench: SimpleNamespace
) -> None:
    risers = {"A": 0.0, "B": riser_mm / 2.0, "C": riser_mm}
    job = bench.job(
        bench.measured(bench.tilt(-rear_mm), risers=risers),
        specification=bench.specification(
            includes_risers=False, risers=dict.fromkeys("ABC", RiserLengths(520.0))
        ),
    )
    facts = facts_of(bench.findings(job), job)

    assert (facts["found_pitch_way"], facts["found_tilted_by"]) == ("up", by)


@pytest.mark.parametrize(("lefts_mm", "unexplained"), [(4.5, False), (12.0, True)])
def test_a_change_that_may_be_chance_is_not_called_unexplained(
    lefts_mm: float, unexplained: bool, bench: SimpleNamespace
) -> None:
    """A turn of so little is "possible" where its uncertainty reaches the threshold."""
    left = {"A": 0.0, "B": -lefts_mm / 2.0, "C": -lefts_mm}
    job = bench.job(bench.measured(), bench.measured(left=left), adjustments=())
    change = bench.findings(job).change

    assert change.turn.expectation is not Expectation.NONE
    assert facts_of(bench.findings(job), job)["change_unexplained"] is unexplained
