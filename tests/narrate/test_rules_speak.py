"""Every rule speaks somewhere: in an example, or in one of these small jobs made for it."""

import re
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.assess import DECLARED
from trimscribe.model.decision import Acceptance, DecisionRule
from trimscribe.model.findings import Verdict
from trimscribe.model.job import (
    Adjustment,
    Condition,
    Flight,
    FlightDecision,
    InspectionItem,
    Job,
    Measurement,
    OffsetMethod,
    Pilot,
    Porosity,
    PorosityReading,
    PorosityUnit,
    Replacement,
    StrengthTest,
    TearReading,
    TearTest,
    WrittenPlan,
)
from trimscribe.model.statements import Place, Statements
from trimscribe.model.wing import Side, Tolerances
from trimscribe.narrate.rules import load_rules

GROUPS = ("A", "B", "C", "stabilo", "brake", "brake_main")
SEAM = (InspectionItem("seams", Condition.DAMAGED),)
TIGHT = {Side.LEFT: 70.0, Side.RIGHT: 40.0}
FAR = {Side.LEFT: 98.0, Side.RIGHT: 52.0}
BOTH = dict.fromkeys(Side, 70.0)


NOTHING = {"A": (None,) * 6, "B": (None,) * 6, "stabilo": (None,) * 2, "brake": (None,) * 3}
FEW = (0, None, 0, None, 0, None)
GUARDED = DecisionRule(Acceptance.GUARDED, 2.0)
HOW = {"method": "tape", "instrument": "T-1"}


def few(mm: float) -> tuple[float | None, ...]:
    return tuple(None if at is None else mm for at in FEW)


def copied(measured: Measurement) -> Measurement:
    """The left side's lengths on both sides."""
    lengths = {(s, p): measured.lengths_mm[Side.LEFT, p] for s, p in measured.lengths_mm}
    return replace(measured, lengths_mm=lengths)


def levelled(b: SimpleNamespace, slope: float) -> tuple[Any, ...]:
    """The work that takes a tilt of the rows away."""
    rows = {"a": 0.25, "b": 0.90, "c": 1.55}
    return tuple(one for line, chord in rows.items() for one in b.adjusted(slope * chord, line))


def seconds(*values: float, limit: float | None = 20.0) -> Porosity:
    readings = tuple(PorosityReading("centre", value) for value in values)
    return Porosity(PorosityUnit.SECONDS, readings, limit=limit)


def tear(mm: float) -> TearTest:
    return TearTest((TearReading("centre", mm),), limit_mm=5.0)


def pull(load: float, *, broke: bool = False, required: float | None = 800.0) -> Any:
    return StrengthTest("A1", load, broke, required_n=required, side=Side.LEFT)


def weighing(kg: float) -> Pilot:
    return Pilot("Robin Hale", all_up_weight_kg=kg)


def evenly(mm: float) -> dict[str, float]:
    return dict.fromkeys(("A", "B", "C", "stabilo", "brake"), mm)


