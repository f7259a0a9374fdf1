"""The ledger: what loops promise against what the tape says."""

import math

import pytest

from trimscribe.analyse.ledger import carried_points, expected_change_mm, moved_together
from trimscribe.model.findings import DoubtKind, Verdict
from trimscribe.model.job import Adjustment, LoopTable
from trimscribe.model.wing import Point, Side

LOOPS = LoopTable({"main maillon": {"single loop": 8.0, "double loop": 17.0, "pile hitch": 35.0}})
FLAT = {"A": 0, "B": 0, "C": 0, "brake": 0}


def points(group, *numbers):
    return tuple(Point(group, n) for n in numbers)


@pytest.fixture
def spec(build):
    cascade = {
        "c1": points("C", 1, 2, 3, 4),
        "cm1": points("C", 1, 2),
        "cm2": points("C", 3, 4),
        "c2": points("C", 5, 6),
    }
    return build.specification(
        build.three_rows, 6, {"brake": 4, "brake_main": 1}, cascade, trailing_edge_m=2.4
    )


def opened(line, side=Side.LEFT, **more):
    return Adjustment(line, side, "double loop", "single loop", "main maillon", **more)


def ledger(build, spec, adjustments, after, before=None, loops=LOOPS, **more):
    measured = [build.measurement(spec, m, **more) for m in (before or FLAT, after)]
    job = build.job(
        spec, measured[0], after=measured[1], loops=loops, adjustments=tuple(adjustments)
    )
    return build.findings(job).ledger


def test_loops_that_take_up_less_make_the_line_longer():
    assert expected_change_mm(opened("c1"), LOOPS) == 9
    closed = Adjustment("c1", Side.LEFT, "double loop", "pile hitch", "main maillon")
    assert expected_change_mm(closed, LOOPS) == -18


def test_a_change_without_loops_is_taken_as_stated():
    assert expected_change_mm(Adjustment("c1", Side.LEFT, change_mm=-20.0), LOOPS) == -20


def test_the_only_table_needs_no_name_and_an_unknown_one_gives_nothing():
    unnamed = Adjustment("c1", Side.LEFT, "double loop", "single loop")
    two = LoopTable({**LOOPS.take_up_mm, "brake handle": {"single loop": 3.0}})

    assert expected_change_mm(unnamed, LOOPS) == 9
    assert expected_change_mm(unnamed, two) is None
    assert expected_change_mm(opened("c1"), LoopTable()) is None


def test_a_line_moves_all_points_that_hang_on_it(build, spec):
    assert carried_points("c1", spec) == points("C", 1, 2, 3, 4)
    assert carried_points("cm2", spec) == points("C", 3, 4)
    assert carried_points("brake_main", spec) == points("brake", 1, 2, 3, 4)
    assert carried_points("A3", spec) == points("A", 3)
    assert carried_points("unheard-of", spec) == ()
    bare = build.specification(build.three_rows, 2, {"brake_main": 1})
    assert carried_points("brake_main", bare) == points("brake_main", 1)


def test_a_line_that_moved_as_promised_agrees(build, spec):
    after = FLAT | {"C": [9, 8, 10, 9, 0, 0]}

    (entry,) = ledger(build, spec, [opened("c1", remark="stiff")], after)

    assert (entry.expected_mm, entry.measured_mm, entry.points) == (9, 9, 4)
    assert entry.verdict is Verdict.PASS
    assert (entry.line, entry.side, entry.remark) == ("c1", Side.LEFT, "stiff")
    assert (entry.loop_before, entry.loop_after) == ("double loop", "single loop")


def test_a_loop_that_was_forgotten_is_found(build, spec):
    after = FLAT | {"C": [0, 1, 0, -1, 0, 0]}

    (entry,) = ledger(build, spec, [opened("c1")], after)

    assert entry.measured_mm == 0
    assert entry.verdict is Verdict.FAIL


