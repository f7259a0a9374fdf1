"""A riser that is in the numbers of some lines only is taken off, or added to, those alone."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from trimscribe.errors import Severity
from trimscribe.exports.guessing.propose import MapProposal, propose
from trimscribe.exports.line_sets import CheckedLineSet, line_set
from trimscribe.registry import Registry

MEDLAR = Path(__file__).parents[2] / "examples" / "medlar-m.yaml"
ROWS = ("A", "B", "C")
FAN, MAIN = ("brake",), ("brake_main",)
EVERY = (*ROWS, "stabilo", *FAN, *MAIN)
ANSWERS = ("500", "-500", "+500", "500.0")


@pytest.fixture(scope="module")
def medlar() -> CheckedLineSet:
    return line_set(MEDLAR)


def worn(medlar: CheckedLineSet, group: str, point: int, side: str) -> float:
    """A measured length in mm: some mm off, no two of a row alike."""
    return (medlar.lengths[group][point - 1] or 0) - 4 + (5 * point + 3 * (side == "left")) % 7


def proposed(
    registry: Registry,
    medlar: CheckedLineSet,
    folder: Path,
    off: Mapping[str, float],
    answers: Mapping[str, str],
) -> MapProposal:
    """What is made of an export of these groups, each with its mm added to all lengths."""
    rows = ["Line,Left before,Right before"]
    for group in off:
        for point in range(1, len(medlar.lengths[group]) + 1):
            name = "Main" if group == "brake_main" else f"{group}{point}"
            pair = (worn(medlar, group, point, side) + off[group] for side in ("left", "right"))
            rows.append(f"{name},{','.join(f'{mm:g}' for mm in pair)}")
    path = folder / "jig.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return propose(registry, path, medlar, answers=answers)


def furthest_off(medlar: CheckedLineSet, made: MapProposal) -> float:
    """By how many mm the imported length that is furthest off misses what was measured."""
    assert made.export is not None
    return max(
        abs(float(one.value) - worn(medlar, str(one.path[2]), int(one.path[3]), str(one.path[1])))
        for one in made.export.imported.values
    )


@pytest.mark.parametrize("answer", ANSWERS)
@pytest.mark.parametrize("mm", [500.0, -500.0])
@pytest.mark.parametrize(
    "within",
    [EVERY, (*ROWS, "stabilo"), ROWS, (*ROWS, "stabilo", *FAN), FAN],
    ids=["all", "without brakes", "rows", "without brake main", "brake fan"],
)
def test_an_answer_of_either_sign_corrects_the_groups_that_are_off_and_no_others(
    registry: Registry,
    medlar: CheckedLineSet,
    tmp_path: Path,
    within: tuple[str, ...],
    mm: float,
    answer: str,
) -> None:
    off = {group: mm if group in within else 0.0 for group in EVERY}
    made = proposed(registry, medlar, tmp_path, off, {"riser": answer})

    assert made.questions == ()
    assert made.export is not None
    assert len(made.export.imported.values) == 2 * sum(map(len, medlar.lengths.values()))
    assert made.export.faults == ()
    assert furthest_off(medlar, made) < 0.01


def test_the_question_says_which_way_the_lines_are_off_and_what_an_answer_changes(
    registry: Registry, medlar: CheckedLineSet, tmp_path: Path
) -> None:
    without = {g: -500.0 if g in (*ROWS, "stabilo") else 0.0 for g in EVERY}
    within = dict.fromkeys(ROWS, 500.0)
    asks = [
        proposed(registry, medlar, tmp_path, off, {}).questions[0].asks for off in (without, within)
    ]

    assert "The lengths of A, B, C and stabilo are about 5" in asks[0]
    assert "shorter than the line set's; those of brake and brake_main are not." in asks[0]
    assert "it is added to A, B, C and stabilo alone, whatever its sign" in asks[0]
    assert "The lengths of A, B and C are about 499 mm longer" in asks[1]
    assert "longer than the line set's." in asks[1]
    assert "it is taken off A, B and C alone, whatever its sign" in asks[1]


def test_rows_that_are_off_otherwise_are_not_said_to_be_right_and_may_be_of_another_wing(
    registry: Registry, medlar: CheckedLineSet, tmp_path: Path
) -> None:
    off = {g: -900.0 if g in ROWS else -300.0 for g in EVERY}
    asks = [question.asks for question in proposed(registry, medlar, tmp_path, off, {}).questions]

    assert len(asks) == 2
    assert not any("are not" in one for one in asks)
    assert all("another wing or size" in one for one in asks)


def test_parts_of_two_lengths_are_two_questions(
    registry: Registry, medlar: CheckedLineSet, tmp_path: Path
) -> None:
    off = {"A": 500.0, "B": 500.0, "C": 500.0, "stabilo": 0.0, "brake": 250.0, "brake_main": 0.0}
    asked = proposed(registry, medlar, tmp_path, off, {})
    made = proposed(registry, medlar, tmp_path, off, {"riser": "500", "riser 2": "250"})

    assert [one.id for one in asked.questions] == ["riser", "riser 2"]
    assert furthest_off(medlar, made) < 0.01


@pytest.mark.parametrize("answer", ["62", "0", "5000", "inf", "nan", "50 cm"])
def test_a_length_that_does_not_explain_the_numbers_is_refused_with_the_range(
    registry: Registry, medlar: CheckedLineSet, tmp_path: Path, answer: str
) -> None:
    made = proposed(registry, medlar, tmp_path, dict.fromkeys(ROWS, -500.0), {"riser": answer})

    assert made.text is None
    assert [fault.code for fault in made.faults] == ["answer-not-known"]
    assert "no, a number of mm from 4" in made.faults[0].message
    assert "shorter than the line set's" in made.faults[0].hint


def test_where_the_lines_are_said_to_be_so_it_is_not_written_without_a_word(
    registry: Registry, medlar: CheckedLineSet, tmp_path: Path
) -> None:
    off = {g: -500.0 if g in ROWS else 0.0 for g in EVERY}
    made = proposed(registry, medlar, tmp_path, off, {"riser": "no"})

    assert made.export is not None
    (told,) = made.export.faults
    assert (told.code, told.severity) == ("far-off-line-set", Severity.WARNING)
    assert "The lengths of A, B and C are about 50" in told.message
    assert "shorter than the line set's; those of stabilo, brake and brake_main are" in told.message


def test_a_single_length_that_no_wear_explains_is_told_with_its_place(
    registry: Registry, medlar: CheckedLineSet, tmp_path: Path
) -> None:
    proposed(registry, medlar, tmp_path, dict.fromkeys(EVERY, 0.0), {})
    path = tmp_path / "jig.csv"
    text = path.read_text(encoding="utf-8").replace("\nA3,73", "\nA3,77")
    path.write_text(text, encoding="utf-8")
    made = propose(registry, path, medlar)

    assert made.export is not None
    (told,) = made.export.faults
    assert (told.code, told.severity) == ("far-off-line-set", Severity.WARNING)
    assert told.mark is not None
    assert (told.mark.line, told.mark.column) == (4, 4)
    assert "`before.left.A.3` is 7" in told.message
    assert "about 40" in told.message


def test_one_side_with_a_riser_and_one_without_is_told_and_nothing_is_taken_off(
    registry: Registry, medlar: CheckedLineSet, tmp_path: Path
) -> None:
    proposed(registry, medlar, tmp_path, dict.fromkeys(ROWS, 0.0), {})
    path = tmp_path / "jig.csv"
    first, *lines = path.read_text(encoding="utf-8").splitlines()
    cells = [line.split(",") for line in lines]
    longer = [f"{name},{left},{float(right) + 500:g}" for name, left, right in cells]
    path.write_text("\n".join([first, *longer]) + "\n", encoding="utf-8")
    made = propose(registry, path, medlar)

    assert made.questions == ()
    assert made.export is not None
    (told,) = made.export.faults
    assert "The lengths of A right, B right and C right are about 5" in told.message
    assert "those of A left, B left and C left are not" in told.message


def test_points_from_the_tip_are_seen_beside_a_riser(
    registry: Registry, medlar: CheckedLineSet, tmp_path: Path
) -> None:
    """What a riser adds to some rows only is no scatter that hides which way points count."""
    rows = ["Line,Left before,Right before"]
    for group in EVERY:
        count = len(medlar.lengths[group])
        for point in range(1, count + 1):
            mm = worn(medlar, group, count + 1 - point, "left") + 500 * (group in ROWS)
            name = "Main" if group == "brake_main" else f"{group}{point}"
            rows.append(f"{name},{mm:g},{mm + 1:g}")
    path = tmp_path / "tip.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    made = propose(registry, path, medlar, answers={"riser": "500"})

    assert made.questions == ()
    assert made.text is not None
    assert "points_from: tip" in made.text
    assert made.export is not None
    left = [one for one in made.export.imported.values if one.path[1] == "left"]
    assert max(
        abs(float(one.value) - worn(medlar, str(one.path[2]), int(one.path[3]), "left"))
        for one in left
    ) < 0.01  # fmt: skip
