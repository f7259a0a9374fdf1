"""A slip that shifts or turns many lengths at once is one doubt, reported at its widest."""

from dataclasses import replace
from itertools import pairwise

import pytest
from doubt_rates import doubts
from made_up_wings import Wanted, make
from slips import all_off, all_reversed, row_off, row_reversed, row_shifted, turned

from trimscribe.model.findings import DoubtKind
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, Point, RiserLengths, Side

ONCE = Wanted(measured_again=False, adjusted=0)
TWICE = Wanted()


def reported(made):
    return [(doubt.kind, doubt.name) for doubt in doubts(made)]


def rows(made, chosen=lambda *_: True):
    """The lines of the chosen rows, such as of one side."""
    lines = (line for row in made.job.specification.rows for line in row.lines)
    return {(side, point) for side, point in lines if chosen(side, point.group)}


def shifted(made, by, chosen=lambda *_: True):
    """The lengths of the chosen lists of the first measuring made longer."""

    def change(lengths):
        for side, point in lengths:
            if chosen(side, point.group):
                lengths[side, point] += by

    return made.with_lengths("before", change)


def with_specification(made, **changes):
    specification = replace(made.job.specification, **changes)
    return replace(made, job=replace(made.job, specification=specification))


@pytest.mark.parametrize("wanted", [ONCE, TWICE], ids=["measured once", "measured twice"])
@pytest.mark.parametrize(
    "slip",
    [row_reversed, row_shifted, all_reversed, row_off(100), row_off(-100), all_off(510)],
    ids=["row backwards", "row moved up", "all backwards", "row long", "row short", "risers"],
)
def test_one_slip_of_many_lengths_is_one_doubt(slip, wanted):
    for seed in range(8):
        made, right = slip(make(seed, wanted))
        (doubt,) = doubts(made)
        assert right(doubt)


def test_a_row_that_runs_backwards_stays_one_doubt_with_a_slip_and_a_gap_in_it():
    def spoil(lengths):
        keys = [key for key in lengths if key[0] is Side.LEFT and key[1].group == "B"]
        lengths[keys[3]] += 1000
        del lengths[keys[6]]

    made = make(3, ONCE).with_lengths("before", spoil)
    backwards = turned(made, lambda side, row: side is Side.LEFT and row == "B")

    assert reported(backwards) == [(DoubtKind.REVERSED, "before.left.B")]


def test_a_shifted_row_names_its_first_length_and_suggests_none():
    def spoil(lengths):
        points = [point for side, point in lengths if side is Side.LEFT and point.group == "B"]
        for here, there in pairwise(points):
            lengths[Side.LEFT, here] = lengths[Side.LEFT, there]
        del lengths[Side.LEFT, points[0]]  # and the first that is in the wrong place was not read

    made = make(3, ONCE).with_lengths("before", spoil)
    (doubt,) = doubts(made)

    assert (doubt.kind, doubt.name, doubt.at[-1]) == (DoubtKind.SHIFTED, "before.left.B", 2)
    assert (doubt.found, doubt.other) == (
        made.job.before.lengths_mm[Side.LEFT, Point("B", 2)],
        "B3",
    )
    assert doubt.suggested is None


def test_all_rows_of_one_side_backwards_are_reported_of_the_side():
    backwards = turned(make(4, ONCE), lambda side, row: side is Side.RIGHT and row in "ABC")

    (doubt,) = doubts(backwards)

    assert (doubt.kind, doubt.name) == (DoubtKind.REVERSED, "before.right")
    assert set(doubt.lines) == rows(backwards, lambda side, _: side is Side.RIGHT)


def test_a_short_row_of_nearly_equal_lengths_tells_no_direction():
    made = make(5, ONCE)
    groups = tuple(
        replace(group, lengths_mm=tuple(7300.0 - n for n in range(len(group.lengths_mm))))
        for group in made.job.specification.groups
    )
    level = with_specification(made, groups=groups)
    lengths = {
        (side, point): mm
        for side in Side
        for group in groups
        for point, mm in zip(group.points, group.lengths_mm[::-1], strict=True)
    }

    assert not [d for d in doubts(level.with_lengths("before", lambda old: old.update(lengths)))
                if d.kind is DoubtKind.REVERSED]  # fmt: skip


@pytest.mark.parametrize(
    ("chosen", "name"),
    [
        (lambda side, row: row == "C", "before.C"),
        (lambda side, row: side is Side.LEFT, "before.left"),
        (lambda side, row: side is Side.RIGHT and row == "A", "before.right.A"),
    ],
    ids=["row", "side", "row of one side"],
)
def test_lines_that_are_off_together_are_reported_at_their_widest(chosen, name):
    made = shifted(make(6, ONCE), 90, chosen)

    (doubt,) = doubts(made)

    assert (doubt.kind, doubt.name) == (DoubtKind.OFF_TOGETHER, name)
    assert set(doubt.lines) == rows(made, chosen)
    assert doubt.found == pytest.approx(90, abs=20)
    assert doubt.other == ""


def test_rear_rows_that_shrank_by_some_centimetres_are_not_doubted():
    made = make(7, ONCE)
    for row, by in (("B", -20), ("C", -45)):
        made = shifted(made, by, lambda side, group, row=row: group == row)

    assert doubts(made) == ()


def test_brakes_set_otherwise_on_one_side_are_no_row_that_is_off():
    made = shifted(make(8, ONCE), 120, lambda side, row: side is Side.LEFT and row == "brake")

    assert doubts(made) == ()