Scenario = Callable[[SimpleNamespace], Job]
# Each job with the rules that must speak in it, space by space.
SCENARIOS: dict[str, tuple[Scenario, str]] = {
    "in trim": (
        lambda b: b.job(b.measured()),
        "headline_within found_level found_lines_within found_brakes_right done_nothing "
        "air_unchanged before_usual chart_angle",
    ),
    "nose up, corrected": (
        lambda b: b.job(b.measured(b.tilt(18)), b.measured(), adjustments=levelled(b, 18)),
        "headline_was_up found_up air_launch_down air_faster done_angle_right",
    ),
    "nose down, corrected": (
        lambda b: b.job(
            b.measured(b.tilt(-18), **HOW), b.measured(**HOW), adjustments=levelled(b, -18)
        ),
        "headline_was_down found_down done_shorter air_launch_up air_slower",
    ),
    "stays nose up": (
        lambda b: b.job(b.measured({**b.tilt(14), "stabilo": -12})),
        "headline_still_up caution_up",
    ),
    "stays nose down": (
        lambda b: b.job(b.measured({**b.tilt(-14), "stabilo": 12, "brake": 20})),
        "headline_still_down caution_down",
    ),
    "the angle is lost in the uncertainty": (
        lambda b: b.job(
            b.measured(b.tilt(2)),
            b.measured(),
            adjustments=b.adjusted(1),
            thresholds={"pitch_deg": 0.25},
        ),
        "found_angle_open air_open",
    ),
    "one line was off": (
        lambda b: b.job(
            b.measured({"B": (0, 0, 15, 0, 0, 0)}, calculated=True),
            b.measured(),
            adjustments=b.adjusted(-15, "B3"),
        ),
        "headline_back air_no_change",
    ),
    "a weak line alone": (
        lambda b: b.job(strength=(pull(500, broke=True),)),
        "headline_stop_strength strength_failed",
    ),
    "porous cloth alone": (
        lambda b: b.job(porosity=seconds(12), tear=tear(1)),
        "headline_stop_cloth found_porous",
    ),
    "torn cloth alone": (lambda b: b.job(porosity=seconds(90), tear=tear(9)), "found_torn"),
    "damage alone": (lambda b: b.job(inspection=SEAM), "headline_stop_damage"),
    "tight brake alone": (
        lambda b: b.job(b.measured(free_travel_mm=TIGHT)),
        "headline_stop_brakes found_brakes_tight brakes_little_travel caution_free_travel",
    ),
    "free travel uneven": (
        lambda b: b.job(b.measured({"brake": (None,) * 3, "brake_main": None}, free_travel_mm=FAR)),
        "found_travel_uneven air_travel_uneven",
    ),
    "free travel uneven after the work": (
        lambda b: b.job(
            b.measured(free_travel_mm=dict.fromkeys(Side, 70.0)),
            b.measured(left={"brake": 26}, free_travel_mm=FAR),
            adjustments=b.adjusted(26, "brake_main", (Side.LEFT,)),
        ),
        "done_travel_uneven air_travel_uneven",
    ),
    "free travel alone, after the work": (
        lambda b: b.job(
            b.measured({"brake": (None,) * 3, "brake_main": None}, free_travel_mm=BOTH),
            b.measured({"brake": (None,) * 3, "brake_main": None}, free_travel_mm=BOTH),
            adjustments=b.adjusted(1),
        ),
        "found_travel_measured done_travel_measured",
    ),
    "not measured after the work": (
        lambda b: b.job(b.measured(b.tilt(18)), adjustments=b.adjusted(28)),
        "headline_not_again done_not_again before_not_again caution_not_again air_not_known "
        "changes_unknown",
    ),
    "only a part replaced": (
        lambda b: b.job(b.measured(), replacements=(Replacement("maillon", None, "age"),)),
        "headline_parts_not_again before_parts_not_again caution_parts_not_again",
    ),
    "outside and left as it was": (
        lambda b: b.job(b.measured({"B": (0, 0, 15, 0, 0, 0)}, calculated=True)),
        "headline_outside before_outside",
    ),
    "risers too long": (
        lambda b: b.job(b.measured(risers={"A": 7.0, "B": 0.0})),
        "headline_risers before_risers caution_risers risers_now",
    ),
    "brakes too long": (
        lambda b: b.job(b.measured({"brake": 40})),
        "headline_brakes before_brakes caution_brakes_outside",
    ),
    "brakes outside, but not compared with the line set": (
        lambda b: b.job(
            b.measured({"brake": 40}), specification=b.specification(trailing_edge_m=None)
        ),
        "found_brakes_outside",
    ),
    "brakes outside, and not measured again": (
        lambda b: b.job(
            b.measured({"brake": 40, "B": (0, 0, 15, 0, 0, 0)}),
            b.measured({"brake": None, "brake_main": None}),
            adjustments=b.adjusted(-15, "B3"),
        ),
        "headline_brakes_past before_brakes_past caution_brakes_past brakes_judged",
    ),
    "free travel calculated from lengths in doubt": (
        lambda b: b.job(copied(b.measured())),
        "before_travel_open caution_free_travel_open brakes_travel_open",
    ),
    "free travel calculated near the least": (
        lambda b: b.job(b.measured({"brake": -14})),
        "brakes_travel_close brakes_calculated",
    ),
    "free travel measured before the work and not after it": (
        lambda b: b.job(
            b.measured(free_travel_mm=dict.fromkeys(Side, 70.0)),
            b.measured({"brake": -9}),
            adjustments=b.adjusted(-9, "brake_main"),
        ),
        "brakes_carried_on",
    ),
    "a pilot who asks, and free travel that was measured": (
        lambda b: b.job(
            b.measured(free_travel_mm=dict.fromkeys(Side, 84.0)),
            pilot=Pilot("Robin", reported="The brakes feel long."),
        ),
        "found_travel_measured",
    ),
    "brakes within, not compared with the line set": (
        lambda b: b.job(b.measured(), specification=b.specification(trailing_edge_m=None)),
        "found_brakes_within",
    ),
    "brakes uneven": (
        lambda b: b.job(b.measured(left={"brake": 9}, right={"brake": -9})),
        "found_brakes_uneven",
    ),
    "one brake long, one short": (
        lambda b: b.job(b.measured(left={"brake": 15}, right={"brake": -15})),
        "found_brakes_mixed",
    ),
    "brakes short": (
        lambda b: b.job(b.measured({"brake": -15})),
        "found_brakes_short before_short_brakes caution_short_brakes",
    ),
    "brakes made longer": (
        lambda b: b.job(
            b.measured({"brake": -24, "brake_main": -24}),
            b.measured(),
            adjustments=b.adjusted(24, "brake_main"),
        ),
        "done_brakes_longer air_brakes_later air_launch_same",
    ),
    "brakes whose free travel speaks against their length": (
        lambda b: b.job(
            b.measured({"brake": -30}, free_travel_mm=dict.fromkeys(Side, 102.0)),
            b.measured({"brake": -30}, free_travel_mm=dict.fromkeys(Side, 102.0)),
        ),
        "brakes_unlike_now found_travel_unlike",
    ),
    "brakes whose free travel spoke against their length": (
        lambda b: b.job(b.measured({"brake": -30}, free_travel_mm=dict.fromkeys(Side, 102.0))),
        "brakes_unlike_found found_travel_unlike found_travel_measured",
    ),
    "brakes whose free travel speaks against their length after work": (
        lambda b: b.job(
            b.measured({"brake": -30}, free_travel_mm=dict.fromkeys(Side, 42.0)),
            b.measured({"brake": -30}, free_travel_mm=dict.fromkeys(Side, 102.0)),
            adjustments=b.adjusted(1),
        ),
        "done_travel_unlike done_travel_measured",
    ),
    "brakes moved apart": (
        lambda b: b.job(
            b.measured(left={"brake": -24}, right={"brake": 24}),
            b.measured(),
            adjustments=(
                Adjustment("brake_main", Side.LEFT, change_mm=24),
                Adjustment("brake_main", Side.RIGHT, change_mm=-24),
            ),
        ),
        "done_brakes_changed air_brakes_changed",
    ),
    "lines without limits": (
        lambda b: b.job(b.measured(), tolerances=Tolerances()),
        "headline_no_limit found_lines_no_limit",
    ),
    "only the sides differ": (
        lambda b: b.job(
            b.measured(left={"A": 3.0}, right={"A": -3.0}),
            tolerances=Tolerances(default_mm=10.0, left_right_mm=4.0),
        ),
        "found_sides_differ",
    ),
    "evenly short": (lambda b: b.job(b.measured(evenly(-16.0))), "found_shrunk"),
    "evenly long": (lambda b: b.job(b.measured(evenly(16.0))), "found_stretched"),
    "far too short": (lambda b: b.job(b.measured(evenly(-55.0))), "found_far_off headline_far_off"),
    "tips up, corrected": (
        lambda b: b.job(
            b.measured({"C": (12, 12, 0, 0, -24, -24), "A": (-12, -12, 0, 0, 12, 12)}),
            b.measured(),
            adjustments=b.adjusted(3),
        ),
        "found_tips_up",
    ),
    "tips down": (
        lambda b: b.job(b.measured({"C": (-12, -12, 0, 0, 24, 24), "A": (12, 12, 0, 0, -12, -12)})),
        "found_tips_down",
    ),
    "nobody changed anything, and one line reads back within limits": (
        lambda b: b.job(
            b.measured(left={"B": (6, 9, 12, 9, 6, 3)}), b.measured(left={"B": (6, 9, 10, 9, 6, 3)})
        ),
        "done_nothing done_again_alike air_unchanged",
    ),
    "tips still up after work on the centre": (
        lambda b: b.job(
            b.measured({"C": (12, 12, 0, 0, -24, -24), "A": (-12, -12, 0, 0, 12, 12)}),
            b.measured({"C": (9, 9, 0, 0, -24, -24), "A": (-12, -12, 0, 0, 12, 12)}),
            adjustments=b.adjusted(-3),
        ),
        "found_tips_up done_tips",
    ),
    "turns right, corrected": (
        lambda b: b.job(
            b.measured(right=b.tilt(16)),
            b.measured(),
            adjustments=b.adjusted(20, sides=(Side.RIGHT,)),
        ),
        "found_turn air_no_turn",
    ),
    "turns right, and still does": (
        lambda b: b.job(
            b.measured(right=b.tilt(24)),
            b.measured(right=b.tilt(16)),
            adjustments=b.adjusted(12, sides=(Side.RIGHT,)),
        ),
        "air_still_turns",
    ),
    "turned right, now turns left": (
        lambda b: b.job(
            b.measured(right=b.tilt(16)),
            b.measured(left=b.tilt(16)),
            adjustments=b.adjusted(20, sides=(Side.RIGHT,)),
        ),
        "air_turns caution_turn",
    ),
    "two measures name two sides": (
        lambda b: b.job(b.measured(left={"A": -28, "B": -20, "C": -12}, right={})),
        "found_turn_open",
    ),
    "sides changed without a turn before": (
        lambda b: b.job(
            b.measured(left=evenly(4.5)),
            b.measured(right=evenly(4.5)),
            adjustments=b.adjusted(1),
            confirmed={"after": "read twice"},
        ),
        "air_turns_changed",
    ),
    "which way it turns is not settled": (
        lambda b: b.job(b.measured(left={"A": -28, "B": -20, "C": -12}, right={})),
        "found_turn_open caution_turn_open",
    ),
    "sides mixed up in one of two measurings": (
        lambda b: b.job(b.measured(left=b.tilt(-30)), b.measured(right=b.tilt(-30))),
        "found_turn_open caution_turn_open caution_doubts chart_sides",
    ),
    "released": (
        lambda b: b.job(b.measured(), flight=FlightDecision(Flight.RELEASED, by="Jory Tallack")),
        "decision_released",
    ),
    "released with conditions": (
        lambda b: b.job(
            b.measured(), flight=FlightDecision(Flight.WITH_CONDITIONS, "near home only")
        ),
        "decision_conditions",
    ),
    "not released": (
        lambda b: b.job(b.measured(), flight=FlightDecision(Flight.NOT_RELEASED, reason="rust")),
        "decision_not_released before_not_released air_grounded",
    ),
    "released all the same": (
        lambda b: b.job(
            inspection=SEAM, flight=FlightDecision(Flight.RELEASED, reason="sewn on the spot")
        ),
        "decision_released_all_the_same",
    ),
    "stopped, and nobody decided": (lambda b: b.job(inspection=SEAM), "decision_stop"),
    "outside only after the work": (
        lambda b: b.job(
            b.measured(),
            b.measured({"B": (0, 0, 15, 0, 0, 0)}, calculated=True),
            adjustments=b.adjusted(1),
        ),
        "headline_now_outside done_again_outside",
    ),
    "outside as it came, left alone and not measured again": (
        lambda b: b.job(
            b.measured({"B": (0, 0, 15, 0, 0, 0)}, calculated=True),
            b.measured({"B": None}),
            adjustments=b.adjusted(5),
        ),
        "headline_left_outside before_still_outside caution_still_outside",
    ),
    "one outside now, others left outside and not measured again": (
        lambda b: b.job(
            b.measured({"B": (0, 0, 15, 0, 0, 0)}, calculated=True),
            b.measured({"B": (0, 0, None, 0, 0, 0), "C": (0, 0, 15, 0, 0, 0)}, calculated=True),
            adjustments=b.adjusted(5),
        ),
        "before_outside before_still_outside caution_outside caution_still_outside",
    ),
    "one side alone": (
        lambda b: b.job(b.measured(right=dict.fromkeys(("A", "B", "C", "stabilo")))),
        "found_one_side",
    ),
    "one side alone again": (
        lambda b: b.job(
            b.measured(),
            b.measured(right=dict.fromkeys(("A", "B", "C", "stabilo"))),
            adjustments=b.adjusted(5),
        ),
        "done_one_side",
    ),
    "halves apart, and risers that nobody measured": (
        lambda b: b.job(
            b.measured(right=evenly(20.0)), specification=b.specification(includes_risers=False)
        ),
        "found_halves_apart caution_turn_open",
    ),
    "a pilot who asks, and halves that do not clearly differ": (
        lambda b: b.job(b.measured(right={"A": 5.0}), pilot=Pilot("Robin", reported="It turns.")),
        "found_turn_unclear",
    ),
    "one length in doubt": (
        lambda b: b.job(
            b.measured(left={"B": (0, 0, 120, 0, 0, 0)}),
            b.measured(left={"B": (0, 0, 0, 0, 90, 0)}),
        ),
        "headline_in_doubt found_doubted found_lines_some done_doubted done_again_some"
        " before_doubted chart_doubted caution_doubts",
    ),
    "a whole row in doubt, which the angle hangs on": (
        lambda b: b.job(b.measured({"C": 90.0})),
        "found_lines_in_doubt found_angle_in_doubt headline_in_doubt",
    ),
    "a row of one side in doubt, which the turn hangs on": (
        lambda b: b.job(b.measured(right={"C": 90.0})),
        "found_turn_in_doubt",
    ),
    "close, on the far side": (
        lambda b: b.job(
            b.measured({"B": (0, 0, 13, 0, 0, 0)}, calculated=True), decision_rule=GUARDED
        ),
        "before_over caution_over",
    ),
    "close, most of them": (
        lambda b: b.job(
            b.measured(
                dict.fromkeys("ABC", (7, -7, 7, -7, 7, -7)) | {"stabilo": (7, -7), "brake": 0}
            ),
            decision_rule=GUARDED,
        ),
        "headline_close",
    ),
    "brakes close": (
        lambda b: b.job(b.measured(evenly(-27.0)), decision_rule=GUARDED),
        "found_brakes_close",
    ),
    "within, but in doubt": (
        lambda b: b.job(b.measured(), b.measured({"C": 7.5})),
        "headline_doubts",
    ),
    "one row alone": (
        lambda b: b.job(b.measured({g: NOTHING[g] for g in ("A", "B", "stabilo", "brake")})),
        "headline_too_few found_lines_too_few before_untied caution_untied",
    ),
    "short, but unevenly": (
        lambda b: b.job(b.measured({"A": -20, "B": -20, "C": -36, "stabilo": -20})),
        "found_uneven",
    ),
    "risers not measured": (
        lambda b: b.job(
            b.measured(),
            b.measured({}),  # read anew
            specification=b.specification(includes_risers=False),
            adjustments=b.adjusted(1, "B3"),
        ),
        "found_angle_risers air_no_change_lines",
    ),
    "risers not measured, and an angle": (
        lambda b: b.job(
            b.measured(b.tilt(30)), specification=b.specification(includes_risers=False)
        ),
        "found_up found_risers_open",
    ),
    "measurings that differ though nobody changed anything": (
        lambda b: b.job(b.measured(b.tilt(16)), b.measured()),
        "air_unexplained caution_new_trim",
    ),
    "brakes moved with the line set": (
        lambda b: b.job(b.measured(evenly(-40.0))),
        "found_brakes_moved",
    ),
    "measured again in part": (
        lambda b: b.job(
            b.measured(b.tilt(16), **HOW),
            b.measured({"A": few(-4.0), "B": few(-14.4)} | {"stabilo": NOTHING["stabilo"]}, **HOW),
            adjustments=b.adjusted(25),
        ),
        "done_again_carried chart_carried",
    ),
    "measured again in part, and lines that nobody touched do not agree": (
        lambda b: b.job(
            b.measured(b.tilt(16), **HOW),
            b.measured(
                {"A": (0, None, 9, None, 0, None), "B": few(-14.4), "stabilo": NOTHING["stabilo"]},
                **HOW,
            ),
            adjustments=b.adjusted(25),
        ),
        "before_disagree caution_disagree",
    ),
    "measured again in part though nobody touched it, and the measurings do not agree": (
        lambda b: b.job(
            b.measured(**HOW),
            b.measured({g: few(8) for g in "ABC"} | {"stabilo": NOTHING["stabilo"]}, **HOW),
        ),
        "before_disagree caution_disagree air_not_known",
    ),
    "all but the brakes measured again, and none untouched": (
        lambda b: b.job(
            b.measured(b.tilt(16), **HOW),
            b.measured({"brake": NOTHING["brake"], "brake_main": None}, **HOW),
            adjustments=(*b.adjusted(5, "a"), *b.adjusted(14, "b"), *b.adjusted(25)),
        ),
        "air_launch_down chart_angle_both",
    ),
    "measured again in part, and outside": (
        lambda b: b.job(
            b.measured(**HOW),
            b.measured({"A": FEW, "B": FEW, "C": -40, "stabilo": NOTHING["stabilo"]}, **HOW),
            adjustments=b.adjusted(-5),
        ),
        "done_again_carried_outside",
    ),
    "measured again in part, on another day without controls": (
        lambda b: b.job(
            b.measured(),
            b.measured({g: NOTHING[g] for g in ("A", "B", "stabilo", "brake")}),
            adjustments=b.adjusted(5),
        ),
        "done_again_untied",
    ),
    "only what was adjusted was measured again, and nothing is taken out": (
        lambda b: b.job(
            b.measured(),
            b.measured({g: NOTHING[g] for g in ("A", "B", "stabilo", "brake")}),
            adjustments=b.adjusted(5),
            offset_method=OffsetMethod.NONE,
        ),
        "headline_measured_within done_again_some done_untied before_rest",
    ),
    "one row was measured, and nothing is taken out": (
        lambda b: b.job(b.measured(NOTHING), offset_method=OffsetMethod.NONE),
        "headline_measured_within found_lines_some before_rest",
    ),
    "the work fell short": (
        lambda b: b.job(
            b.measured(),
            b.measured({"C": 14.5, "B": 14.5, "brake": 14.5}),
            adjustments=(*b.adjusted(20), *b.adjusted(20, "b")),
        ),
        "changes_together caution_together",
    ),
    "what was let out and what was shortened fell short": (
        lambda b: b.job(
            b.measured(),
            b.measured({"A": 7, "C": -7}),
            adjustments=(*b.adjusted(12, "a"), *b.adjusted(-12, "c")),
        ),
        "changes_together caution_together",
    ),
    "all lines were touched, on another day": (
        lambda b: b.job(
            b.measured(),
            b.measured(evenly(9.0)),
            adjustments=tuple(a for line in "abc" for a in b.adjusted(9, line)),
        ),
        "changes_shift_unknown",
    ),
    "lines read within limits, by a measuring that is too coarse": (
        lambda b: b.job(b.measured(uncertainty_mm=6.0)),
        "headline_unsure",
    ),
    "a line that held by too little to be sure": (
        lambda b: b.job(strength=(replace(pull(810), uncertainty_n=10.0),), decision_rule=GUARDED),
        "found_strength_close",
    ),
    "limits wider than the line set's": (
        lambda b: b.job(
            b.measured(), tolerances=Tolerances(default_mm=15.0, groups={"brake": 20.0})
        ),
        "found_limits_wider",
    ),
    "the cloth is near its limit": (lambda b: b.job(porosity=seconds(23)), "found_cloth_near"),
    "a repaired part": (
        lambda b: b.job(b.measured(), inspection=(InspectionItem("seams", Condition.REPAIRED),)),
        "done_repaired air_repaired",
    ),
    "a line pulled until it broke": (
        lambda b: b.job(b.measured(), strength=(pull(900, broke=True),)),
        "caution_broken",
    ),
    "let out behind, and free travel less": (
        lambda b: b.job(
            b.measured({"C": -8}, free_travel_mm=dict.fromkeys(Side, 70.0)),
            b.measured(free_travel_mm=dict.fromkeys(Side, 66.0)),
            adjustments=b.adjusted(8),
        ),
        "brakes_travel_lost",
    ),
    "let out behind, and too little free travel": (
        lambda b: b.job(
            b.measured({"C": -12}, free_travel_mm=TIGHT),
            b.measured(free_travel_mm=dict.fromkeys(Side, 36.0)),
            adjustments=b.adjusted(12),
        ),
        "done_free_travel",
    ),
    "brakes outside after the work": (
        lambda b: b.job(
            b.measured({"C": -12}), b.measured({"brake": 30}), adjustments=b.adjusted(12)
        ),
        "done_brakes_outside",
    ),
    "released with conditions, after work": (
        lambda b: b.job(
            b.measured(), flight=FlightDecision(Flight.WITH_CONDITIONS, "near home only")
        ),
        "before_conditions",
    ),
    "a worn part": (
        lambda b: b.job(inspection=(InspectionItem("pulley", Condition.WORN, "turns stiffly"),)),
        "found_worn",
    ),
    "still nose up": (
        lambda b: b.job(b.measured(b.tilt(22)), b.measured(b.tilt(14)), adjustments=b.adjusted(10)),
        "done_angle_left",
    ),
    "the pilot told much": (
        lambda b: b.job(pilot=Pilot("Robin Hale", reported="It hangs back. " * 20)),
        "found_reported",
    ),
    "let out and shortened, some unknown": (
        lambda b: b.job(
            b.measured(b.tilt(16)),
            b.measured(),
            adjustments=(
                *b.adjusted(12),
                *b.adjusted(-12, "a"),
                Adjustment("b", Side.LEFT, "single loop", "double loop"),
            ),
        ),
        "done_both changes_some_agree",
    ),
    "work too small to tell from nothing": (
        lambda b: b.job(b.measured({"C": 4}, **HOW), b.measured(**HOW), adjustments=b.adjusted(-4)),
        "done_entered changes_unknown",
    ),
    "work of unknown size": (
        lambda b: b.job(
            b.measured(), adjustments=(Adjustment("b", Side.LEFT, "single loop", "double loop"),)
        ),
        "done_other_lines",
    ),
    "free travel read to change otherwise than lengths": (
        lambda b: b.job(
            b.measured({"brake": 20, "brake_main": 20}, free_travel_mm=dict.fromkeys(Side, 98.0)),
            b.measured({"brake": -20, "brake_main": -20}, free_travel_mm=dict.fromkeys(Side, 99.0)),
            adjustments=b.adjusted(-40, "brake_main"),
        ),
        "air_brakes_unlike brakes_unlike_change",
    ),
    "a line moved otherwise than planned": (
        lambda b: b.job(b.measured(), b.measured({"C": 10}), adjustments=b.adjusted(28)),
        "changes_differ caution_ledger done_unlike",
    ),
    "a proposed retrim that is not done": (
        lambda b: replace(
            b.job(b.measured()),
            plan=WrittenPlan((Adjustment("b", Side.LEFT, "single loop", "double loop"),)),
        ),
        "caution_plan_open",
    ),
    "a row apart from the others": (
        lambda b: b.job(
            b.measured({"B": 14}), b.measured({"B": 13}), adjustments=b.adjusted(-1, "b")
        ),
        "chart_bent_now",
    ),
    "only brakes measured again, in another way than the first time": (
        lambda b: b.job(
            b.measured(right={"brake": 30}, **HOW),
            b.measured(NOTHING | {"C": (None,) * 6, "brake": 0}, method="another"),
            adjustments=b.adjusted(-30, "brake_main"),
            specification=b.specification(brakes_share_offset=True),
        ),
        "headline_brakes_past before_brakes_past caution_brakes_past done_again_carried",
    ),
    "brakes far long, and no free travel measured": (
        lambda b: b.job(b.measured({"brake": 30, "brake_main": 30})),
        "before_travel_not_measured",
    ),
    "a row apart, left as it was": (lambda b: b.job(b.measured({"B": 14})), "chart_bent"),
    "some lines not measured again": (
        lambda b: b.job(
            b.measured({"B": (0, 0, 15, 0, 0, 0)}, calculated=True),
            b.measured({"B": (0, 0, 0, 0, 0, None)}),
            adjustments=b.adjusted(-15, "B3"),
        ),
        "done_again_some chart_missing caution_missing",
    ),
    "measured twice without limits": (
        lambda b: b.job(b.measured(), b.measured(), tolerances=Tolerances()),
        "done_again",
    ),
    "too heavy": (lambda b: b.job(pilot=weighing(120.0)), "caution_too_heavy record_weight"),
    "too light": (lambda b: b.job(pilot=weighing(60.0)), "caution_too_light"),
    "judged with a guard band": (
        lambda b: b.job(
            b.measured(), porosity=seconds(90), decision_rule=DecisionRule(Acceptance.GUARDED, 2.0)
        ),
        "decision_guarded decision_worst decision_unsure",
    ),
    "judged by probability": (
        lambda b: b.job(b.measured(), decision_rule=DecisionRule(Acceptance.PROBABILITY, 0.95)),
        "decision_probability decision_worst",
    ),
    "measured at another load, with the stiffness of every line": (
        lambda b: b.job(
            b.measured(tension_n=100.0),
            specification=b.specification(stiffness_n=dict.fromkeys(GROUPS, (25_000.0,) * 6)),
        ),
        "record_load_corrected",
    ),
    "a length that looks wrong": (
        lambda b: b.job(b.measured(left={"B": (1, -1, 100, 1, 0, 2)})),
        "record_doubts caution_doubts",
    ),
    "a length that looks wrong and is confirmed": (
        lambda b: b.job(
            b.measured(left={"B": (1, -1, 100, 1, 0, 2)}),
            confirmed={"before.left.B3": "measured twice"},
        ),
        "record_confirmed",
    ),
    "cloth only, and no limit": (
        lambda b: b.job(porosity=seconds(90, limit=None)),
        "headline_lines_not_measured",
    ),
    "brakes outside beside damage": (
        lambda b: b.job(b.measured({"brake": 40}, risers={"A": 7.0}), inspection=SEAM),
        "headline_stop_damage before_stop before_brakes before_risers",
    ),
    "measured again at another tension, as it came at the maker's": (
        lambda b: b.job(
            b.measured({"B": (0, 0, 15, 0, 0, 0)}),
            b.measured(tension_n=40.0),
            adjustments=b.adjusted(-15, "B3"),
        ),
        "headline_other_load done_again_other_load before_other_load caution_other_load",
    ),
    "measured at a tension that is not stated": (
        lambda b: b.job(b.measured(tension_n=None)),
        "headline_load_unknown caution_load_unknown record_load_unknown",
    ),
    "measured first at a tension that is not stated": (
        lambda b: b.job(
            b.measured({"C": -9}, tension_n=None), b.measured(), adjustments=b.adjusted(9)
        ),
        "found_load_unknown record_load_unknown",
    ),
    "maillons were replaced, not a line": (
        lambda b: b.job(b.measured(), replacements=(Replacement("maillon", Side.LEFT, "bent"),)),
        "before_parts_not_again caution_parts_not_again",
    ),
    "cloth only, and sound": (
        lambda b: b.job(porosity=seconds(90)),
        "headline_lines_not_measured found_not_measured cloth_porosity",
    ),
}


