"""The table of origins is complete: nothing moves a finding that does not name it."""

import datetime as dt
import functools
from dataclasses import replace
from itertools import zip_longest

import pytest
from made_up_wings import Wanted, make
from wing_w import every_line, measured, study_job, wing_w

from trimscribe.model.decision import Acceptance, DecisionRule
from trimscribe.model.job import (
    Adjustment,
    Condition,
    InspectionItem,
    OffsetMethod,
    Porosity,
    PorosityReading,
    PorosityUnit,
    Replacement,
    StrengthTest,
    TearReading,
    TearTest,
)
from trimscribe.model.origins import ORIGINS, origin_of
from trimscribe.model.plain import to_plain
from trimscribe.model.thresholds import NAMES, Thresholds
from trimscribe.model.wing import Point, RiserLengths, Side, StrengthRule, Tolerances

GUARDED = DecisionRule(Acceptance.GUARDED, 1.0)


@pytest.fixture(scope="module")
def job():
    """A job with a bit of everything."""
    made = make(11, Wanted(rows=3, points=9, per_group=4, group_mm=6.0)).job
    spec = replace(
        made.specification,
        risers={"A": RiserLengths(520, 385)},
        strength_rules=(StrengthRule(("A",), 8.0, 12),),
        trailing_edge_m=2.6,
    )
    risers = {(Side.LEFT, "A"): RiserLengths(524, 386), (Side.RIGHT, "A"): RiserLengths(519, 380)}
    lengths = {k: mm + 60 * (k[0] is Side.LEFT and str(k[1]) == "B4")
               for k, mm in made.before.lengths_mm.items()}  # fmt: skip
    new = {k: mm + 16 * (k[0] is Side.LEFT and str(k[1]) == "A3")
           for k, mm in made.after.lengths_mm.items()}  # fmt: skip
    return replace(
        made,
        specification=spec,
        wing=replace(made.wing, weight_max_kg=100.0),
        before=replace(made.before, risers=risers, lengths_mm=lengths),
        after=replace(
            made.after, risers=risers, free_travel_mm={Side.LEFT: 60.0}, lengths_mm=new
        ),
        tolerances=Tolerances(8.0, {"brake": 25.0}, 3.0, 9.0),
        decision_rule=GUARDED,
        adjustments=made.adjustments[1:],
        porosity=Porosity(PorosityUnit.SECONDS, (PorosityReading("x", 22.0),), limit=20.0,
                          uncertainty=3.0),
        tear=TearTest((TearReading("x", 4.0),), limit_mm=5.0, uncertainty_mm=2.0),
        strength=(StrengthTest("A2", 670.0, True, uncertainty_n=10.0),),
        inspection=(InspectionItem("seams", Condition.GOOD),),
    )  # fmt: skip


@functools.cache
def partly_measured():
    """A wing of which only what was changed was measured again, and not all of it the first time.

    Its rear main lines were let out; controls of one day tie both measurings.
    """
    wing = wing_w(trailing_edge_m=2.4)
    work = tuple(Adjustment(f"c{n}", side, change_mm=9.0) for side in Side for n in (1, 2))
    moved = {(side, Point("C", n)) for side in Side for n in range(1, 7)}
    ties = {(side, Point(row, n)) for side in Side for row in "AB" for n in (2, 7)}
    unknown = {(Side.LEFT, Point("A", 11)), (Side.RIGHT, Point("B", 12))}
    gone = [key for key in every_line(wing) if key not in moved | ties]
    before, after = (
        replace(
            measured(wing, lambda s, p, by=by: p.number - 14.0 + by * ((s, p) in moved), missing),
            date=dt.date(2026, 1, 1),
        )
        for by, missing in ((0.0, unknown), (9.0, gone))
    )
    return study_job(wing, before, after, adjustments=work, decision_rule=GUARDED)


@pytest.fixture(scope="module", params=["whole", "partly"])
def either(request, job):
    """The job with a bit of everything, and one with gaps."""
    return job if request.param == "whole" else partly_measured()


def leaves(value, at=""):
    """Every number and word with its path."""
    if isinstance(value, dict):
        for key, below in value.items():
            yield from leaves(below, f"{at}.{key}".lstrip("."))
    elif isinstance(value, list):
        for n, below in enumerate(value):
            yield from leaves(below, f"{at}.{n}")
    else:
        yield at, value


