"""Findings as plain data: nothing lost, nothing rounded, always in the same order."""

import datetime as dt
import json
from dataclasses import dataclass, field

import numpy as np
import pytest

from trimscribe.model.findings import Expectation, Verdict
from trimscribe.model.plain import to_plain
from trimscribe.model.wing import Point, Side


@dataclass(frozen=True)
class Thing:
    z: object = None
    a: object = field(default=None)


def test_simple_values_stay_themselves():
    for value in (None, True, 3, 2.5, "text", -0.0):
        assert to_plain(value) == value


def test_enums_dates_and_points_become_text():
    assert to_plain(Verdict.NOT_ASSESSED) == "not assessed"
    assert type(to_plain(Expectation.NONE)) is str
    assert to_plain(dt.date(2026, 10, 16)) == "2026-10-16"
    assert to_plain(Point("A", 3)) == "A3"


def test_a_side_and_a_point_as_a_key_read_as_the_trade_says_them():
    assert to_plain({(Side.LEFT, Point("A", 3)): 1.5}) == {"left A3": 1.5}


def test_dataclasses_keep_the_order_of_their_fields():
    assert list(to_plain(Thing(1, (2, [3])))) == ["z", "a"]
    assert to_plain(Thing(1, (2, [3]))) == {"z": 1, "a": [2, [3]]}


def test_mappings_are_sorted_with_numbers_counted():
    points = [Point("A", n) for n in (10, 2, 1)]
    mapping = {(side, p): 0 for p in points for side in (Side.RIGHT, Side.LEFT)}

    assert list(to_plain(mapping)) == [
        "left A1",
        "left A2",
        "left A10",
        "right A1",
        "right A2",
        "right A10",
    ]


def test_floats_keep_nine_decimals_and_no_zero_has_a_sign():
    third = 1 / 3

    assert json.loads(json.dumps(to_plain(Thing(third)))) == {"z": 0.333333333, "a": None}
    assert to_plain(0.1 + 0.2) == to_plain(0.3) == 0.3
    assert str(to_plain(-1e-12)) == "0.0"
    assert type(to_plain(np.float64(third))) is float


@pytest.mark.parametrize("value", [float("nan"), float("inf"), np.float64("nan")])
def test_a_number_that_is_none_is_refused(value):
    with pytest.raises(ValueError, match="None"):
        to_plain({"x": (value,)})


@pytest.mark.parametrize("value", [b"bytes", {1, 2}, object(), Thing])
def test_what_has_no_plain_form_is_refused(value):
    with pytest.raises(TypeError, match="no plain form"):
        to_plain(value)