@pytest.mark.parametrize("name", SCENARIOS)
def test_the_rules_made_for_a_case_speak_in_it_in_whole_sentences(
    name: str,
    bench: SimpleNamespace,
    said: Callable[[Statements], list[str]],
    is_whole: Callable[[str], bool],
) -> None:
    build, wanted = SCENARIOS[name]
    statements = bench.narrated(build(bench))
    assert set(wanted.split()) - set(said(statements)) == set()
    texts = [s.text for s in (*statements.sentences, *statements.cautions)]
    assert [text for text in texts if not is_whole(text)] == []


def test_every_rule_speaks_in_an_example_or_a_case(
    bench: SimpleNamespace, said: Callable[[Statements], list[str]], examples: dict[str, Job]
) -> None:
    jobs = [*examples.values(), *(build(bench) for build, _ in SCENARIOS.values())]
    spoken = {rule for job in jobs for rule in said(bench.narrated(job))}
    spoken |= set(said(bench.close_call(Verdict.CONDITIONAL_PASS)))
    assert [rule.name for rule in load_rules(frozenset(DECLARED)) if rule.name not in spoken] == []


# What a workshop cannot release a wing against without saying why.
ADVICE = re.compile(
    r"Do not fly before (?!the workshop has released)|Ask your workshop before you fly"
    r"|released the wing all the same"
    r"|(?<!If lines were replaced, h)(?<!If lines were among them, h)(?<=[Hh])ave [^.:]*"
    r"(measured|checked)[^.]*before you fly"
    r"|Have the free travel of [^.:]* measured:|Have the workshop confirm"
)
RELEASED = FlightDecision(Flight.RELEASED, by="Ines Corvin")


def test_a_released_wing_has_no_advice_against_flying_that_its_decision_does_not_name(
    bench: SimpleNamespace, said: Callable[[Statements], list[str]], examples: dict[str, Job]
) -> None:
    jobs = {**examples, **{name: build(bench) for name, (build, _) in SCENARIOS.items()}}
    advised = {True: 0, False: 0}
    for name, job in jobs.items():
        statements = bench.narrated(replace(job, flight=RELEASED))
        texts = [s.text.replace("\xa0", " ") for s in statements.cautions]
        texts += [s.text.replace("\xa0", " ") for s in statements.at(Place.BEFORE_FLYING)]
        advice = [text for text in texts if ADVICE.search(text)]
        assert bool(advice) == ("decision_released_all_the_same" in said(statements)), (
            name,
            advice,
        )
        advised[bool(advice)] += 1
    assert min(advised.values()) > 10
