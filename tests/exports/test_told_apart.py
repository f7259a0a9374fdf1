"""What may be of another side, time, wing or column is asked, refused or left out, and said."""

import io
import json
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from export_files import xlsx

from trimscribe.exports.guessing.propose import MapProposal, propose
from trimscribe.exports.line_sets import line_set
from trimscribe.registry import Registry

QUINCE = line_set(Path(__file__).parents[2] / "examples" / "quince-s.yaml")
LINES = [(row, n) for row in ("A", "B") for n in range(1, 11)]
BOTH = "Line,Left,Right"
FOUR = "Line,Left before,Right before,Left after,Right after"

Proposed = Callable[..., MapProposal]
Values = dict[tuple[object, ...], float]


@pytest.fixture
def proposed(registry: Registry, tmp_path: Path) -> Proposed:
    def guess(data: str | bytes, name: str = "x.csv", **answers: str) -> MapProposal:
        path = tmp_path / name
        path.write_bytes(data.encode() if isinstance(data, str) else data)
        return propose(registry, path, QUINCE, answers=answers)

    return guess


def measured(line: tuple[str, int], column: int) -> int:
    row, n = line
    return int(QUINCE.lengths[row][n - 1] or 0) - 3 + (7 * n + 4 * column) % 9


def table(heads: str, cells: Callable[[tuple[str, int]], Sequence[object]]) -> str:
    rows = [",".join(map(str, [f"{line[0]}{line[1]}", *cells(line)])) for line in LINES]
    return "\n".join([heads, *rows]) + "\n"


def pair(line: tuple[str, int]) -> list[int]:
    return [measured(line, 0), measured(line, 1)]


def four(line: tuple[str, int]) -> list[int]:
    return [*pair(line), measured(line, 2), measured(line, 3)]


def kinds(proposal: MapProposal) -> list[str]:
    return [question.kind for question in proposal.questions]


def values(proposal: MapProposal) -> Values:
    assert proposal.export is not None
    return {tuple(v.path): float(v.value) for v in proposal.export.imported.values}


def both(when: str) -> Values:
    sides = ("left", "right")
    return {
        (when, side, *line): measured(line, n) for n, side in enumerate(sides) for line in LINES
    }


@pytest.mark.parametrize(
    "above", ["Wing seen from the front\n", "Facing the glider\n", "Observer's view\n", ""]
)
def test_sides_of_a_file_that_is_seen_from_the_front_are_asked(
    proposed: Proposed, above: str
) -> None:
    below = "" if above else "\nLinks und rechts von vorne gesehen\n"
    proposal = proposed(above + table(BOTH, lambda line: pair(line)[::-1]) + below)

    assert kinds(proposal) == ["columns"]
    answers = {"columns": "right,left", "when": "before"}
    assert values(
        proposed(above + table(BOTH, lambda line: pair(line)[::-1]) + below, **answers)
    ) == both("before")


@pytest.mark.parametrize("word", ["calculated", "planned", "goal", "simulation", "to be"])
def test_a_length_after_the_work_that_nobody_measured_is_left_out(
    proposed: Proposed, word: str
) -> None:
    heads = f"Line,Left before,Right before,Left after ({word}),Right after ({word})"
    proposal = proposed(table(heads, four))

    assert values(proposal) == both("before")
    assert "(its heading says so)" in proposal.left_out[0]


@pytest.mark.parametrize(
    "earlier", ["after (last check)", "nach letzter Prüfung", "previous after"]
)
def test_after_an_earlier_check_is_not_after_this_work(proposed: Proposed, earlier: str) -> None:
    heads = f"Line,Left {earlier},Right {earlier},Left before,Right before"

    assert kinds(proposed(table(heads, four))) == ["columns"]


def test_a_side_below_the_last_table_is_not_that_of_the_table_below_another(
    proposed: Proposed,
) -> None:
    lists = [table("Line,mm", lambda one, n=n: [measured(one, n)]) for n in (0, 1)]
    below = f"{lists[0]}Left wing\n\n{lists[1]}Right wing\n"
    above = f"Left wing\n{lists[0]}\nRight wing\n{lists[1]}"

    assert {"left,right", "right,left"} <= proposed(below).questions[0].choices.keys()
    assert values(proposed(below, blocks="left,right", when="before")) == both("before")
    assert values(proposed(above, when="before")) == both("before")
    assert kinds(proposed("Before\n" + table(BOTH, pair) + "After\nLine,Left,Right\n")) == []


@pytest.mark.parametrize("heads", ["Line,Left total,Right total", "Line,Left median,Right median"])
def test_a_total_that_is_alone_is_a_length(proposed: Proposed, heads: str) -> None:
    assert values(proposed(table(heads, pair), when="before")) == both("before")


@pytest.mark.parametrize("work", ["load", "stretching", "soaking"])
def test_before_and_after_of_something_else_than_the_work_are_asked(
    proposed: Proposed, work: str
) -> None:
    heads = f"Line,L before {work},R before {work},L after {work},R after {work}"
    proposal = proposed(table(heads, lambda line: [mm - d for d in (3, 0) for mm in pair(line)]))

    assert kinds(proposal) == ["columns"]
    assert "up to 3 mm apart" in proposal.questions[0].asks


def test_a_total_that_was_worked_out_before_the_work_is_a_length(proposed: Proposed) -> None:
    heads = "Line,Left before calculated,Right before calculated"

    assert values(proposed(table(heads, pair))) == both("before")


def test_a_few_numbers_among_marks_are_taken_where_the_heading_says_when(
    proposed: Proposed,
) -> None:
    text = table(FOUR, lambda line: [*pair(line), *(four(line)[2:] if line[1] < 3 else "==")])
    found = values(proposed(text))

    assert {k for k in found if k[0] == "after"} == {
        ("after", side, row, n) for side in ("left", "right") for row in ("A", "B") for n in (1, 2)
    }


