"""Specified lengths that do not fit are doubted; sound line sets are not.

The rule and its check values are the project's own, worked out by hand; common practice, no source.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from trimscribe.analyse.doubts.specification import both_sides_off, specified_doubts
from trimscribe.analyse.line_table import LineTable, line_table
from trimscribe.exports.line_sets import line_set
from trimscribe.model.findings import DoubtKind
from trimscribe.model.wing import GroupKind, LineGroup, Specification

EXAMPLES = Path(__file__).parents[2] / "examples"
ROW = [7010.0, 6994, 6975, 6497, 6906, 6862, 6805, 6741, 6668]
MEANT = [7010.0, 6994, 6975, 6947, 6906, 6862, 6805, 6741, 6668]
OTHER = [length - 52.0 for length in MEANT]


def test_a_digit_turned_round_is_found_with_what_was_meant() -> None:
    """By hand: (-6994 + 4 x 6975 + 4 x 6906 - 6862) / 6 = 6944.67, and 6497 is 447.67 less."""
    (doubt,) = specified_doubts({"A": ROW, "B": OTHER})

    assert doubt.kind is DoubtKind.SPECIFIED_LENGTH
    assert doubt.name == "specification.A4"
    assert doubt.at == ("specification", "rows", "A", "lengths_mm", 3)
    assert doubt.expected == pytest.approx(6944.67, abs=0.005)
    assert doubt.found - doubt.expected == pytest.approx(-447.67, abs=0.005)
    assert doubt.suggested == 6947


def test_with_the_length_that_was_meant_there_is_no_doubt() -> None:
    assert [*specified_doubts({"A": MEANT, "B": OTHER})] == []


def test_one_row_alone_is_not_judged() -> None:
    assert [*specified_doubts({"A": ROW})] == []


def test_too_few_points_say_nothing() -> None:
    assert [*specified_doubts({"A": [7010.0, 6994, 6400], "B": [7000.0, 6990, 6970]})] == []


def transpositions(lengths: list[float], least_mm: float) -> list[tuple[int, float]]:
    """Every point with two neighbouring digits turned round that change it by more than this."""
    found = []
    for point, length in enumerate(lengths):
        digits = str(int(length))
        for i in range(len(digits) - 1):
            turned = float(digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :])
            if abs(turned - length) > least_mm:
                found.append((point, turned))
    return found


@pytest.mark.parametrize("name", ["medlar-m", "bullace-l", "quince-s"])
def test_every_transposition_above_60_mm_in_the_examples_is_named(name: str) -> None:
    rows = {k: [*v] for k, v in line_set(EXAMPLES / f"{name}.yaml").lengths.items() if len(k) == 1}
    assert [*specified_doubts(rows)] == []
    missed = tried = 0
    for row, lengths in rows.items():
        for point, turned in transpositions(lengths, 60):
            wrong = {**rows, row: [*lengths[:point], turned, *lengths[point + 1 :]]}
            tried += 1
            names = [doubt.name for doubt in specified_doubts(wrong)]
            missed += f"specification.{row}{point + 1}" not in names

    assert tried > 20
    assert missed == 0


def sound(random: np.random.Generator) -> dict[str, list[float]]:
    """A made-up line set: rows that share the uneven spacing of the ribs, in steps of 5 mm or 1."""
    points, rows = int(random.integers(8, 16)), int(random.integers(2, 6))
    spacing = np.cumsum(random.uniform(0.85, 1.15, points))
    arc = 7500 - random.uniform(300, 900) * (spacing / spacing[-1]) ** 2
    step = random.choice([1.0, 5.0])
    found = {}
    for n, name in enumerate("ABCDE"[:rows]):
        lengths = arc + random.uniform(-60, 60) + n * random.uniform(0, 3) * np.arange(points)
        found[name] = [float(x) for x in np.round(lengths[: points - n // 2] / step) * step]
    return found


def test_sound_line_sets_are_not_doubted() -> None:
    random = np.random.default_rng(16)
    doubted = sum(bool([*specified_doubts(sound(random))]) for _ in range(400))

    assert doubted == 0


def sheet(random: np.random.Generator, off_mm: float) -> LineTable:
    """A new wing of three rows, read with u = 1.5 mm, whose fifth B length is specified wrongly."""
    main = random.normal(0, 1.0, (3, 4)).repeat(3, axis=1)
    length = main[None] + random.normal(0, 1.5, (2, 3, 12)) + 7000.0
    specified = np.full((3, 12), 7000.0)
    specified[1, 4] -= off_mm
    rows = zip("ABC", specified.tolist(), strict=True)
    groups = [LineGroup(name, GroupKind.ROW, tuple(lengths_mm)) for name, lengths_mm in rows]
    made = line_table(Specification("", "", "", "", "", tuple(groups)), {}, when="before")
    return replace(made, length=length)


@pytest.mark.parametrize(
    ("off_mm", "least", "most"), [(0, 0.0, 0.03), (20, 0.9, 1.0), (30, 0.97, 1.0)]
)
def test_a_point_off_on_both_sides_speaks_of_its_specified_length(
    off_mm: float, least: float, most: float
) -> None:
    random = np.random.default_rng(7)
    found = 0
    for _ in range(200):
        doubts, _ = both_sides_off(sheet(random, off_mm), ())
        found += (
            any(doubt.name == "specification.B5" for doubt in doubts) if off_mm else bool(doubts)
        )

    assert least <= found / 200 <= most


def test_a_doubt_that_is_known_is_not_raised_again() -> None:
    doubts, rest = both_sides_off(sheet(np.random.default_rng(7), 40), ("specification.B5",))

    assert doubts == ()
    assert np.isnan(rest.length[:, 1, 4]).all()


def stepped(sheet: LineTable, point: int) -> LineTable:
    """Main lines of three; from this point of row B on, three lines are 30 mm shorter."""
    length = sheet.length.copy()
    length[:, 1, point : point + 3] -= 30.0
    main = np.arange(12)[None] // 3 + 4 * np.arange(3)[:, None]
    return replace(sheet, length=length, main_lines=main)


def test_a_step_from_one_main_line_to_the_next_speaks_of_the_wing() -> None:
    random = np.random.default_rng(3)
    doubts = [both_sides_off(stepped(sheet(random, 0), 3 * n), ())[0] for n in (1, 2, 3) * 20]

    assert sum(map(bool, doubts)) <= 2


def test_a_point_alone_on_its_main_line_speaks_of_that() -> None:
    made = sheet(np.random.default_rng(7), 40)
    main = np.full((3, 12), 0)
    main[1, 4] = 1

    assert [doubt.name for doubt in both_sides_off(made, ())[0]] == ["specification.B5"]
    assert both_sides_off(replace(made, main_lines=main), ())[0] == ()


def test_the_other_measuring_must_show_a_wrong_specification_too() -> None:
    wrong = sheet(np.random.default_rng(7), 40)
    mended = replace(wrong, length=wrong.length.copy(), when="after")
    mended.length[:, 1, 4] -= 40.0
    unknown = replace(mended, length=np.full_like(mended.length, np.nan))

    assert both_sides_off(wrong, (), mended)[0] == ()
    assert both_sides_off(wrong, (), replace(wrong, when="after"))[0]
    assert both_sides_off(wrong, (), unknown)[0]
