"""What looks wrong is doubted at its place, reported once, and never changed."""

from dataclasses import replace

import pytest
from made_up_wings import Wanted, make
from slips import loop_forgotten

from trimscribe.analyse import change, doubts, ledger, line_set
from trimscribe.analyse.doubts.copies import needed_equal
from trimscribe.analyse.doubts.lengths import suggestion
from trimscribe.model.findings import DoubtKind, Findings, Verdict
from trimscribe.model.job import Replacement
from trimscribe.model.wing import Point, Side

ANALYSES = (line_set.analysis, change.analysis, ledger.analysis, doubts.analysis)


def doubted(job):
    return found_in(job).doubts


def found_in(job):
    findings = Findings()
    for analysis in ANALYSES:
        findings = analysis.analyse(job, findings)
    return findings


def with_lengths(job, when, **changed):
    """Lengths by name, such as left_A3=7434."""
    lengths = dict(getattr(job, when).lengths_mm)
    for name, mm in changed.items():
        side, point = name.split("_")
        lengths[Side(side), Point(point[0], int(point[1:]))] = mm
    return replace(job, **{when: replace(getattr(job, when), lengths_mm=lengths)})


def names(doubt):
    """The lines that a doubt is about, such as left B3."""
    return {f"{side} {point}" for side, point in doubt.lines}


@pytest.fixture(scope="module")
def sound():
    """A job that nothing is doubtful about."""
    job = make(7, Wanted()).job
    assert doubted(job) == ()
    return job


def length(job, name, when="before"):
    side, point = name.split("_")
    return getattr(job, when).lengths_mm[Side(side), Point(point[0], int(point[1:]))]


@pytest.mark.parametrize("step", [100, -100, 1000, 30])
def test_a_length_far_from_its_neighbours_is_doubted_at_its_place(sound, step):
    found = length(sound, "left_B5") + step

    (doubt,) = doubted(with_lengths(sound, "before", left_B5=found))

    assert doubt.kind is DoubtKind.LENGTH
    assert doubt.name == "before.left.B5"
    assert doubt.at == ("before", "left", "B", 5)
    assert doubt.found == found
    assert doubt.expected == pytest.approx(found - step, abs=8)
    assert names(doubt) == {"left B5"}
    assert doubt.confirmed is None


@pytest.mark.parametrize(
    ("found", "expected", "meant"),
    [
        (7334, 7233, 7234),  # a step of 100
        (7243, 7236, 7234),  # two digits swapped
        (8334, 7330, 7334),  # a step of 1000
        (7384, 7336, 7334),  # one wrong digit
        (7334.5, 7233, 7234.5),
        (7334, 7285, None),  # nothing near is a common slip
    ],
)
def test_the_repair_that_is_suggested_is_the_likeliest_slip(found, expected, meant):
    assert suggestion(found, expected) == meant


def test_two_rows_in_each_others_place_are_one_doubt(sound):
    before = dict(sound.before.lengths_mm)
    for n in range(1, 15):
        a, b = (Side.RIGHT, Point("A", n)), (Side.RIGHT, Point("C", n))
        before[a], before[b] = before[b], before[a]
    job = replace(sound, before=replace(sound.before, lengths_mm=before), after=None)

    (doubt,) = doubted(replace(job, adjustments=()))

    assert (doubt.kind, doubt.name, doubt.other) == (
        DoubtKind.ROWS_SWAPPED, "before.right.A", "C",
    )  # fmt: skip
    assert names(doubt) == {f"right {row}{n}" for row in "AC" for n in range(1, 15)}


def test_two_rows_in_each_others_place_on_both_sides_are_doubted_on_each(sound):
    swapped = {f"{side}_{row}{n}": length(sound, f"{side}_{other}{n}")
               for side in ("left", "right")
               for row, other in ("BC", "CB") for n in range(1, 15)}  # fmt: skip
    job = replace(with_lengths(sound, "before", **swapped), after=None, adjustments=())

    found = doubted(job)

    assert [(d.kind, d.name, d.other) for d in found] == [
        (DoubtKind.ROWS_SWAPPED, "before.left.B", "C"),
        (DoubtKind.ROWS_SWAPPED, "before.right.B", "C"),
    ]


def test_rows_nearly_alike_in_each_others_place_are_reported_by_the_other_side():
    job = make(5, Wanted(row_step_mm=5.5, measured_again=False, adjusted=0)).job
    swapped = {f"left_{row}{n}": length(job, f"left_{other}{n}")
               for row, other in ("AC", "CA") for n in range(1, 15)}  # fmt: skip

    (doubt,) = doubted(with_lengths(job, "before", **swapped))

    assert (doubt.kind, doubt.name, doubt.other) == (
        DoubtKind.ROWS_SWAPPED, "before.left.A", "C",
    )  # fmt: skip


