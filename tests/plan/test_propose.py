"""What is proposed for made-up wings, and when nothing is."""

import random
from dataclasses import replace

import pytest
from worn_wings import LOOPS, job, specification, tied, worn

from trimscribe.errors import PlanError
from trimscribe.model.findings import WhyNot
from trimscribe.model.job import Job, OffsetMethod, TiedLoop
from trimscribe.model.plan import Plan, PlanKind, WhyNotMended
from trimscribe.model.wing import Point, RetrimLimits, Side, Tolerances, TrimRule
from trimscribe.plan import propose

SPEC = specification(3)
SMALL = specification(3, points=8)  # for the searches that would take longest
LEFT_C1 = (Side.LEFT, Point("C", 1))


def rear_short(mm: float = 16.0, rows: str = "C", spec=SPEC) -> dict[tuple[Side, Point], float]:
    return {
        (side, point): -mm
        for side in Side
        for g in spec.rows
        if g.name in rows
        for point in g.points
    }


def changes(plan: Plan, number: int = 0) -> list[tuple[str, Side, str, float]]:
    return [(c.line, c.side, c.loop_proposed, c.change_mm) for c in plan.proposals[number].changes]


def codes(one: Job, ask) -> list[str]:
    with pytest.raises(PlanError) as refused:
        propose(one, ask)
    return [fault.code for fault in refused.value.faults]


def test_a_short_rear_row_would_get_longer_on_both_sides(ask) -> None:
    rear_only = RetrimLimits(never=("a1", "a2", "a3", "b1", "b2", "b3", "s1"))
    plan = propose(job(replace(SPEC, retrim=rear_only), rear_short()), ask)

    first = plan.proposals[0]
    assert first.kind is PlanKind.FEWEST
    assert first.sides_alike
    assert first.proven
    assert plan.now.outside == 24
    assert first.outlook.outside == 0
    assert {(c.line, c.loop_proposed) for c in first.changes} == {
        (f"c{n}", "single loop") for n in (1, 2, 3)
    }
    assert all(c.change_mm == LOOPS["double loop"] - LOOPS["single loop"] for c in first.changes)
    assert first.outlook.pitch.value < plan.now.pitch.value
    assert plan.not_mendable == ()


@pytest.mark.parametrize("rows", [2, 3, 4, 5])
@pytest.mark.parametrize("offset", [OffsetMethod.MEAN, OffsetMethod.ROW])
@pytest.mark.slow
def test_wings_of_two_to_five_rows(rows: int, offset: OffsetMethod, ask) -> None:
    spec = specification(rows, points=8)
    last = spec.rows[-1].name
    plan = propose(job(spec, rear_short(rows=last, spec=spec), offset=offset), ask)

    assert plan.proposals[0].outlook.outside == 0
    assert plan.proposals[0].changes
    assert 1 <= len(plan.proposals) <= 4
    counts = [len(proposal.changes) for proposal in plan.proposals]
    assert counts == sorted(counts)


def test_without_a_common_offset_shrunken_lines_are_judged_as_they_are(ask) -> None:
    evenly = dict.fromkeys(worn(1, SPEC), -12.0)
    with_offset = propose(job(SPEC, evenly), ask)
    without = propose(job(SPEC, evenly, offset=OffsetMethod.NONE), ask)

    assert with_offset.proposals[0].changes == ()
    assert without.now.outside > 0
    assert without.proposals[0].outlook.outside == 0
    assert {c.change_mm for c in without.proposals[0].changes} == {9.0}


def test_a_wing_in_trim_needs_nothing(ask) -> None:
    plan = propose(job(SPEC, {}), ask)

    assert [p.kind for p in plan.proposals] == [PlanKind.FEWEST]
    assert plan.proposals[0].changes == ()
    assert plan.proposals[0].proven
    assert plan.now.outside == 0


