"""Cloth, line strength, risers and inspection against their own limits."""

from dataclasses import replace

import pytest

from trimscribe.model.findings import Verdict, WhyNot
from trimscribe.model.job import (
    Condition,
    InspectionItem,
    Porosity,
    PorosityReading,
    PorosityUnit,
    StrengthTest,
    TearReading,
    TearTest,
)
from trimscribe.model.wing import RiserLengths, Side, Tolerances

P, F, N = Verdict.PASS, Verdict.FAIL, Verdict.NOT_ASSESSED


def porosity(unit, *values, limit=None, **more):
    readings = tuple(PorosityReading(f"place {n}", v) for n, v in enumerate(values))
    return Porosity(unit, readings, limit=limit, **more)


def tear(*values, limit=None):
    readings = tuple(TearReading(f"place {n}", v) for n, v in enumerate(values))
    return TearTest(readings, limit_mm=limit)


def test_more_seconds_are_better(build):
    test = porosity(PorosityUnit.SECONDS, 20, 19.9, 300, limit=20)

    found = build.findings(build.job(None, porosity=test)).porosity

    assert [r.verdict for r in found.readings] == [P, F, P]
    assert (found.worst.place, found.worst.value, found.verdict) == ("place 1", 19.9, F)


def test_less_flow_is_better(build):
    test = porosity(PorosityUnit.FLOW, 300, 300.5, 40, limit=300)

    found = build.findings(build.job(None, porosity=test)).porosity

    assert [r.verdict for r in found.readings] == [P, F, P]
    assert (found.worst.value, found.verdict) == (300.5, F)
    assert found.mean == found.mean_flow_l_m2_min == pytest.approx(213.5)


def test_without_a_limit_porosity_is_not_assessed(build):
    test = porosity(PorosityUnit.SECONDS, 96, 81)

    found = build.findings(build.job(None, porosity=test))

    assert found.porosity.verdict is N
    assert found.porosity.worst.value == 81
    assert found.cloth_verdict is N


def test_seconds_become_flow_only_when_the_meter_is_known(build):
    known = porosity(PorosityUnit.SECONDS, 30, 30, volume_l=0.40, area_cm2=50.0)
    unknown = porosity(PorosityUnit.SECONDS, 30, 30, volume_l=0.40)

    flows = [
        build.findings(build.job(None, porosity=p)).porosity.mean_flow_l_m2_min
        for p in (known, unknown)
    ]

    assert flows == [pytest.approx(160.0, abs=0.005), None]


def test_a_tear_up_to_its_limit_passes(build):
    found = build.findings(build.job(None, tear=tear(0, 5, 1, limit=5))).tear
    worse = build.findings(build.job(None, tear=tear(0, 5.1, 1, limit=5))).tear

    assert (found.verdict, found.worst.value) == (P, 5)
    assert (worse.verdict, worse.worst.place) == (F, "place 1")


@pytest.mark.parametrize(
    ("seconds", "limit", "torn", "cloth"),
    [
        (90, 20, 1, P),
        (9, 20, 1, F),
        (90, 20, 9, F),
        (90, None, 1, N),  # measured without a limit: the pass of the other test is not enough
        (9, None, 9, F),
    ],
)
def test_the_cloth_is_as_good_as_its_worse_test(build, seconds, limit, torn, cloth):
    job = build.job(
        None,
        porosity=porosity(PorosityUnit.SECONDS, seconds, limit=limit),
        tear=tear(torn, limit=5),
    )

    assert build.findings(job).cloth_verdict is cloth


def test_a_test_that_was_not_made_does_not_hide_the_other(build):
    only = build.findings(build.job(None, tear=tear(1, limit=5)))

    assert only.porosity is None
    assert only.cloth_verdict is P


def test_cloth_without_readings_is_not_assessed(build):
    job = build.job(None, porosity=porosity(PorosityUnit.SECONDS, limit=20), tear=tear(limit=5))

    found = build.findings(job)

    assert (found.porosity, found.tear, found.cloth_verdict) == (None, None, N)


@pytest.mark.parametrize(
    ("load", "broke", "required", "verdict", "why", "margin"),
    [
        (900, False, 867, P, WhyNot.ASSESSED, 33),
        (900, True, 867, P, WhyNot.ASSESSED, 33),
        (867, True, 867, P, WhyNot.ASSESSED, 0),
        (800, True, 867, F, WhyNot.ASSESSED, -67),
        (800, False, 867, N, WhyNot.ENDED_EARLY, -67),
        (800, True, None, N, WhyNot.NO_LIMIT, None),
    ],
)
def test_a_line_pull(build, load, broke, required, verdict, why, margin):
    test = StrengthTest("A4", load, broke, required)

    found = build.findings(build.job(None, strength=(test,)))

    (pull,) = found.strength
    assert (pull.test, pull.verdict, pull.why_not, pull.margin_n) == (test, verdict, why, margin)
    assert found.strength_verdict is verdict


