"""Values are merged into a job in place: what was empty is filled, every other byte stays."""

import difflib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimscribe.errors import Mark, Severity
from trimscribe.exports.editing.merge import MergeResult, merge
from trimscribe.exports.mapping.normalise import TargetValue
from trimscribe.marked_yaml import load
from trimscribe.model.tables import Cell

SPECIFIED = {"A": [7000.0, 6900.0, 6800.0], "B": [7100.0, 7000.0], "brake_main": [2200.0]}
CELL = Cell(1, 1, 1.0, Mark("x.csv", 1, 1))
JOB = """\
# A job, with its own order and blanks.
trimscribe: 1
wing:   {maker: "Pomeroy Wings",  size: S}   # two blanks
before:
    # four blanks deep
    tension_n: 50.0      # as it was typed

    left:   # the pilot's
        A: [ 7001,  ~, 6803 ]   # A2 was missed
        B:
        - 7101   # a list the other way
        - ~
    method: |
        by hand

        twice
notes: 'it''s fine'


# the end"""


def values(*lengths: tuple[str, str, str, int, float]) -> list[TargetValue]:
    return [TargetValue(length[:4], length[4], (CELL,)) for length in lengths]


def merged(
    job: str, *lengths: tuple[str, str, str, int, float], force: bool = False
) -> MergeResult:
    return merge(load(job.encode(), "job.yaml"), values(*lengths), SPECIFIED, force=force)


def changed(old: str, new: str) -> list[str]:
    """The lines that were taken out (-) and put in (+)."""
    lines = difflib.ndiff(old.splitlines(keepends=True), new.splitlines(keepends=True))
    return [line for line in lines if line[0] in "+-"]


def test_an_empty_value_is_filled_and_nothing_else_is_touched() -> None:
    done = merged(JOB, ("before", "left", "A", 2, 6902.5))

    assert done.faults == ()
    assert done.text == JOB.replace("[ 7001,  ~, 6803 ]", "[ 7001,  6902.5, 6803 ]")


def test_a_list_of_dashes_is_filled_too() -> None:
    done = merged(JOB, ("before", "left", "B", 2, 7002.0))

    assert done.text == JOB.replace("        - ~\n", "        - 7002\n")


def test_what_is_not_there_is_put_in_after_what_comes_before_it() -> None:
    done = merged(
        JOB,
        ("before", "right", "B", 1, 7100.0),
        ("before", "right", "A", 3, 6800.0),
        ("before", "left", "brake_main", 1, 2201.0),
        ("after", "left", "A", 1, 7000.25),
    )

    assert done.faults == ()
    assert changed(JOB, done.text) == [
        "+         brake_main: 2201\n",
        "+     right:\n",
        "+       A: [~, ~, 6800]\n",
        "+       B: [7100, ~]\n",
        "+ after:\n",
        "+   left:\n",
        "+     A: [7000.25, ~, ~]\n",
    ]
    assert load(done.text.encode(), "job.yaml").data["notes"] == "it's fine"


def test_an_equal_value_is_no_change() -> None:
    done = merged(JOB, ("before", "left", "A", 1, 7001.0))

    assert (done.text, done.difference, done.faults) == (JOB, "", ())


def test_a_value_that_differs_is_refused_with_its_place() -> None:
    done = merged(JOB, ("before", "left", "A", 1, 7009.0), ("before", "left", "A", 2, 6900.0))

    (fault,) = done.faults
    assert (fault.code, str(fault.mark)) == ("value-differs", "job.yaml:9:14")
    assert fault.message == "`before.left.A1` is 7001 in the file and 7009 in the export."
    assert fault.severity is Severity.ERROR


def test_force_replaces_it_and_says_so() -> None:
    done = merged(JOB, ("before", "left", "A", 1, 7009.0), force=True)

    assert done.text == JOB.replace("7001", "7009")
    assert [fault.severity for fault in done.faults] == [Severity.WARNING]