def differing(one, two, at=""):
    """The paths of all leaves that differ; what is nothing or not there is the same."""
    if one == two:
        return
    if isinstance(one, dict) and isinstance(two, dict):
        pairs = [(key, one.get(key), two.get(key)) for key in one.keys() | two.keys()]
    elif isinstance(one, list) and isinstance(two, list):
        pairs = [(n, *pair) for n, pair in enumerate(zip_longest(one, two))]
    else:
        yield from (path for side in (one, two) for path, value in leaves(side, at)
                    if value is not None)  # fmt: skip
        return
    for key, mine, others in pairs:
        yield from differing(mine, others, f"{at}.{key}".lstrip("."))


def found(build, job, known={}):  # noqa: B006 -- kept: many tests change the same job
    """The findings of a job as plain data."""
    if id(job) not in known:
        known[id(job)] = job, to_plain(build.findings(job))
    return known[id(job)][1]


def moved(build, job, other):
    """The parts of the findings that differ between two jobs."""
    return {
        origin_of(path).part
        for path in differing(found(build, job), to_plain(build.findings(other)))
    }


def test_every_finding_has_an_origin(build, job):
    paths = [path for path, _ in leaves(found(build, job))]

    assert len(paths) > 1000
    assert [path for path in paths if origin_of(path) is None and path != "extra"] == []


@pytest.mark.parametrize("name", NAMES)
def test_a_threshold_moves_only_findings_that_name_it(build, either, name):
    value = getattr(Thresholds(), name) * 0.3
    parts = moved(build, either, replace(either, thresholds={name: value}))

    naming = {origin.part for origin in ORIGINS if name in origin.thresholds}
    assert parts <= naming
    assert naming, f"{name} is named by no finding"


def lengthened(measurement, mm=6.0):
    lengths = {
        k: v + mm * (k[1].group == "C" and k[0] is Side.LEFT)
        for k, v in measurement.lengths_mm.items()
    }
    return replace(measurement, lengths_mm=lengths)


CHANGES = {
    "before.left": lambda j: replace(j, before=lengthened(j.before)),
    "after.left": lambda j: replace(j, after=lengthened(j.after)),
    "before.tension_n": lambda j: replace(j, before=replace(j.before, tension_n=90.0)),
    "after.uncertainty_mm": lambda j: replace(j, after=replace(j.after, uncertainty_mm=3.0)),
    "before.uncertainty_mm": lambda j: replace(j, before=replace(j.before, uncertainty_mm=3.0)),
    "before.risers": lambda j: replace(j, before=replace(j.before, risers={})),
    "after.free_travel_mm": lambda j: replace(j, after=replace(j.after, free_travel_mm={})),
    "common_offset": lambda j: replace(j, offset_method=OffsetMethod.MEDIAN),
    "tolerances": lambda j: replace(j, tolerances=Tolerances(5.0, {"brake": 9.0}, 1.0, 3.0)),
    "decision_rule": lambda j: replace(j, decision_rule=DecisionRule()),
    "wing.trim_speed_km_h": lambda j: replace(j, wing=replace(j.wing, trim_speed_km_h=40.0)),
    "wing.weight_max_kg": lambda j: replace(j, wing=replace(j.wing, weight_max_kg=130.0)),
    "adjustments": lambda j: replace(j, adjustments=j.adjustments[1:]),
    "replacements": lambda j: replace(j, replacements=(Replacement("riser A", Side.LEFT, "cut"),)),
    "before.repeat_mm": lambda j: replace(j, before=replace(j.before, repeat_mm=3.0)),
    "after.repeat_mm": lambda j: replace(j, after=replace(j.after, repeat_mm=3.0)),
    "after.risers": lambda j: replace(j, after=replace(j.after, risers={})),
    "specification.includes_risers": lambda j: _spec(j, includes_risers=True),
    "confirmed": lambda j: replace(j, confirmed={"before.left.B4": "yes"}),
    "cloth.porosity": lambda j: replace(j, porosity=replace(j.porosity, limit=30.0)),
    "cloth.tear": lambda j: replace(j, tear=replace(j.tear, limit_mm=3.0)),
    "strength": lambda j: replace(j, strength=()),
    "inspection": lambda j: replace(j, inspection=(InspectionItem("x", Condition.DAMAGED),)),
    "specification.tension_n": lambda j: _spec(j, tension_n=90.0),
    "specification.rounding_mm": lambda j: _spec(j, rounding_mm=5.0),
    "specification.lean_deg": lambda j: _spec(j, lean_deg=20.0),
    "specification.risers": lambda j: _spec(j, risers={"A": RiserLengths(500, 380)}),
    "specification.strength_rules": lambda j: _spec(j, strength_rules=()),
    "specification.cascade": lambda j: _spec(j, cascade=()),
    "specification.brake": lambda j: _spec(j, trailing_edge_m=3.0, brake_free_travel_mm=20.0),
    "specification.rows": lambda j: _spec(j, groups=tuple(
        replace(g, lengths_mm=(g.lengths_mm[0] + 7, *g.lengths_mm[1:]))
        for g in j.specification.groups)),
}  # fmt: skip