def test_one_pull_ended_early_keeps_the_strength_open(build):
    pulls = (StrengthTest("A4", 900, False, 867), StrengthTest("B2", 500, False, 867))

    assert build.findings(build.job(None, strength=pulls)).strength_verdict is N


def test_a_grip_that_slipped_says_nothing_of_a_line_that_held_in_another_pull(build):
    slipped, held = StrengthTest("A4", 500, False, 867), StrengthTest("A4", 900, False, 867)

    for pulls in ((slipped, held), (held, slipped)):
        found = build.findings(build.job(None, strength=pulls))
        assert found.strength_verdict is P
        assert WhyNot.ENDED_EARLY in {pull.why_not for pull in found.strength}
    other = replace(held, side=Side.LEFT)
    assert build.findings(build.job(None, strength=(slipped, other))).strength_verdict is N


def test_one_broken_line_fails_the_strength(build):
    pulls = (StrengthTest("A4", 500, False, 867), StrengthTest("B2", 500, True, 867))

    assert build.findings(build.job(None, strength=pulls)).strength_verdict is F


def test_no_pull_no_verdict(build):
    assert build.findings(build.job(None)).strength_verdict is N


@pytest.mark.parametrize(
    ("conditions", "verdict", "defects"),
    [
        ("good good", P, 0),
        ("good repaired", P, 0),
        ("good worn", Verdict.CONDITIONAL_PASS, 1),
        ("worn damaged good", F, 2),
        ("good not_checked", P, 0),
        ("not_checked not_checked", N, 0),
        ("", N, 0),
    ],
)
def test_the_inspection_is_as_good_as_its_worst_part(build, conditions, verdict, defects):
    items = tuple(
        InspectionItem(f"part {n}", Condition[name.upper()])
        for n, name in enumerate(conditions.split())
    )

    found = build.findings(build.job(None, inspection=items))

    assert found.inspection_verdict is verdict
    assert len(found.defects) == defects
    assert {d.condition for d in found.defects} <= {Condition.WORN, Condition.DAMAGED}


@pytest.fixture
def risers(build):
    def run(measured, riser_mm=5.0):
        spec = build.specification(
            build.three_rows,
            risers={"A": RiserLengths(520, 385), "C": RiserLengths(520, None)},
            tolerances=Tolerances(riser_mm=riser_mm),
        )
        before = build.measurement(spec, risers=measured)
        return build.findings(build.job(spec, before)).before

    return run


def test_risers_are_judged_at_trim_and_accelerated(risers):
    state = risers(
        {
            (Side.LEFT, "A"): RiserLengths(521, 386),
            (Side.RIGHT, "A"): RiserLengths(520, 391),
            (Side.LEFT, "C"): RiserLengths(515, 520),
        }
    )

    found = {(r.side, r.name): r for r in state.risers}
    assert [(s.value, n) for s, n in found] == [
        ("left", "A"),
        ("left", "C"),
        ("right", "A"),
        ("right", "C"),
    ]
    assert (found[Side.LEFT, "A"].trim_mm, found[Side.LEFT, "A"].accelerated_mm) == (1, 1)
    assert found[Side.LEFT, "A"].verdict is P
    assert found[Side.RIGHT, "A"].verdict is F
    assert (found[Side.LEFT, "C"].trim_mm, found[Side.LEFT, "C"].accelerated_mm) == (-5, None)
    assert found[Side.LEFT, "C"].verdict is P
    assert found[Side.RIGHT, "C"].verdict is N
    assert state.riser_verdict is F


def test_risers_that_the_specification_lacks_are_shown_as_not_assessed(risers):
    state = risers({(Side.LEFT, "D"): RiserLengths(500)})

    extra = next(r for r in state.risers if (r.side, r.name) == (Side.LEFT, "D"))
    assert (extra.trim_mm, extra.verdict) == (None, N)
    assert state.riser_verdict is N


def test_risers_without_a_tolerance_or_not_measured_are_not_assessed(risers):
    assert risers({(Side.LEFT, "A"): RiserLengths(560)}, riser_mm=None).riser_verdict is N
    assert risers({}).risers == ()
    assert risers({}).riser_verdict is N