@pytest.mark.parametrize(
    ("job", "expected"),
    [
        # a mapping in brackets, and one over two lines
        (
            "before: {left: {A: [1, ~]}}  # x\n",
            "before: {left: {A: [1, 6900, ~], B: [7100, ~]}}  # x\n",
        ),
        (
            "before: {left: {A: [1,\n  ~]},\n  date: 2026-01-01}\nz: 1\n",
            "before: {left: {A: [1,\n  6900, ~], B: [7100, ~]},\n  date: 2026-01-01}\nz: 1\n",
        ),
        # keys that hold nothing
        ("before:\n", "before:\n  left:\n    A: [~, 6900, ~]\n    B: [7100, ~]\n"),
        (
            "before: ~   # soon\nz: 1\n",
            "before:   # soon\n  left:\n    A: [~, 6900, ~]\n    B: [7100, ~]\nz: 1\n",
        ),
        ("before: {left: }\n", "before: {left: {A: [~, 6900, ~], B: [7100, ~]}}\n"),
        # a file without an end of line, and one with the line ends of another system
        ("a: 1", "a: 1\nbefore:\n  left:\n    A: [~, 6900, ~]\n    B: [7100, ~]"),
        (
            "a: 1\r\nbefore:\r\n  left:\r\n    A: [1]\r\n",
            "a: 1\r\nbefore:\r\n  left:\r\n    A: [1, 6900, ~]\r\n    B: [7100, ~]\r\n",
        ),
        # one number alone is a list of one
        (
            "before:\n  left:\n    A: 1\n    B: 7100\n",
            "before:\n  left:\n    A: [1, 6900, ~]\n    B: [7100, ~]\n",
        ),
    ],
)
def test_every_layout_keeps_its_own_form(job: str, expected: str) -> None:
    done = merged(job, ("before", "left", "A", 2, 6900.0), ("before", "left", "B", 1, 7100.0))

    assert done.faults == ()
    assert done.text == expected


def test_records_are_told_apart_by_what_they_are_about() -> None:
    job = "adjustments:\n  - {line: a1, side: both, change_mm: 5}  # kept\ncloth:\n"
    found = [
        TargetValue(("adjustments", 1, "line"), "a1", (CELL,)),
        TargetValue(("adjustments", 1, "side"), "both", (CELL,)),
        TargetValue(("adjustments", 1, "change_mm"), 5.0, (CELL,)),
        TargetValue(("adjustments", 2, "line"), "b2", (CELL,)),
        TargetValue(("adjustments", 2, "side"), "left", (CELL,)),
        TargetValue(("adjustments", 2, "loop_before"), "lark's foot", (CELL,)),
        TargetValue(("cloth", "porosity", "readings", 1, "place"), "left tip", (CELL,)),
        TargetValue(("cloth", "porosity", "readings", 1, "value"), 81.0, (CELL,)),
        TargetValue(("loops", "main maillon", "single loop"), 8.0, (CELL,)),
    ]
    done = merge(load(job.encode(), "job.yaml"), found, {})

    assert done.faults == ()
    assert done.text == (
        "adjustments:\n  - {line: a1, side: both, change_mm: 5}  # kept\n"
        '  - {line: b2, side: left, loop_before: "lark\'s foot"}\n'
        "cloth:\n  porosity:\n    unit: ~\n    readings:\n      - {place: left tip, value: 81}\n"
        "loops:\n  main maillon: {single loop: 8}\n"
    )


def test_a_measuring_that_names_a_file_gets_no_lengths_beside_it() -> None:
    done = merged("before:\n  file: before.csv\n", ("before", "left", "A", 1, 7000.0))

    assert [fault.code for fault in done.faults] == ["measuring-names-a-file"]
    assert [str(fault.mark) for fault in done.faults] == ["job.yaml:2:9"]


def test_a_job_in_json_is_not_edited() -> None:
    loaded = load(b'{"before": {"left": {"A": [1]}}}', "job.json")
    done = merge(loaded, values(("before", "left", "A", 2, 2.0)), SPECIFIED)

    assert [fault.code for fault in done.faults] == ["layout-not-safe"]
    assert done.text == loaded.text.whole


