"""Air permeability in seconds and in flow.

The flows of a meter that draws 0.25 L through 38.5 cm² at its own pressure were computed apart from
this code.
"""

import pytest

from trimscribe.analyse import cloth
from trimscribe.analyse.air_permeability import (
    flow_l_m2_min,
    mean_seconds,
)
from trimscribe.model.findings import Findings
from trimscribe.model.job import Porosity, PorosityReading, PorosityUnit

METER = (0.25, 38.5)


@pytest.mark.parametrize(
    ("seconds", "flow"),
    [(10, 389.6), (15, 259.7), (20, 194.8), (30, 129.9), (60, 64.9), (300, 13.0)],
)
def test_seconds_as_flow(seconds, flow):
    assert flow_l_m2_min(seconds, *METER) == pytest.approx(flow, abs=0.05)


def test_constant_of_the_meter():
    assert flow_l_m2_min(1, *METER) == pytest.approx(3896.10, abs=0.005)


def test_mean_of_10_and_40_seconds_is_16():
    """Averaging seconds is not averaging flow."""
    assert mean_seconds([10, 40]) == pytest.approx(16.0)
    mean_flow = (flow_l_m2_min(10, *METER) + flow_l_m2_min(40, *METER)) / 2
    assert flow_l_m2_min(16.0, *METER) == pytest.approx(mean_flow)


def test_mean_of_readings_in_seconds_through_the_analysis(bare_job):
    readings = (PorosityReading("centre", 10), PorosityReading("tip", 40))
    porosity = Porosity(PorosityUnit.SECONDS, readings, limit=20, volume_l=0.25, area_cm2=38.5)

    found = cloth.analysis.analyse(bare_job(porosity=porosity), Findings()).porosity

    assert found.mean == pytest.approx(16.0)
    assert found.mean_flow_l_m2_min == pytest.approx(243.5, abs=0.05)
    assert found.worst.place == "centre"