def test_rows_that_should_be_alike_are_not_taken_for_swapped(sound):
    """Which of two sides it were, nobody could tell."""
    spec = sound.specification
    alike = tuple(
        replace(group, lengths_mm=spec.rows[0].lengths_mm) if group in spec.rows else group
        for group in spec.groups
    )
    off = {"left": {"A": 0.0, "B": 9.0, "C": 0.0}, "right": {"A": 5.0, "B": -20.0, "C": 0.0}}
    lengths = {
        (Side(side), point): spec.rows[0].lengths_mm[point.number - 1] + rows[point.group]
        for side, rows in off.items()
        for row in spec.rows
        for point in row.points
    }
    job = replace(
        sound,
        specification=replace(spec, groups=alike),
        before=replace(sound.before, lengths_mm=lengths),
        after=None,
        adjustments=(),
    )

    assert not [doubt for doubt in doubted(job) if doubt.kind is DoubtKind.ROWS_SWAPPED]


def test_two_neighbours_in_each_others_place_are_one_doubt(sound):
    one, other = length(sound, "left_B11"), length(sound, "left_B12")

    (doubt,) = doubted(
        replace(with_lengths(sound, "before", left_B11=other, left_B12=one), after=None,
                adjustments=())
    )  # fmt: skip

    assert (doubt.kind, doubt.name, doubt.other) == (
        DoubtKind.NEIGHBOURS_SWAPPED, "before.left.B11", "B12",
    )  # fmt: skip
    assert names(doubt) == {"left B11", "left B12"}
    assert doubt.suggested == one


def test_a_side_copied_from_the_other_is_doubted(sound):
    copied = {f"right_C{n}": length(sound, f"left_C{n}") for n in range(1, 15)}

    found = doubted(replace(with_lengths(sound, "before", **copied), after=None, adjustments=()))

    assert [(d.kind, d.name, d.count) for d in found] == [(DoubtKind.SIDES_EQUAL, "before.C", 14)]
    assert names(found[0]) == {f"{side} C{n}" for side in Side for n in range(1, 15)}
    assert found[0].left_out == ()  # either side may be right


def test_a_row_copied_from_before_the_work_is_doubted(sound):
    touched = {(e.side, e.line) for e in sound.adjustments}
    side, row = next(
        (s, r) for s in Side for r in "ABC"
        if not any(of == s and line[0] == r.lower() for of, line in touched)
    )  # fmt: skip
    copied = {f"{side}_{row}{n}": length(sound, f"{side}_{row}{n}") for n in range(1, 15)}

    found = doubted(with_lengths(sound, "after", **copied))

    assert [(d.kind, d.name) for d in found] == [(DoubtKind.TIMES_EQUAL, f"after.{side}.{row}")]
    assert names(found[0]) == {f"{side} {row}{n}" for n in range(1, 15)}


def test_a_row_copied_over_another_is_doubted_with_the_other(sound):
    copied = {f"left_B{n}": length(sound, f"left_A{n}") for n in range(1, 15)}

    found = doubted(replace(with_lengths(sound, "before", **copied), after=None, adjustments=()))

    assert [(d.kind, d.name, d.other) for d in found] == [
        (DoubtKind.ROWS_EQUAL, "before.left.B", "A")
    ]
    assert names(found[0]) == {f"left {row}{n}" for row in "AB" for n in range(1, 15)}


@pytest.mark.parametrize(
    ("wrong", "kind", "name", "points"),
    [
        ({4: 100}, DoubtKind.SPECIFIED_LENGTH, "specification.B5", [5]),
        ({4: 22}, DoubtKind.SPECIFIED_UNLIKE, "specification.B5", [5]),
        ({3: 60, 9: 60}, DoubtKind.SPECIFIED_ROW, "specification.B", range(1, 15)),
    ],
    ids=["alone", "by measuring", "somewhere in the row"],
)
def test_a_specified_length_is_doubted_on_both_sides(sound, wrong, kind, name, points):
    groups = tuple(
        replace(group, lengths_mm=tuple(
            mm + wrong.get(n, 0) * (group.name == "B") for n, mm in enumerate(group.lengths_mm)
        ))
        for group in sound.specification.groups
    )  # fmt: skip
    once = replace(sound, after=None, adjustments=())

    found = doubted(replace(once, specification=replace(sound.specification, groups=groups)))

    (doubt,) = (d for d in found if d.kind is kind)
    assert doubt.name == name
    assert names(doubt) == {f"{side} B{n}" for side in Side for n in points}


