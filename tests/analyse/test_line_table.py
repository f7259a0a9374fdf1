"""A measurement as arrays: bands, whole stations, points measured twice."""

from dataclasses import replace

import numpy as np
import pytest

from trimscribe.analyse.line_table import band_of, line_table
from trimscribe.model.wing import Band, Side


@pytest.mark.parametrize(
    ("count", "bands"),
    [
        (1, "c"),
        (2, "ct"),
        (3, "cmt"),
        (4, "cmtt"),  # a share of exactly 1/3 is middle, of exactly 2/3 tip
        (5, "ccmtt"),
        (12, "ccccmmmmtttt"),
        (100, "c" * 33 + "m" * 33 + "t" * 34),
    ],
)
def test_a_row_is_shared_out_by_its_own_count(count, bands):
    assert "".join(band_of(n + 1, count)[0] for n in range(count)) == bands


def test_the_right_half_repeats_the_left(build):
    spec = build.specification(build.three_rows, 5)
    table = line_table(spec, build.measurement(spec, left={"A": 1}, right={"A": 2}))

    assert table.pairs == 15
    for column in (table.row, table.number, table.band, table.chord_m):
        np.testing.assert_array_equal(*np.split(column, 2))
    assert set(table.deviation_mm[table.on(Side.RIGHT) & table.in_row("A")]) == {2.0}


def test_a_station_with_a_gap_in_one_row_is_not_whole(build):
    spec = build.specification(build.three_rows, 4)
    gap = {"A": 0, "B": [0, None, 0, 0], "C": 0}
    table = line_table(spec, build.measurement(spec, left=gap, right={"A": 0, "B": 0, "C": 0}))

    broken = {(bool(r), int(n)) for r, n in zip(table.right, table.number, strict=True)} - {
        (bool(r), int(n))
        for r, n in zip(table.right[table.whole], table.number[table.whole], strict=True)
    }
    assert broken == {(False, 2)}
    assert not table.paired[table.number == 2].any()
    assert table.paired.sum() == 18


def test_rows_of_unequal_count_keep_their_own_stations(build):
    spec = build.specification({"A": 0.2, "B": 1.2}, 6)
    rear = replace(spec.groups[1], lengths_mm=(7000.0,) * 4, chord_m=(1.2,) * 4)
    spec = replace(spec, groups=(spec.groups[0], rear))
    table = line_table(spec, build.measurement(spec, {"A": 0, "B": [0, 0, 0, None]}))

    left = table.on(Side.LEFT)
    assert set(table.number[left & table.whole & table.in_row("A")]) == {1, 2, 3, 5, 6}
    assert [list(Band)[b] for b in table.band[left & table.in_row("B")]] == [
        Band.CENTRE,
        Band.MIDDLE,
        Band.TIP,
        Band.TIP,
    ]


def test_without_chord_positions_the_lengths_are_still_there(build):
    spec = build.specification({"A": 0.2, "B": 1.2}, 3)
    spec = replace(spec, groups=tuple(replace(g, chord_m=()) for g in spec.groups))
    table = line_table(spec, build.measurement(spec, {"A": 1, "B": 2}))

    assert np.isnan(table.chord_m).all()
    assert table.measured.all()