@pytest.mark.parametrize("heading", ["Serial no", "Wing", "Schirm"])
def test_lines_of_two_wings_in_one_list_are_refused(proposed: Proposed, heading: str) -> None:
    text = table(BOTH + "," + heading, lambda one: [*pair(one), f"N{41207 + (one[0] == 'B')}"])
    proposal = proposed(text, when="before")

    assert [(fault.code, fault.mark.line) for fault in proposal.faults] == [("other-wing", 12)]


def test_specified_lengths_between_measured_ones_are_refused(proposed: Proposed) -> None:
    text = table(
        "Line,Source,Left,Right", lambda line: ["Soll" if line[1] > 7 else "Ist", *pair(line)]
    )
    proposal = proposed(text, when="before")

    assert [(fault.code, fault.mark.line) for fault in proposal.faults] == [
        ("nothing-to-propose", 9)
    ]


def test_first_and_second_readings_are_no_stabilo(proposed: Proposed) -> None:
    heads = "Line,Left 1st,Left 2nd,Right 1st,Right 2nd"
    text = table(
        heads, lambda line: [x + d for x in (measured(line, 0), measured(line, 1)) for d in (-1, 1)]
    )

    assert values(proposed(text, columns="mean", when="before")) == both("before")


@pytest.mark.parametrize("heads", ["{} with loop", "Result {}"])
def test_lengths_with_their_loop_or_as_a_result_are_lengths(proposed: Proposed, heads: str) -> None:
    titles = ",".join(["Line", *map(heads.format, ("left", "right"))])
    beside = f"{titles},Left,Right,Loops,Year"

    assert values(proposed(table(titles, pair), when="before")) == both("before")
    assert kinds(proposed(table(beside, lambda line: [*four(line), 2, 2026]), when="before")) == [
        "columns"
    ]


def test_of_several_columns_their_median_can_be_taken_and_how_far_apart_is_said(
    proposed: Proposed,
) -> None:
    def thrice(line: tuple[str, int]) -> list[object]:
        one = measured(line, 0)
        return [one, one + 80 * (line[1] == 3), one]

    text = table("Line,M1,M2,M3", thrice)
    asks = next(q for q in proposed(text).questions if q.kind == "columns").asks
    found = values(proposed(text, columns="median", side="left", when="before"))

    assert "up to 80 mm apart" in asks
    assert found["before", "left", "A", 3] == measured(("A", 3), 0)


def test_who_measured_is_no_row(proposed: Proposed) -> None:
    text = table(BOTH, pair).replace("\nA", "\nKL,A").replace("\nB", "\nKL,B")

    assert values(proposed("Operator," + text, when="before")) == both("before")


def test_a_side_in_the_corner_or_over_a_table_without_headings_holds_for_it(
    proposed: Proposed,
) -> None:
    text = "".join(
        table(title, lambda line, n=n: [measured(line, n)])
        for n, title in enumerate(("LEFT WING", "RIGHT WING"))
    )

    assert values(proposed(text, when="before")) == both("before")


@pytest.mark.parametrize("row", ["A4   {right}", "A4 {right}", "A4        {right}"])
def test_of_columns_that_blanks_part_a_row_that_lacks_one_is_refused(
    proposed: Proposed, row: str
) -> None:
    width = " " if row.startswith("A4 {") else " " * 3
    text = table(BOTH, pair).replace(",", width)
    right = measured(("A", 4), 1)
    lacking = text.replace(
        f"A4{width}{measured(('A', 4), 0)}{width}{right}", row.format(right=right)
    )
    clear = row == "A4   {right}"  # below the first of the row above

    assert proposed(text, "x.txt", when="before").text
    assert [f.code for f in proposed(lacking, "x.txt", when="before").faults] == (
        [] if clear else ["columns-not-clear"]
    )


def test_lists_in_records_are_columns_and_none_is_lost(proposed: Proposed) -> None:
    def records(of: Callable[[int], object]) -> str:
        rows = [
            {"line": f"{r}{n}"} | {"left": of(a), "right": [b]}
            for r, n in LINES
            for a, b in [pair((r, n))]
        ]
        return json.dumps(rows)

    readings = records(lambda mm: [mm - 1, mm, mm + 1])
    assert values(proposed(records(lambda mm: {"mm": mm}), "x.json", when="before")) == both(
        "before"
    )
    assert values(proposed(readings, "x.json", columns="mean", when="before")) == both("before")


def test_rows_of_two_days_that_lists_hold_are_not_one_point(proposed: Proposed) -> None:
    days = [
        {"date": day, "left": {row: [measured((row, n), k) for n in range(1, 11)] for row in "AB"}}
        for k, day in enumerate(("2026-03-02", "2026-03-05"))
    ]
    question = proposed(json.dumps({"days": days}), "x.json").questions[0]

    assert question.kind == "readings"
    assert "20 lines have several numbers in different rows, such as " in question.asks


def test_a_hidden_sheet_is_left_out_and_said(proposed: Proposed) -> None:
    grids = {
        name: [["Line", "Left", "Right"], *([f"{r}{n}", *pair((r, n))] for r, n in LINES)]
        for name in ("Before", "After")
    }
    hidden = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(xlsx(grids))) as book, zipfile.ZipFile(hidden, "w") as made:
        for name in book.namelist():
            part = book.read(name)
            made.writestr(name, part.replace(b'name="After"', b'name="After" state="hidden"'))
    proposal = proposed(hidden.getvalue(), "x.xlsx")

    assert values(proposal) == both("before")
    assert proposal.left_out == ("Sheet “After” is hidden, and is left out.",)