def test_the_same_length_again_and_again_is_doubted(sound):
    level = length(sound, "left_A10")
    spread = {f"left_A{n}": level for n in (9, 10, 11, 12)}

    found = doubted(with_lengths(sound, "before", **spread))

    (doubt,) = (d for d in found if d.kind is DoubtKind.REPEATED)
    assert names(doubt) == {f"left A{n}" for n in (9, 10, 11, 12)}


def test_a_line_that_moved_without_an_entry_is_doubted(sound):
    entry = sound.adjustments[0]
    job = replace(sound, adjustments=sound.adjustments[1:])

    (doubt,) = doubted(job)

    assert (doubt.kind, doubt.name) == (
        DoubtKind.MOVED, f"after.{entry.side.value}.{entry.line}",
    )  # fmt: skip
    points = next(c.points for c in sound.specification.cascade if c.name == entry.line)
    assert names(doubt) == {f"{entry.side} {point}" for point in points}
    assert doubt.found == pytest.approx(9, abs=3)


def with_one_moved(sound):
    """12 mm: a single line's change may be 8 mm by chance where repeats scatter by 1 mm."""
    exact = replace(
        sound,
        before=replace(sound.before, repeat_mm=1.0),
        after=replace(sound.after, repeat_mm=1.0),
    )
    return with_lengths(exact, "after", left_B5=length(sound, "left_B5", "after") + 12)


def test_a_line_that_was_replaced_may_have_moved(sound):
    job = with_one_moved(sound)
    new = Replacement("line B5", Side.LEFT, "cut")

    assert "after.left.B5" in {d.name for d in doubted(job) if d.kind is DoubtKind.MOVED}
    reported = doubted(replace(job, replacements=(new,)))
    assert "after.left.B5" not in {d.name for d in reported if d.kind is DoubtKind.MOVED}


@pytest.mark.parametrize("part", ["all B lines", "row B", "lines B1-B14", "B1 to B14", "line set"])
def test_a_row_that_was_replaced_is_as_long_as_it_came(sound, part):
    """20 mm, as where new lines replace shrunk ones: the entry is there."""
    was = {f"left_B{n}": length(sound, f"left_B{n}", "after") for n in range(1, 15)}
    job = with_lengths(sound, "after", **{name: mm + 20 for name, mm in was.items()})
    new = (Replacement(part, Side.LEFT, "worn"),)

    assert any(d.kind is DoubtKind.MOVED for d in doubted(job))
    assert not any(d.kind is DoubtKind.MOVED for d in doubted(replace(job, replacements=new)))
    other = (Replacement("riser B", Side.LEFT, "worn"),)
    assert any(d.kind is DoubtKind.MOVED for d in doubted(replace(job, replacements=other)))


@pytest.mark.parametrize("part", ["new lines", "mains", "riser B and its lines"])
def test_of_lines_that_were_replaced_without_a_name_any_may_have_moved(sound, part):
    job = with_one_moved(sound)

    def moved(side):
        new = (Replacement(part, side, "worn"),)
        return {
            d.name for d in doubted(replace(job, replacements=new)) if d.kind is DoubtKind.MOVED
        }

    assert (moved(Side.LEFT), moved(None)) == (set(), set())
    assert moved(Side.RIGHT) == {"after.left.B5"}


def test_a_loop_of_a_new_line_set_is_not_held_against_the_old_lines(sound):
    """New lines are longer than shrunk ones, those of the rear row most."""
    longer = {
        key: mm + (30 if key[1].group == "C" else 8) for key, mm in sound.after.lengths_mm.items()
    }
    job = replace(sound, after=replace(sound.after, lengths_mm=longer))
    new = (Replacement("complete line set", None, "age"),)

    assert any(d.kind is DoubtKind.MOVED_UNLIKE for d in doubted(job))
    assert not doubted(replace(job, replacements=new))


def test_a_loop_that_was_not_tied_is_doubted_at_its_entry(sound):
    entry = sound.adjustments[2]
    points = next(c.points for c in sound.specification.cascade if c.name == entry.line)
    undone = {f"{entry.side}_{p}": length(sound, f"{entry.side}_{p}", "after") - 9 for p in points}

    (doubt,) = doubted(with_lengths(sound, "after", **undone))

    assert doubt.kind is DoubtKind.MOVED_UNLIKE
    assert doubt.at == ("adjustments", entry.entry, "line")
    assert names(doubt) == {f"{entry.side} {point}" for point in points}
    assert doubt.expected == 9
    assert doubt.found == pytest.approx(0, abs=3)


