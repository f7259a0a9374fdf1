"""Lengths that are off by a power of ten."""

import pytest

from trimscribe.validation.lengths import power_of_ten


@pytest.mark.parametrize(
    ("measured", "power"),
    [
        (7342, 0),
        (7300, 0),
        (7342 * 1.15, 0),
        (734.2, -1),
        (740.0, -1),
        (73.42, -2),
        (7.342, -3),
        (73420, 1),
        (734200, 2),
        (7342000, 3),
        (3700, 0),
        (1500, 0),
        (1100, 0),
        (550, 0),
        (0.007342, 0),
    ],
)
def test_a_power_of_ten_is_reported_from_a_wrong_digit(measured: float, power: int) -> None:
    assert power_of_ten(measured, 7342) == power


def test_a_whole_measuring_in_centimetres_is_one_fault(bench) -> None:
    text = bench.texts["before.csv"].splitlines()
    bench.texts["before.csv"] = "\n".join(
        line if not line[-1].isdigit() else line[:-1] + "." + line[-1] for line in text
    )
    faults = [f for f in bench.faults() if f.code != "point-not-measured"]

    assert [(f.code, str(f.mark)) for f in faults] == [("unit-slip", "before.csv:2:10")]
    assert faults[0].message == (
        "All lengths of this measuring are about 10 times too short for the specification."
    )
    assert "centimetres" in faults[0].hint


def test_a_row_in_metres_is_one_fault(bench) -> None:
    bench.spoil("job.yaml", "B: [7101, 7002, 6903]", "B: [7.101, 7.002, 6.903]")
    faults = [f for f in bench.faults() if f.code != "point-not-measured"]

    assert [f.message for f in faults] == [
        "All lengths of B on the left side are about 1000 times too short for the specification."
    ]
    assert "metres" in faults[0].hint
