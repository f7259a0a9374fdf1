"""Loops as found, what the maker allows, rules, and a plan in the job."""

import pytest

from trimscribe.model.job import TiedLoop
from trimscribe.model.wing import Point, RetrimLimits, Side, TrimRule

J, P = "job.yaml", "sorrel-s.yaml"
FILE = "  file: before.csv"
B1 = "b1: {left: double loop, right: single loop}"
SOFT = "  tied: {default: {loop: knot free, maillon: soft link}}"


def test_loops_as_found_hold_by_line_and_side_and_otherwise_by_default(bench) -> None:
    bench.spoil(J, FILE, f"{FILE}\n  tied: {{default: single loop, {B1}}}")

    tied = bench.read().job.before.tied

    assert tied.at(Side.LEFT, "b1") == TiedLoop("double loop")
    assert tied.at(Side.RIGHT, "b1") == TiedLoop("single loop")
    assert tied.at(Side.LEFT, "a1") == TiedLoop("single loop")
    assert tied.at(Side.LEFT, "am1", main=False) is None


def test_without_a_word_nothing_is_assumed(bench) -> None:
    job = bench.read().job

    assert job.before.tied is None
    assert job.plan is None
    assert job.specification.retrim == RetrimLimits()
    assert job.specification.trim_rules == ()


def two_tables(bench) -> None:
    bench.spoil(J, "loops: {", "loops: {soft link: {knot free: 3}, ")
    bench.spoil(J, "loop_after: single loop", "loop_after: single loop, maillon: main maillon")


def test_a_loop_may_name_its_table_of_take_up(bench) -> None:
    bench.spoil(J, FILE, f"{FILE}\n{SOFT}")
    two_tables(bench)

    assert bench.read().job.before.tied.at(Side.RIGHT, "a1") == TiedLoop("knot free", "soft link")


def test_of_several_tables_one_must_be_named(bench) -> None:
    bench.spoil(J, FILE, f"{FILE}\n  tied: {{default: single loop}}")
    two_tables(bench)

    assert [fault.code for fault in bench.faults()].count("maillon-not-named") == 1


def test_what_the_maker_allows_and_the_rules_are_read(bench) -> None:
    rule = "{name: rear, plus: [A1-A3], minus: [B1, B2-B3], side: both, target_mm: 2, within_mm: 4}"
    retrim = "retrim: {loops: [single loop], never: [a1], most_steps: 1}"
    bench.spoil(P, "tolerances: {", f"{retrim}\ntrim_rules:\n  - {rule}\ntolerances: {{")

    specification = bench.read().job.specification

    three = (1, 2, 3)
    assert specification.retrim == RetrimLimits(("single loop",), ("a1",), 1)
    assert specification.trim_rules == (
        TrimRule(
            "rear",
            tuple(Point("A", n) for n in three),
            tuple(Point("B", n) for n in three),
            each_side=False,
            target_mm=2.0,
            within_mm=4.0,
        ),
    )


def test_for_an_unknown_main_line_main_lines_are_named_not_a_point(bench, underlined) -> None:
    """The specification has the main line b1, and points B1 to B3."""
    bench.spoil("job.yaml", "line: b1, side: both", "line: b3, side: both")

    (fault,) = [f for f in bench.faults() if f.code == "unknown-line"]

    assert underlined(fault.mark) == "b3"
    assert "B3" not in fault.hint
    assert "`b1`" in fault.hint


def test_a_plan_never_changes_a_line_that_the_maker_forbids(bench, underlined) -> None:
    bench.spoil(P, "tolerances: {", "retrim: {never: [b1]}\ntolerances: {")
    plan = "plan: {changes: [{line: b1, side: both, change_mm: 9}]}"
    bench.spoil(J, "cloth: {", f"{plan}\ncloth: {{")

    fault = next(fault for fault in bench.faults() if fault.code == "line-forbidden")

    assert underlined(fault.mark) == "b1"


@pytest.mark.parametrize("done", ["false", "true"])
def test_a_plan_warns_until_it_is_done_and_is_no_work_either_way(bench, done: str) -> None:
    plan = f"plan: {{done: {done}, changes: [{{line: a1, side: both, change_mm: 9}}]}}\ncloth: {{"
    bench.spoil(J, "cloth: {", plan)

    reading = bench.read()

    assert ("plan-not-done" in [fault.code for fault in reading.warnings]) == (done == "false")
    assert [one.side for one in reading.job.plan.changes] == [Side.LEFT, Side.RIGHT]
    assert "a1" not in {one.line for one in reading.job.adjustments}
