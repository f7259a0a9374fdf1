"""A measurement as arrays: bands, main lines, points not measured."""

from dataclasses import replace

import numpy as np
import pytest

from trimscribe.analyse.line_table import band_of, line_table
from trimscribe.model.wing import Band, CascadeLine, Point, Side


@pytest.mark.parametrize(
    ("count", "bands"),
    [
        (1, "c"),
        (2, "ct"),
        (3, "cmt"),
        (4, "cmmt"),  # a share of exactly 1/3 or 2/3 is middle
        (5, "ccmtt"),
        (12, "ccccmmmmtttt"),
        (100, "c" * 33 + "m" * 34 + "t" * 33),
    ],
)
def test_a_row_is_shared_out_by_its_own_count(count, bands):
    assert "".join(band_of(n + 1, count)[0] for n in range(count)) == bands


def test_the_right_half_repeats_the_left(build):
    spec = build.specification(build.three_rows, 5)
    table = line_table(spec, build.measurement(spec, left={"A": 1}, right={"A": 2}).lengths_mm)

    assert len(table.row) == 2 * 15
    for column in (table.row, table.cells[2], table.band, table.chord_m):
        np.testing.assert_array_equal(*np.split(column, 2))
    assert set(table.deviation_mm[table.on(Side.RIGHT) & table.in_row("A")]) == {2.0}


def test_a_point_that_was_not_measured_is_not_known(build):
    spec = build.specification(build.three_rows, 4)
    gap = {"A": 0, "B": [0, None, 0, 0], "C": 0}
    made = build.measurement(spec, left=gap, right={"A": 0, "B": 0, "C": 0})
    table = line_table(spec, made.lengths_mm)

    missing = [key for key, known in zip(table.line_keys, table.measured, strict=True) if not known]
    assert missing == [(Side.LEFT, Point("B", 2))]


def test_points_of_one_main_line_belong_together(build):
    """A point that no main line carries is one of its own; a middle line is not a main line."""
    cascade = [
        CascadeLine("a1", (Point("A", 1), Point("A", 2))),
        CascadeLine("am1", (Point("A", 1),), "a1"),
        CascadeLine("ab", (Point("A", 3), Point("B", 1))),
    ]
    spec = replace(build.specification({"A": 0.2, "B": 1.2}, 4), cascade=tuple(cascade))
    table = line_table(spec, {})

    left = table.main[:8].tolist()
    assert left == [0, 0, 1, 2, 3, 4, 5, 6]
    assert table.main[8:].tolist() == left
    assert set(table.main_and_side) == set(range(14))


def test_rows_of_unequal_count_keep_their_own_bands_and_shares(build):
    spec = build.specification({"A": 0.2, "B": 1.2}, 6)
    rear = replace(spec.groups[1], lengths_mm=(7000.0,) * 4, chord_m=(1.2,) * 4)
    spec = replace(spec, groups=(spec.groups[0], rear))
    table = line_table(spec, build.measurement(spec, {"A": 0, "B": [0, 0, 0, None]}).lengths_mm)

    left = table.on(Side.LEFT)
    assert [list(Band)[b] for b in table.band[left & table.in_row("B")]] == [
        Band.CENTRE,
        Band.MIDDLE,
        Band.MIDDLE,
        Band.TIP,
    ]
    assert table.along[left & table.in_row("B")] == pytest.approx([0.125, 0.375, 0.625, 0.875])


def test_without_chord_positions_the_lengths_are_still_there(build):
    spec = build.specification({"A": 0.2, "B": 1.2}, 3)
    spec = replace(spec, groups=tuple(replace(g, chord_m=()) for g in spec.groups))
    table = line_table(spec, build.measurement(spec, {"A": 1, "B": 2}).lengths_mm)

    assert np.isnan(table.chord_m).all()
    assert table.measured.all()
