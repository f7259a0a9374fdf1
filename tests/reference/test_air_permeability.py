"""Air permeability in seconds and in flow.

The flows of an invented meter that draws 0.40 L through 50 cm² at its own pressure, 60 V / (A t) =
4800 / t, were computed apart from this code.
"""

import pytest

from trimscribe.analyse import cloth
from trimscribe.analyse.cloth import flow_l_m2_min, mean_seconds
from trimscribe.model.findings import Findings
from trimscribe.model.job import Porosity, PorosityReading, PorosityUnit

METER = (0.40, 50.0)


@pytest.mark.parametrize(
    ("seconds", "flow"),
    [(10, 480.0), (15, 320.0), (20, 240.0), (30, 160.0), (60, 80.0), (300, 16.0)],
)
def test_seconds_as_flow(seconds, flow):
    assert flow_l_m2_min(seconds, *METER) == pytest.approx(flow, abs=0.05)


def test_constant_of_the_meter():
    assert flow_l_m2_min(1, *METER) == pytest.approx(4800.0, abs=0.005)


def test_mean_of_10_and_40_seconds_is_16():
    """Averaging seconds is not averaging flow."""
    assert mean_seconds([10, 40]) == pytest.approx(16.0)
    mean_flow = (flow_l_m2_min(10, *METER) + flow_l_m2_min(40, *METER)) / 2
    assert flow_l_m2_min(16.0, *METER) == pytest.approx(mean_flow)


def test_mean_of_readings_in_seconds_through_the_analysis(bare_job):
    readings = (PorosityReading("centre", 10), PorosityReading("tip", 40))
    porosity = Porosity(PorosityUnit.SECONDS, readings, limit=20, volume_l=0.40, area_cm2=50.0)

    found = cloth.analysis.analyse(bare_job(porosity=porosity), Findings()).porosity

    assert found.mean == pytest.approx(16.0)
    assert found.mean_flow_l_m2_min == pytest.approx(300.0, abs=0.05)
    assert found.worst.place == "centre"