@pytest.mark.slow
def test_a_crooked_side_is_mended_with_the_sides_apart(ask) -> None:
    whole = rear_short(22.0, spec=SMALL)
    crooked = {key: mm for key, mm in whole.items() if key[0] is Side.RIGHT}
    plan = propose(job(SMALL, crooked), ask)

    first = plan.proposals[0]
    assert first.kind is PlanKind.SIDES_FREE
    assert not first.sides_alike
    assert first.outlook.outside == 0
    assert abs(first.outlook.left_right.value) <= 0.2 + 1e-3
    done = {side: {(c.line, c.change_mm) for c in first.changes if c.side is side} for side in Side}
    assert done[Side.LEFT] != done[Side.RIGHT]


@pytest.mark.slow
def test_sides_stay_alike_where_unknown_risers_leave_their_angle_open(real, ask) -> None:
    spec = specification(3, points=8, risers=False)
    crooked = {key: mm for key, mm in rear_short(22.0, spec=spec).items() if key[0] is Side.RIGHT}
    one = job(spec, crooked)
    first = propose(one, ask).proposals[0]
    lengths = dict(one.before.lengths_mm)
    carried = {line.name: line.points for line in spec.cascade}
    for change in first.changes:
        for point in carried[change.line]:
            lengths[change.side, point] += change.change_mm
    planned = real(replace(one, before=replace(one.before, lengths_mm=lengths))).before.symmetry

    assert first.outlook.left_right.why_not is WhyNot.TOO_UNCERTAIN
    assert first.outlook.outside == 0
    assert max(abs(effect.value) for effect in planned.rows.values()) <= 2.5 + 1e-6
    assert abs(planned.all_lines.value) < 5.0


def test_own_limits_of_a_row_hold(ask) -> None:
    strict = specification(3, limits=Tolerances(default_mm=15.0, groups={"A": 8.0}))
    plan = propose(job(strict, rear_short(18.0)), ask)
    a_lines = [point for _, point in plan.proposals[0].outlook.outside_lines if point.group == "A"]

    assert a_lines == []
    assert plan.proposals[0].outlook.nearest.limit_mm in (8.0, 15.0)


def test_no_loop_left_at_the_rear_is_named_with_what_is_needed(ask) -> None:
    spec = specification(2, retrim=RetrimLimits(never=("a1", "a2", "a3")))
    short = rear_short(30.0, "B", spec)
    plan = propose(job(spec, short, loops=tied("single loop")), ask)

    left = [one for one in plan.not_mendable if one.why is WhyNotMended.NO_LOOP]
    assert plan.proposals[0].outlook.outside > 0
    assert {one.line for one in left} >= {"b1", "b2", "b3"}
    assert all(one.needs_mm > 0 for one in left if one.line.startswith("b"))


@pytest.mark.slow
def test_a_stretched_line_that_no_loop_mends_would_need_replacing(ask) -> None:
    spec = replace(SMALL, retrim=RetrimLimits(most_steps=1))
    plan = propose(job(spec, {(Side.LEFT, Point("B", 2)): 25.0}), ask)

    assert [(one.line, one.side, one.why, one.replace) for one in plan.not_mendable] == [
        ("b1", Side.LEFT, WhyNotMended.APART, Point("B", 2))
    ]
    assert plan.not_mendable[0].apart_mm == pytest.approx(25.0)
    assert set(plan.not_mendable[0].points) > {Point("B", 2)}


def test_lines_a_maker_forbids_and_further_steps_are_never_touched(ask) -> None:
    spec = specification(3, retrim=RetrimLimits(never=("c1",), most_steps=1))
    plan = propose(job(spec, rear_short()), ask)
    order = sorted(LOOPS, key=LOOPS.get)

    for proposal in plan.proposals:
        assert "c1" not in {c.line for c in proposal.changes}
        assert all(
            abs(order.index(c.loop_now) - order.index(c.loop_proposed)) <= 1
            for c in proposal.changes
        )


def test_only_loops_that_the_maker_allows_are_tied(ask) -> None:
    allowed = ("single loop", "pile hitch")
    plan = propose(job(specification(3, retrim=RetrimLimits(loops=allowed)), rear_short()), ask)

    assert {c.loop_proposed for p in plan.proposals for c in p.changes} <= set(allowed)
    assert [fault.code for fault in plan.warnings] == ["plan-loop-not-allowed"]


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.slow
def test_no_proposal_makes_the_wing_faster_than_specified(seed: int, ask) -> None:
    front_short = {key: -0.5 * mm for key, mm in worn(seed, SMALL).items()}
    plan = propose(job(SMALL, front_short), ask)
    for proposal in plan.proposals:
        assert proposal.outlook.pitch.value >= -0.121
        assert proposal.outlook.effective.value >= -0.123