def _after(job, **changes):
    return replace(job, after=replace(job.after, **changes))


PARTLY = {
    "before.left": lambda j: replace(j, before=lengthened(j.before)),
    "after.left": lambda j: replace(j, after=lengthened(j.after)),
    "before.repeat_mm": lambda j: replace(j, before=replace(j.before, repeat_mm=3.0)),
    "before.uncertainty_mm": lambda j: replace(j, before=replace(j.before, uncertainty_mm=3.0)),
    "before.method": lambda j: replace(j, before=replace(j.before, method="laser")),
    "after.method": lambda j: _after(j, method="laser"),
    "after.instrument": lambda j: _after(j, instrument="T-2"),
    "after.control_lines": lambda j: _after(
        j, controls=frozenset({(side, Point("A", 2)) for side in Side})
    ),
    "after.repeat_mm": lambda j: _after(j, repeat_mm=3.0),
    "adjustments": lambda j: replace(j, adjustments=j.adjustments[1:]),
    "replacements": lambda j: replace(j, replacements=(Replacement("line A4", None, "cut"),)),
    "common_offset": lambda j: replace(j, offset_method=OffsetMethod.MEDIAN),
    "specification.cascade": lambda j: _spec(j, cascade=j.specification.cascade[4:]),
    "specification.includes_risers": lambda j: _spec(j, includes_risers=False),
}


@functools.cache
def without_controls():
    """All but the adjusted lines were left out: the day alone ties both measurings."""
    job = partly_measured()
    lengths = {key: mm for key, mm in job.after.lengths_mm.items() if key[1].group == "C"}
    return _after(job, lengths_mm=lengths)


SESSION = {
    "after.session_mm": lambda j: _after(j, session_mm=2.0),
    "after.date": lambda j: _after(j, date=dt.date(2026, 1, 2)),
}


def _spec(job, **changes):
    return replace(job, specification=replace(job.specification, **changes))


@pytest.mark.parametrize("name", CHANGES)
def test_a_value_of_the_job_moves_only_findings_that_name_it(build, job, name):
    check_names(build, job, name, CHANGES[name])


@pytest.mark.parametrize("name", PARTLY)
def test_a_value_moves_what_was_carried_over_only_where_it_is_named(build, name):
    check_names(build, partly_measured(), name, PARTLY[name])


@pytest.mark.parametrize("name", SESSION)
def test_a_session_moves_only_findings_that_name_it(build, name):
    check_names(build, without_controls(), name, SESSION[name])


@pytest.mark.parametrize("name", ["u_session_mm", "u_session_shift_mm"])
def test_a_sessions_threshold_moves_only_findings_that_name_it(build, name):
    job = without_controls()
    parts = moved(build, job, replace(job, thresholds={name: 4.0}))

    assert parts
    assert parts <= {origin.part for origin in ORIGINS if name in origin.thresholds}


def test_brakes_that_share_the_offset_name_it(build, job):
    shared = _spec(job, brakes_share_offset=True)

    check_names(build, job, "specification.brake.shares_offset", lambda _: shared)
    check_names(
        build, shared, "common_offset", lambda j: replace(j, offset_method=OffsetMethod.NONE)
    )
    for name in ("u_row_mm", "structure_row_mm"):
        parts = moved(build, shared, replace(shared, thresholds={name: 3.0}))
        assert parts <= {origin.part for origin in ORIGINS if name in origin.thresholds}


def check_names(build, job, name, changed):
    """Something moves, and nothing that does not name what was changed."""
    parts = moved(build, job, changed(job))

    def names(origin):
        return any(name == path or name.startswith(f"{path}.") for path in origin.inputs)

    assert parts
    assert parts <= {origin.part for origin in ORIGINS if names(origin)}
