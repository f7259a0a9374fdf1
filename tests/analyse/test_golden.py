"""The findings of one small job, whole, as they go to the stages behind."""

import json

from trimscribe.model.job import (
    Adjustment,
    Condition,
    InspectionItem,
    LoopTable,
    Porosity,
    PorosityReading,
    PorosityUnit,
    StrengthTest,
    TearReading,
    TearTest,
)
from trimscribe.model.plain import to_plain
from trimscribe.model.wing import Point, RiserLengths, Side


def rounded(value):
    """Six decimals: the last bits differ between processors."""
    match value:
        case float():
            return round(value, 6) + 0.0
        case dict():
            return {key: rounded(item) for key, item in value.items()}
        case list():
            return [rounded(item) for item in value]
    return value


def short(findings):
    """Plain findings with each line and each row on one line, so that a change can be read."""
    plain = rounded(to_plain(findings))
    for state in (plain["before"], plain["after"]):
        for part in ("lines", "rows", "tolerances"):
            state[part] = [" ".join(map(str, entry.values())) for entry in state[part]]
    return plain


def small_job(build):
    spec = build.specification(
        {"A": [0.24, 0.2, 0.12], "B": [1.4, 1.2, 0.7]},
        3,
        {"stabilo": 1, "brake": 2, "brake_main": 1},
        {"b1": [Point("B", 1), Point("B", 2)]},
        trailing_edge_m=2.2,
        brake_free_travel_mm=70.0,
        risers={"A": RiserLengths(520, 385)},
    )
    before = build.measurement(
        spec,
        {"stabilo": -6, "brake": [20, 25]},
        left={"A": [-2, -3, -1], "B": [-17, -15, None]},
        right={"A": [-3, -2, -2], "B": [-20, -18, -12]},
        uncertainty_mm=1.5,
        free_travel_mm={Side.LEFT: 98.0},
        risers={(Side.LEFT, "A"): RiserLengths(521, 386)},
    )
    after = build.measurement(
        spec,
        {"A": [-2, -3, -2], "B": [-8, -7, -12], "stabilo": -6, "brake": [-10, -8]},
        uncertainty_mm=1.5,
    )
    loops = LoopTable({"maillon": {"single loop": 8.0, "double loop": 17.0}})
    return build.job(
        spec,
        before,
        after=after,
        loops=loops,
        adjustments=tuple(
            Adjustment("b1", side, "double loop", "single loop", "maillon") for side in Side
        ),
        porosity=Porosity(
            PorosityUnit.SECONDS,
            (PorosityReading("centre", 96), PorosityReading("tip", 140)),
            limit=20,
            volume_l=0.40,
            area_cm2=50.0,
        ),
        tear=TearTest((TearReading("centre", 1),), 5.0, 5),
        strength=(StrengthTest("A2", 900, False, 867, Side.LEFT),),
        inspection=(InspectionItem("risers", Condition.WORN, "left pulley"),),
    )


def test_findings_of_a_small_job(build, data_regression):
    findings = build.findings(small_job(build))

    data_regression.check(short(findings), basename="small_job")


def test_the_same_job_gives_the_same_json(build):
    texts = {json.dumps(to_plain(build.findings(small_job(build)))) for _ in range(3)}

    assert len(texts) == 1