def test_a_wing_that_only_gets_faster_has_no_plan(ask) -> None:
    never = tuple(line.name for line in SPEC.cascade if line.name != "s1")
    front = rear_short(20.0, "A")
    one = job(replace(SPEC, retrim=RetrimLimits(never=never)), front)

    assert codes(one, ask) == ["plan-only-faster"]


def test_a_rule_of_the_maker_is_kept(ask) -> None:
    rule = TrimRule(
        "front to rear", tuple(Point("A", n) for n in range(1, 5)),
        tuple(Point("C", n) for n in range(1, 5)), within_mm=4.0,
    )  # fmt: skip
    wide = Tolerances(default_mm=20.0)
    without = propose(job(specification(3, limits=wide), rear_short(9.0)), ask)
    plan = propose(job(specification(3, limits=wide, rules=[rule]), rear_short(9.0)), ask)

    assert [value.value_mm for value in plan.now.rules] == [pytest.approx(9.0)] * 2
    assert all(abs(v.value_mm) <= 4.0 + 1e-6 for v in plan.proposals[0].outlook.rules)
    assert len(plan.proposals[0].changes) >= len(without.proposals[0].changes)


@pytest.mark.slow
def test_brakes_come_last_and_never_fall_under_the_minimum(ask) -> None:
    plan = propose(job(SMALL, rear_short(spec=SMALL), free_travel_mm=95.0), ask)

    brakes = plan.proposals[0].brakes
    assert [b.side for b in brakes] == [Side.LEFT, Side.RIGHT]
    for brake in brakes:
        assert brake.measured
        assert brake.now_mm == 95.0
        assert brake.after_rows_mm < brake.now_mm - 5.0  # the rows move the line set behind them
        assert brake.then_mm == pytest.approx(brake.after_rows_mm + brake.change_mm)
        assert brake.then_mm >= 70.0 >= 50.0 + 2 * brake.u_mm
    low = replace(SMALL, brake_free_travel_mm=52.0)
    plan = propose(job(low, rear_short(spec=low), free_travel_mm=40.0), ask)
    for brake in plan.proposals[0].brakes:
        assert brake.then_mm >= 50.0 + 2 * brake.u_mm


def test_the_estimate_of_lines_outside_again_is_zero_far_within_and_all_far_outside(ask) -> None:
    wide = specification(3, limits=Tolerances(default_mm=15.0))  # more than five times a line's u
    fine = propose(job(wide, {}), ask).now
    far = propose(job(SPEC, dict.fromkeys(worn(1, SPEC), -60.0), offset=OffsetMethod.NONE), ask)

    assert fine.again_outside < 0.01
    assert far.now.again_outside == pytest.approx(far.now.judged, abs=0.5)


# What is refused


def test_lengths_at_another_load_are_refused(ask) -> None:
    assert codes(job(SPEC, rear_short(), tension_n=100.0), ask) == ["plan-other-load"]


@pytest.mark.slow
def test_unconfirmed_doubts_are_refused_and_confirmed_ones_are_not(real) -> None:
    odd = rear_short(spec=SMALL)
    odd[LEFT_C1] = -116.0
    one = job(SMALL, odd)
    one = replace(one, before=replace(one.before, calculated=False))
    assert "plan-doubts" in codes(one, real)
    names = [doubt.name for doubt in real(one).doubts]
    confirmed = replace(one, confirmed=dict.fromkeys(names, "measured twice"))

    assert propose(confirmed, real).proposals


def test_loops_that_nobody_stated_are_refused(ask) -> None:
    one = job(SPEC, rear_short())
    bare = replace(one, before=replace(one.before, tied=None))
    some = replace(one.before.tied, default={}, lines={(Side.LEFT, "c1"): TiedLoop("single loop")})

    assert codes(bare, ask) == ["plan-loops-not-stated"]
    assert codes(replace(one, before=replace(one.before, tied=some)), ask) == [
        "plan-loops-not-stated"
    ]