@pytest.mark.parametrize(
    ("by", "includes", "trim", "cause"),
    [
        (510, False, None, "risers"),
        (-510, True, None, "risers"),
        (510, True, None, ""),  # with the risers already, what more could it be
        (-510, False, None, ""),
        (150, False, None, ""),
        (880, False, None, ""),
        (510, False, 520.0, "risers"),
        (510, False, 300.0, ""),  # the specification has another riser
        (255, False, 250.0, "risers"),
    ],
)
def test_an_offset_as_long_as_a_riser_names_the_risers(by, includes, trim, cause):
    risers = {"A": RiserLengths(trim, 380)} if trim else {}
    made = with_specification(make(9, ONCE), includes_risers=includes, risers=risers)

    (doubt,) = doubts(shifted(made, by))

    assert (doubt.kind, doubt.name, doubt.other) == (DoubtKind.OFFSET, "before.offset", cause)
    assert doubt.at == ("before",)
    assert set(doubt.lines) > rows(made)  # brakes too, which were moved with them
    assert doubt.found == pytest.approx(by, abs=20)


def test_brakes_that_are_off_with_all_rows_are_in_doubt_with_them():
    """A wrong measuring point moves brakes too; nobody is told to let these out by as much."""
    made = make(9, ONCE)
    fan = made.job.specification.group(BRAKE)
    brakes = {(side, point) for side in Side for point in fan.points}

    (along,) = doubts(shifted(made, -140))
    (rows_alone,) = doubts(shifted(made, -140, lambda _, group: group not in (BRAKE, BRAKE_MAIN)))

    assert brakes
    assert brakes <= set(along.lines)
    assert set(rows_alone.lines).isdisjoint(brakes)


def test_an_offset_that_line_sets_have_is_not_doubted():
    """That wing's own lines are about 10 mm short."""
    assert doubts(shifted(make(10, ONCE), -45)) == ()
    assert doubts(shifted(make(10, ONCE), 60)) == ()


@pytest.mark.parametrize("by", [-70, -75, -90, 85])
def test_an_offset_beyond_what_line_sets_have_is_doubted(by):
    """As of another measuring point, or of another line set."""
    (doubt,) = doubts(shifted(make(10, ONCE), by))

    assert (doubt.kind, doubt.name) == (DoubtKind.OFFSET, "before.offset")
    assert doubt.found == pytest.approx(by - 10, abs=5)


@pytest.mark.parametrize(
    ("left", "right", "rows", "doubted"),
    [(-50, -65, (0, 0, 0), True), (0, 0, (-30, -60, -90), False)],
)
def test_an_offset_may_differ_between_the_sides_and_lines_off_by_themselves_are_none(
    left, right, rows, doubted
):
    """That wing's own lines are about 10 mm short; rear rows of a worn wing shrink most."""
    made = shifted(make(10, ONCE), left, lambda side, _: side == "left")
    made = shifted(made, right, lambda side, _: side == "right")
    for by, row in zip(rows, "ABC", strict=True):
        made = shifted(made, by, lambda _, group, row=row: group == row)

    assert [doubt.kind for doubt in doubts(made)] == [DoubtKind.OFFSET] * doubted


def test_one_row_measured_with_the_risers_names_them():
    (doubt,) = doubts(shifted(make(11, ONCE), 510, lambda side, row: (side, row) == ("left", "A")))

    assert (doubt.kind, doubt.name, doubt.other) == (
        DoubtKind.OFF_TOGETHER, "before.left.A", "risers",
    )  # fmt: skip


def test_an_offset_is_confirmed_like_other_doubts():
    made = shifted(make(12, ONCE), 120)
    confirmed = {"before.offset": "new risers, the maker says so"}

    (doubt,) = doubts(replace(made, job=replace(made.job, confirmed=confirmed)))

    assert doubt.confirmed == "new risers, the maker says so"


def lengthened(made, when, *, by=30.0):
    """The fifth length of row B on the left, longer in one measuring."""

    def change(lengths):
        key = next(k for k in lengths if k[0] is Side.LEFT and str(k[1]) == "B5")
        lengths[key] += by

    return made.with_lengths(when, change)


def test_a_length_that_both_measurings_found_is_no_slip():
    for seed in range(6):
        made = make(seed, TWICE)
        before = lengthened(made, "before")

        assert (DoubtKind.LENGTH, "before.left.B5") in reported(before)
        assert reported(lengthened(before, "after")) == reported(made)


def test_a_length_written_over_from_the_first_measuring_is_doubted_all_the_same():
    made = lengthened(make(2, TWICE), "before")
    first = made.job.before.lengths_mm

    def copy(lengths):
        for side, point in lengths:
            if side is Side.LEFT and point.group == "B" and (side, point) in first:
                lengths[side, point] = first[side, point]

    found = reported(made.with_lengths("after", copy))

    assert (DoubtKind.LENGTH, "before.left.B5") in found
    assert (DoubtKind.TIMES_EQUAL, "after.left.B") in found


def test_lines_that_were_not_measured_again_still_say_what_is_near():
    """Of row B only the fifth length is there the second time, as it was the first time."""
    made = lengthened(make(4, TWICE), "before", by=0.0)

    def leave_out(lengths):
        for key in [k for k in lengths if k[1].group == "B" and str(k[1]) != "B5"]:
            del lengths[key]

    alone = made.with_lengths("after", leave_out)

    assert reported(alone) == []
    assert (DoubtKind.LENGTH, "after.left.B5") in reported(lengthened(alone, "after"))