def test_each_side_stands_alone(build, spec):
    measured = [
        build.measurement(spec, FLAT),
        build.measurement(spec, FLAT, left={"C": [9, 9, 9, 9, 0, 0]}),
    ]
    both = (opened("c1"), opened("c1", Side.RIGHT))
    job = build.job(spec, measured[0], after=measured[1], loops=LOOPS, adjustments=both)

    entries = build.findings(job).ledger

    assert [e.verdict for e in entries] == [Verdict.PASS, Verdict.FAIL]


def test_what_the_whole_bench_shifted_is_taken_out(build, spec):
    """The second measuring reads 6 mm longer throughout."""
    after = {"A": 6, "B": 6, "C": [15, 15, 15, 15, 6, 6], "brake": 6}

    (entry,) = ledger(build, spec, [opened("c1")], after)

    assert entry.measured_mm == 9
    assert entry.verdict is Verdict.PASS


def test_when_every_line_was_adjusted_the_shift_comes_from_what_is_left_unexplained(build, spec):
    work = [
        Adjustment(f"{row}{n}", side, change_mm=5.0)
        for row in "ABC"
        for n in range(1, 7)
        for side in Side
    ]
    after = {"A": 8, "B": 8, "C": [8, 8, 8, 8, 8, -8], "brake": 0}

    entries = ledger(build, spec, work, after)

    assert {e.measured_mm for e in entries} == {5, -11}
    assert [e.line for e in entries if e.verdict is Verdict.FAIL] == ["C6", "C6"]


def test_main_and_middle_line_of_one_cascade_are_told_apart(build, spec):
    middle = Adjustment("cm1", Side.LEFT, change_mm=-6.0)
    after = FLAT | {"C": [3, 3, 9, 9, 0, 0]}

    main, upper = ledger(build, spec, [opened("c1"), middle], after)

    assert (main.expected_mm, main.measured_mm) == (9, 9)
    assert (upper.expected_mm, upper.measured_mm) == (-6, -6)
    assert main.verdict is upper.verdict is Verdict.PASS


def test_a_forgotten_middle_line_shows_at_the_middle_line(build, spec):
    middle = Adjustment("cm1", Side.LEFT, change_mm=-12.0)
    after = FLAT | {"C": [9, 9, 9, 9, 0, 0]}

    _, upper = ledger(build, spec, [opened("c1"), middle], after)

    assert upper.measured_mm == 0
    assert upper.verdict is Verdict.FAIL


def test_an_unknown_promise_leaves_the_line_open_but_measured(build, spec):
    odd = Adjustment("c1", Side.LEFT, "double loop", "bowline", "main maillon")
    after = FLAT | {"C": [7, 7, 7, 7, 0, 0]}

    (entry,) = ledger(build, spec, [odd], after)

    assert (entry.expected_mm, entry.measured_mm) == (None, 7)
    assert entry.verdict is Verdict.NOT_ASSESSED


def test_an_unknown_promise_below_keeps_the_line_above_it_open(build, spec):
    odd = Adjustment("c1", Side.LEFT, "double loop", "bowline", "main maillon")
    middle = Adjustment("cm1", Side.LEFT, change_mm=-6.0)
    after = FLAT | {"C": [1, 1, 7, 7, 0, 0]}

    main, upper = ledger(build, spec, [odd, middle], after)

    assert main.measured_mm == 7
    assert (upper.measured_mm, upper.points) == (None, 0)
    assert upper.verdict is Verdict.NOT_ASSESSED


def test_the_main_brake_line_is_read_at_its_fan(build, spec):
    work = [Adjustment("brake_main", side, change_mm=-20.0) for side in Side]

    entries = ledger(build, spec, work, FLAT | {"brake": [-21, -20, -19, -20]})

    assert [(e.measured_mm, e.points) for e in entries] == [(-20, 4), (-20, 4)]
    assert {e.verdict for e in entries} == {Verdict.PASS}


def test_a_main_brake_line_measured_without_its_fan_speaks_for_itself(build, spec):
    rows = {"A": 0, "B": 0, "C": 0}
    work = [Adjustment("brake_main", Side.LEFT, change_mm=-20.0)]

    (entry,) = ledger(
        build, spec, work, rows | {"brake_main": -19}, before=rows | {"brake_main": 0}
    )

    assert (entry.measured_mm, entry.points, entry.verdict) == (-19, 1, Verdict.PASS)


