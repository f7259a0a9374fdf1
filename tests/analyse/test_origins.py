"""The table of origins is complete: nothing moves a finding that does not name it."""

from dataclasses import replace

import pytest
from made_up_wings import Wanted, make

from trimscribe.model.checks import PorosityUnit
from trimscribe.model.decision import Acceptance, DecisionRule
from trimscribe.model.job import (
    Condition,
    InspectionItem,
    OffsetMethod,
    Porosity,
    PorosityReading,
    Replacement,
    StrengthTest,
    TearReading,
    TearTest,
)
from trimscribe.model.origins import ORIGINS, origin_of
from trimscribe.model.plain import to_plain
from trimscribe.model.thresholds import NAMES, Thresholds
from trimscribe.model.wing import RiserLengths, Side, StrengthRule, Tolerances

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


def moved(build, job, other):
    """The parts of the findings that differ between two jobs."""
    one, two = (dict(leaves(to_plain(build.findings(j)))) for j in (job, other))
    return {origin_of(path).part for path in one.keys() | two.keys()
            if one.get(path) != two.get(path)}  # fmt: skip


def test_every_finding_has_an_origin(build, job):
    paths = [path for path, _ in leaves(to_plain(build.findings(job)))]

    assert len(paths) > 1000
    assert [path for path in paths if origin_of(path) is None and path != "extra"] == []


@pytest.mark.parametrize("factor", [0.3, 1.7])
@pytest.mark.parametrize("name", NAMES)
def test_a_threshold_moves_only_findings_that_name_it(build, job, name, factor):
    value = getattr(Thresholds(), name) * factor
    parts = moved(build, job, replace(job, thresholds={name: value}))

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
    "replacements": lambda j: replace(j, replacements=(Replacement("line A3", Side.LEFT, "cut"),)),
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


def _spec(job, **changes):
    return replace(job, specification=replace(job.specification, **changes))


@pytest.mark.parametrize("name", CHANGES)
def test_a_value_of_the_job_moves_only_findings_that_name_it(build, job, name):
    parts = moved(build, job, CHANGES[name](job))

    def names(origin):
        return any(name == path or name.startswith(f"{path}.") for path in origin.inputs)

    assert parts
    assert parts <= {origin.part for origin in ORIGINS if names(origin)}