def test_sides_mixed_up_after_the_work_are_one_doubt(sound):
    other = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}
    mirrored = {(other[s], p): mm for (s, p), mm in sound.after.lengths_mm.items()}
    job = replace(sound, after=replace(sound.after, lengths_mm=mirrored))

    (doubt,) = doubted(job)

    assert (doubt.kind, doubt.name, doubt.at) == (DoubtKind.SIDES_SWAPPED, "after", ("after",))
    assert names(doubt) == {f"{side} {row}{n}" for side in Side for row in "ABC"
                            for n in range(1, 15)}  # fmt: skip


def test_where_sides_look_mixed_up_no_change_of_a_line_proves_its_work(sound):
    other = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}
    mirrored = {(other[s], p): mm for (s, p), mm in sound.after.lengths_mm.items()}
    mixed = replace(sound, after=replace(sound.after, lengths_mm=mirrored))
    confirmed = replace(mixed, confirmed={"after": "read so again"})
    unsettled = {(None, Verdict.NOT_ASSESSED)}

    assert {(e.shown, e.verdict) for e in found_in(mixed).ledger} == unsettled
    for job in (sound, confirmed):
        assert {(e.shown, e.verdict) for e in found_in(job).ledger} != unsettled


def test_the_sides_of_one_row_mixed_up_after_the_work_are_doubted_alone():
    """A row whose main lines differ by 6 mm: slight differences of one row show nothing."""
    uneven = make(11, Wanted(group_mm=6.0)).job
    assert DoubtKind.SIDES_SWAPPED not in {doubt.kind for doubt in doubted(uneven)}
    mirrored = {f"{side}_B{n}": length(uneven, f"{other}_B{n}", "after")
                for side, other in (("left", "right"), ("right", "left"))
                for n in range(1, 15)}  # fmt: skip

    (doubt,) = doubted(with_lengths(uneven, "after", **mirrored))

    assert (doubt.kind, doubt.name) == (DoubtKind.SIDES_SWAPPED, "after.B")
    assert names(doubt) == {f"{side} B{n}" for side in Side for n in range(1, 15)}


@pytest.mark.parametrize("seed", [121, 164])
def test_a_loop_that_was_not_tied_is_not_taken_for_mixed_up_sides(seed):
    """Where the line was as much too short as its loop lets out, the sides look mixed up."""
    made, right = loop_forgotten(12.0)(make(seed, Wanted(u_mm=1.0, loop_mm=12.0)))

    (doubt,) = doubted(made.job)

    assert right(doubt)


def test_a_confirmed_value_keeps_its_doubt_and_its_reason(sound):
    job = with_lengths(sound, "before", left_B5=length(sound, "left_B5") + 40)

    (doubt,) = doubted(replace(job, confirmed={"before.left.B5": "measured twice"}))

    assert doubt.confirmed == "measured twice"


def test_confirming_what_nobody_doubts_is_reported(sound):
    (doubt,) = doubted(replace(sound, confirmed={"before.left.B55": "sure"}))

    assert (doubt.kind, doubt.name) == (DoubtKind.NOTHING, "before.left.B55")
    assert doubt.at == ("confirmed", "before.left.B55")


def test_doubts_change_no_number(build):
    job = make(3, Wanted()).job
    spoilt = with_lengths(job, "before", left_B5=length(job, "left_B5") + 100)

    found = build.findings(spoilt)

    assert found.doubts
    line = found.before.line(Side.LEFT, Point("B", 5))
    assert line.measured_mm == length(job, "left_B5") + 100


@pytest.mark.parametrize(("count", "needed"), [(14, 9), (6, 6), (5, 5), (4, 5)])
def test_how_many_equal_values_are_more_than_chance(count, needed):
    """The study of slips, section 9: 9 of 14 at a reading's uncertainty of 1.5 mm."""
    assert needed_equal(count, 0.186) == needed


def test_small_and_half_measured_wings_are_not_doubted():
    for seed in range(20):
        for wanted in (
            Wanted(rows=2, points=3, brakes=0, adjusted=0),
            Wanted(rows=2, points=1, brakes=1, adjusted=0),
            Wanted(rows=4, points=9, missing=8, adjusted=2),
        ):
            assert doubted(make(seed, wanted).job) == ()