@pytest.mark.parametrize(
    ("fan", "main", "alone"),
    [(0, -20, True), (0, -1, False), (-9, -20, True), (0, None, False)],
    ids=["fan as before", "nothing done", "fan half", "main not measured"],
)
def test_a_main_brake_line_that_moved_below_a_fan_that_did_not_is_told_apart(
    build, spec, fan, main, alone
):
    own = [{} if main is None else {"brake_main": mm} for mm in (0, main)]
    before, after = (build.measurement(spec, FLAT | x) for x in (own[0], own[1] | {"brake": fan}))
    work = (Adjustment("brake_main", Side.LEFT, change_mm=-20.0),)

    left = [doubt for doubt in build.findings(
        build.job(spec, before, after=after, adjustments=work)
    ).doubts if doubt.kind is DoubtKind.MOVED_UNLIKE]  # fmt: skip

    assert [(d.name, d.expected, d.found, d.other) for d in left] == [
        ("adjustments.brake_main.left", -20, fan, "brake_main" if alone else "")
    ]


def test_points_not_measured_twice_do_not_count(build, spec):
    after = FLAT | {"C": [None, None, 9, None, 0, 0]}

    (entry,) = ledger(build, spec, [opened("c1")], after)

    assert (entry.points, entry.measured_mm) == (1, 9)
    assert entry.limit_mm == pytest.approx(4 * math.sqrt(2) * 1.5)


def test_without_an_after_measurement_promises_stand_alone(build, spec):
    job = build.job(spec, build.measurement(spec, FLAT), loops=LOOPS, adjustments=(opened("c1"),))

    (entry,) = build.findings(job).ledger

    assert (entry.expected_mm, entry.measured_mm, entry.limit_mm) == (9, None, None)
    assert entry.points == 0
    assert entry.verdict is Verdict.NOT_ASSESSED


def test_another_load_leaves_everything_open(build, spec):
    after = build.measurement(spec, FLAT | {"C": [9, 9, 9, 9, 0, 0]}, tension_n=80.0)
    job = build.job(
        spec,
        build.measurement(spec, FLAT),
        after=after,
        loops=LOOPS,
        adjustments=(opened("c1"),),
    )

    (entry,) = build.findings(job).ledger

    assert entry.measured_mm == 9
    assert entry.verdict is Verdict.NOT_ASSESSED


@pytest.mark.parametrize(
    ("u", "count", "limit"), [(2.0, 4, 5.657), (2.0, 1, 11.314), (1.0, 4, 3.5), (1.5, 9, 3.5)]
)
def test_the_limit_narrows_with_more_points_but_never_below_3_5_mm(u, count, limit):
    """max(3.5, 4·√2·u/√n): four standard uncertainties of a mean of differences, JCGM 100 4.2.3."""
    assert moved_together([9.0] * count, u, 3.5) == (9.0, pytest.approx(limit, abs=5e-4))


def test_lines_that_agree_count_by_their_mean_and_others_by_their_median():
    u = 4 * math.sqrt(2) * 1.5  # how far readings with u = 1.5 mm may lie apart

    assert moved_together([8.0, 9.0, 13.0], 1.5, 0.0) == (10.0, pytest.approx(u / math.sqrt(3)))
    assert moved_together([8.0, 9.0, 30.0], 1.5, 0.0) == (
        9.0,
        pytest.approx(1.25 * u / math.sqrt(3)),
    )


def test_a_stated_uncertainty_sets_the_limit(build, spec):
    after = FLAT | {"C": [9, 9, 9, 9, 0, 0]}

    (coarse,) = ledger(build, spec, [opened("c1")], after, uncertainty_mm=2.0)
    (usual,) = ledger(build, spec, [opened("c1")], after)

    assert coarse.limit_mm == pytest.approx(4 * math.sqrt(2) * 2.0 / 2)
    assert usual.limit_mm == pytest.approx(4 * math.sqrt(2) * 1.5 / 2)


def test_no_adjustments_no_ledger(build, spec):
    assert ledger(build, spec, [], FLAT) == ()