def test_a_job_without_lengths_or_cascade_is_refused(ask) -> None:
    assert codes(replace(job(SPEC, {}), before=None), ask) == ["plan-no-lengths"]
    assert codes(job(replace(SPEC, cascade=()), {}), ask) == ["plan-no-cascade"]


def test_all_that_a_job_lacks_for_a_plan_is_told_at_once(ask) -> None:
    bare = replace(SPEC, cascade=(), groups=tuple(replace(g, chord_m=()) for g in SPEC.groups))
    one = job(bare, {})

    assert codes(replace(one, before=replace(one.before, tied=None)), ask) == [
        "plan-no-cascade",
        "plan-angle-unknown",
        "plan-loops-not-stated",
    ]


def test_a_wing_that_was_measured_only_after_its_work_needs_a_job_of_its_own(ask) -> None:
    measured = job(SPEC, rear_short())
    only_after = replace(measured, before=None, after=measured.before)
    with pytest.raises(PlanError) as refused:
        propose(only_after, ask)

    (fault,) = refused.value.faults
    assert fault.code == "plan-no-lengths"
    assert fault.hint.startswith("For a retrim after this work start a new job: as `before`")


def test_a_maker_who_forbids_every_line_leaves_nothing_to_plan(ask) -> None:
    never = tuple(line.name for line in SPEC.cascade)
    one = job(replace(SPEC, retrim=RetrimLimits(never=never)), rear_short())

    assert codes(one, ask) == ["plan-no-line"]


@pytest.mark.parametrize(
    "lost",
    [
        lambda side, point: point.group == "B",
        lambda side, point: side is Side.RIGHT,
        lambda side, point: point.group == "C" and point.number > 5 and side is Side.LEFT,
        lambda side, point: point.group == "A" and point.number <= 4,
    ],
    ids=["a row", "a side", "more than half of a row on one side", "a main line"],
)
def test_fewer_lines_than_an_honest_common_offset_needs_are_refused(lost, ask) -> None:
    one = job(SPEC, rear_short())
    lengths = {key: mm for key, mm in one.before.lengths_mm.items() if not lost(*key)}
    one = replace(one, before=replace(one.before, lengths_mm=lengths))

    assert "plan-too-few-lines" in codes(one, ask)


def test_a_limit_too_narrow_for_the_common_offset_is_refused(ask) -> None:
    narrow = specification(3, limits=Tolerances(default_mm=4.0))

    assert codes(job(narrow, rear_short()), ask) == ["plan-too-few-lines"]


def test_two_points_of_three_are_enough(ask) -> None:
    one = job(SPEC, rear_short())
    lengths = {key: mm for key, mm in one.before.lengths_mm.items() if key[1].number % 3}
    one = replace(one, before=replace(one.before, lengths_mm=lengths))

    assert propose(one, ask).proposals[0].outlook.outside == 0


def test_without_chord_positions_no_plan_could_be_known_not_to_be_faster(ask) -> None:
    groups = tuple(replace(group, chord_m=()) for group in SPEC.groups)

    assert codes(job(replace(SPEC, groups=groups), rear_short()), ask) == ["plan-angle-unknown"]


# The same in any order


@pytest.mark.parametrize("seed", [12, 16, 20, 21])  # together they have every kind of proposal
@pytest.mark.slow
def test_the_plan_does_not_depend_on_the_order_of_what_is_read(seed: int, ask) -> None:
    spec = specification(2, points=8)
    one = job(spec, worn(seed, spec, crooked=8.0 * (seed % 2)))
    plan = propose(one, ask)
    draw = random.Random(seed)

    def mixed(items):
        return draw.sample(list(items), len(items))

    before = one.before
    other = replace(
        one,
        specification=replace(spec, cascade=tuple(mixed(spec.cascade))),
        before=replace(
            before,
            lengths_mm=dict(mixed(before.lengths_mm.items())),
            tied=replace(before.tied, default=dict(mixed(before.tied.default.items()))),
        ),
        loops=replace(one.loops, take_up_mm={"main maillon": dict(mixed(LOOPS.items()))}),
    )

    assert propose(other, ask) == plan