def test_a_line_set_gets_rows_and_brake_lines() -> None:
    text = "# maker's\nmaker: X\nrows:\n  A: {lengths_mm: [7000, ~]}  # A\nspan_m: 11\n"
    found = [
        TargetValue(("specification", "A", 2), 6900.0, (CELL,)),
        TargetValue(("specification", "B", 1), 7100.0, (CELL,)),
        TargetValue(("specification", "stabilo", 1), 6500.0, (CELL,)),
        TargetValue(("specification", "brake", 1), 7500.0, (CELL,)),
        TargetValue(("specification", "brake_main", 1), 2200.0, (CELL,)),
    ]
    done = merge(load(text.encode(), "set.yaml"), found, {})

    assert done.faults == ()
    assert done.text == (
        "# maker's\nmaker: X\nrows:\n  A: {lengths_mm: [7000, 6900]}  # A\n"
        "  B:\n    lengths_mm: [7100]\nstabilo_mm: [6500]\nbrake:\n  fan_mm: [7500]\n"
        "  main_mm: 2200\nspan_m: 11\n"
    )


numbers = st.integers(1000, 9000) | st.floats(1000, 9000).map(lambda n: round(n, 2))
lists = st.lists(st.none() | numbers, min_size=1, max_size=3)


@st.composite
def jobs(draw: st.DrawFn) -> str:
    """Jobs in many layouts, with comments wherever they may be."""
    lines = ["# head", "a: 1"]
    comment = st.sampled_from(["", "  # here", " # 'odd' {sign}: x"])
    for when in draw(st.permutations(["before", "after", "z"]))[: draw(st.integers(1, 3))]:
        lines.append(f"{when}:{draw(comment)}")
        indent = " " * draw(st.sampled_from([1, 2, 4]))
        for side in draw(st.permutations(["left", "right"]))[: draw(st.integers(1, 2))]:
            rows = draw(st.dictionaries(st.sampled_from(["A", "B"]), lists, min_size=1))
            style = draw(st.sampled_from(["brackets", "lines", "dashes"]))
            shown = {k: ["~" if v is None else str(v) for v in row] for k, row in rows.items()}
            if style == "brackets":
                inner = ", ".join(f"{k}: [{' , '.join(row)}]" for k, row in shown.items())
                lines.append(f"{indent}{side}: {{ {inner} }}{draw(comment)}")
                continue
            lines.append(f"{indent}{side}:{draw(comment)}")
            for k, row in shown.items():
                if style == "lines":
                    lines.append(f"{indent * 2}{k}: [{','.join(row)}]{draw(comment)}")
                else:
                    lines.append(f"{indent * 2}{k}:")
                    lines += [f"{indent * 2}- {one}{draw(comment)}" for one in row]
        if draw(st.booleans()):
            lines += ["", "  # between"]
    return "\n".join(lines) + draw(st.sampled_from(["", "\n", "\n\n# end\n"]))


@given(job=jobs(), data=st.data(), force=st.booleans())
def test_in_any_layout_only_what_is_reported_changes(job: str, data: Any, force: bool) -> None:
    """The loader that reads the text back knows nothing of the edits: it is the reference."""
    places = st.tuples(
        st.sampled_from(["before", "after"]),
        st.sampled_from(["left", "right"]),
        st.sampled_from(["A", "B"]),
        st.integers(1, 3),
    )
    wanted = data.draw(st.dictionaries(places, numbers, min_size=1, max_size=6))
    loaded = load(job.encode(), "job.yaml")
    done = merge(
        loaded,
        [TargetValue(path, mm, (CELL,)) for path, mm in wanted.items()],
        SPECIFIED,
        force=force,
    )
    found = load(done.text.encode(), "job.yaml")

    assert found.faults == ()
    assert all(fault.code == "value-differs" for fault in done.faults)
    differing = {fault.mark: fault for fault in done.faults if fault.severity is Severity.ERROR}
    for (when, side, group, point), length in wanted.items():
        row = found.data[when][side][group]
        old = loaded.marks.get((when, side, group, point - 1))
        there = (row if isinstance(row, list) else [row])[point - 1]
        assert there == length or old in differing
    # Comments, and every line without one of the rows in it, stay as they were, in their order.
    kept = [
        line for line in job.splitlines() if not any(s in line for s in ("A:", "B:", "- ", "{"))
    ]
    now = iter(done.text.splitlines())
    assert all(line in now for line in kept)
    for comment in ("# head", "# here", "# between", "# end"):
        assert done.text.count(comment) == job.count(comment)
