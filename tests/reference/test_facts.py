"""Facts of the trade put through the analysis. Each says its source or that it has none."""

import math

import pytest

from trimscribe.analyse import strength
from trimscribe.model.findings import Expectation, Findings, Verdict
from trimscribe.model.job import Adjustment, LoopTable, StrengthTest
from trimscribe.model.wing import Side

ROWS = {"A": 0.25, "B": 0.90, "C": 1.55}


def even(**rows: float) -> dict[str, tuple[float, ...]]:
    return {name: (mm,) * 6 for name, mm in rows.items()}


def test_a_set_evenly_short_by_16_mm_is_ordinary_shrinkage_and_no_fault(wing, analysed):
    """Common practice, no source."""
    state = analysed(wing(ROWS, 6), even(A=-16, B=-16, C=-16)).before

    assert state.offset.value_mm == pytest.approx(-16)
    assert state.verdict is Verdict.PASS
    assert all(x.relative_mm == pytest.approx(0) for x in state.lines if x.kind == "row")
    assert state.pitch.wing.expectation is Expectation.NONE


def test_each_line_holds_10_mm_after_the_common_offset_is_taken_out(wing, analysed):
    """Common practice, no source."""
    lines = even(A=-16, B=-16, C=-16)
    lines["B"] = (-16, -16, -5.5, -16, -16, -16)
    mirror = even(A=-16, B=-16, C=-16)
    mirror["B"] = (-16, -16, -26.5, -16, -16, -16)  # keeps the mean at -16

    state = analysed(wing(ROWS, 6), lines, mirror).before

    outside = [(x.side, str(x.point)) for x in state.lines if x.verdict is Verdict.FAIL]
    assert outside == [(Side.LEFT, "B3"), (Side.RIGHT, "B3")]
    assert state.verdict is Verdict.FAIL


@pytest.mark.parametrize(("line_mm", "by_geometry"), [(1.2, 8.2), (1.5, 8.6), (2.0, 9.4)])
def test_from_a_double_to_a_single_loop_lengthens_by_about_9_mm(line_mm, by_geometry):
    """Common practice, no source; agrees with half the mean girth of a 4 mm bar, π(D + d)/2."""
    one_turn = math.pi * (4 + line_mm) / 2
    table = LoopTable({"bench": {"single loop": 8.0, "double loop": 8.0 + one_turn}})
    opened = Adjustment("c1", Side.LEFT, "double loop", "single loop", "bench")

    change = opened.promised_mm(table)

    assert change == pytest.approx(by_geometry, abs=0.05)
    assert change == pytest.approx(9, abs=1)


def test_from_a_double_loop_to_a_pile_hitch_shortens_by_just_under_20_mm():
    """Common practice, no source; the table is the test's own."""
    table = LoopTable({"bench": {"double loop": 17.0, "pile hitch": 36.0}})
    tied = Adjustment("a1", Side.LEFT, "double loop", "pile hitch", "bench")

    assert -20 < tied.promised_mm(table) <= -18


def test_brakes_long_by_23_and_35_mm_need_12_mm_more_on_the_right(wing, analysed):
    """Common practice, no source: relative to the line set, here evenly short by 16 mm."""
    rows = even(A=-16, B=-16, C=-16)
    spec = wing(ROWS, 6, trailing_edge_m=2.4)

    state = analysed(spec, rows | even(brake=23 - 16), rows | even(brake=35 - 16)).before

    assert state.brakes[Side.LEFT].travel_change.value == pytest.approx(23)
    assert state.brakes[Side.RIGHT].travel_change.value == pytest.approx(35)
    assert state.brake_difference.value == pytest.approx(12)
    assert state.brake_difference.expectation is Expectation.POSSIBLE
    # ±25 mm of the maker's table, one maker's manual: 7 and 19 mm are as long as specified.
    assert {brake.verdict for brake in state.brakes.values()} == {Verdict.PASS}


def test_rear_lines_shrunk_more_than_front_lines_turn_the_nose_up_and_slow_the_wing(wing, analysed):
    """Common practice; slower and harder to launch also in several public articles."""
    state = analysed(wing(ROWS, 6), even(A=-5, B=-12, C=-25)).before

    assert state.pitch.wing.value > 0
    assert state.pitch.wing.expectation is Expectation.EXPECTED
    assert state.speed.high_km_h < state.speed.central_km_h < state.speed.low_km_h < 0


def test_front_lines_stretched_and_rear_lines_shrunk_is_how_a_wing_ages(wing, analysed):
    """Several workshop and association articles: A and B lengthen, C shortens: nose up."""
    assert analysed(wing(ROWS, 6), even(A=4, B=2, C=-9)).before.pitch.wing.value > 0


def test_lengthening_the_rear_again_makes_it_a_little_faster(wing, analysed):
    """Common practice, no source."""
    found = analysed(wing(ROWS, 6), even(A=-5, B=-12, C=-25), after=even(A=-5, B=-7, C=-8)).change

    assert found.pitch.value < 0
    assert 0 < found.speed.low_km_h < found.speed.central_km_h < found.speed.high_km_h < 5


@pytest.mark.parametrize(
    ("load_n", "broke", "verdict"),
    [
        (867, False, Verdict.PASS),
        (867, True, Verdict.PASS),
        (866, True, Verdict.FAIL),
        (866, False, Verdict.NOT_ASSESSED),
    ],
)
def test_residual_strength_of_one_of_twelve_lines(bare_job, load_n, broke, verdict):
    """Makers' manuals: 8 times the weight shared by A and B: 130 kg × 8 / 12 = 86.67 daN."""
    required_n = 130 * 8 / 12 * 10
    assert required_n == pytest.approx(866.7, abs=0.05)

    pull = StrengthTest("A4", load_n, broke, required_n)

    found = strength.analysis.analyse(bare_job(strength=(pull,)), Findings())

    assert found.strength_verdict is verdict
    assert found.strength[0].margin_n == pytest.approx(load_n - 866.67, abs=0.01)
