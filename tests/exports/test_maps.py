"""Maps that something is wrong with, and what each key of a map does to a table."""

from collections.abc import Callable

import pytest
from export_files import xlsx

from trimscribe.errors import Mark
from trimscribe.exports.mapping.extract import import_export
from trimscribe.exports.mapping.load import load_map
from trimscribe.exports.mapping.normalise import Imported
from trimscribe.registry import Registry

HEAD = "trimscribe: 1\n"
TABLE = """\
tables:
  - labels: [{column: Line, form: "{row}{point} {side}"}]
    values: [{column: mm}]
"""
WORDS = "words: {side: {left: L, right: R}}\n"

Take = Callable[..., Imported]


@pytest.fixture
def take(registry: Registry) -> Take:
    """Read a text by a map whose head is written already."""

    def run(plan: str, data: str | bytes, name: str = "x.csv", **extra: object) -> Imported:
        made, faults = load_map((HEAD + plan).encode(), "map.yaml")
        assert made, faults
        data = data.encode() if isinstance(data, str) else data
        return import_export(registry, data, name, made, Mark("job.yaml"), **extra)

    return run


def found(imported: Imported) -> dict[str, object]:
    assert imported.faults == ()
    return {value.name: value.value for value in imported.values}


@pytest.mark.parametrize("label", ["A1 Straße", "A1 STRAẞE", "A1 straße"])
def test_a_word_with_a_sharp_s_is_found_in_labels(take: Take, label: str) -> None:
    plan = "words: {side: {left: Straße}}\n" + TABLE

    assert found(take(plan, f"Line,mm\n{label},7334\n")) == {"before.left.A.1": 7334}


@pytest.mark.parametrize(
    ("name", "codec"),
    [
        ("cp1252", "windows-1252"),
        ("cp1250", "windows-1250"),
        ("latin-1", "iso-8859-1"),
        ("latin9", "iso-8859-15"),
    ],
)
def test_an_encoding_has_the_names_that_programs_give_it(take: Take, name: str, codec: str) -> None:
    plan = f"format: {{encoding: {name}}}\nwords: {{side: {{left: links é}}}}\n" + TABLE

    data = "Line,mm\nA1 links é,7334\n".encode(codec)
    assert found(take(plan, data)) == {"before.left.A.1": 7334}


@pytest.mark.parametrize(
    ("plan", "code", "at"),
    [
        ("", "missing-key", "1:1"),
        ("tables: []\n", "missing-value", "2:1"),
        ("tables: [{labels: []}]\n", "missing-key", "2:10"),
        ("tables: [{values: [{side: left}]}]\n", "column-not-clear", "2:20"),
        ("tables: [{values: [{column: L, at: B}]}]\n", "column-not-clear", "2:20"),
        ("tables: [{labels: [{column: L}], values: [{at: B}]}]\n", "missing-key", "2:20"),
        ("tables: [{values: [{form: '{rwo}'}]}]\n", "form-not-clear", "2:27"),
        ("tables: [{values: [{form: '{row} {row}'}]}]\n", "form-not-clear", "2:27"),
        ("tables: [{values: [{form: 'A1'}]}]\n", "form-not-clear", "2:27"),
        ("tables: [{values: [{form: '{row'}]}]\n", "form-not-clear", "2:27"),
        ("tables: [{gives: loops, values: [{at: B}]}]\n", "columns-do-not-fit", "2:25"),
        ("tables: [{gives: loops, columns: [{at: B, field: lop}]}]\n", "unknown-field", "2:50"),
        ("tables: [{values: [{at: b}]}]\n", "wrong-form", "2:25"),
        ("tables: [{cells: 'B4', values: [{at: B}]}]\n", "wrong-form", "2:18"),
        ("tables: [{cells: 'C4:B9', values: [{at: B}]}]\n", "cells-upside-down", "2:18"),
        ("tables: [{header: [3, 5], values: [{at: B}]}]\n", "wrong-form", "2:11"),
        ("numbers: {unit: ft}\n" + TABLE, "not-one-of", "2:17"),
        ("numbers: {decimal: comma, thousands: comma}\n" + TABLE, "signs-alike", "2:38"),
        ("words: {side: {left: X, right: X}}\n" + TABLE, "word-means-two-things", "2:32"),
        ("words: {side: {up: X}}\n" + TABLE, "unknown-key", "2:16"),
        ("formt: {}\n" + TABLE, "unknown-key", "2:1"),
    ],
)
def test_a_map_that_is_wrong_is_reported_with_its_place(plan: str, code: str, at: str) -> None:
    made, faults = load_map((HEAD + plan).encode(), "map.yaml")

    assert made is None
    assert (code, f"map.yaml:{at}") in [(fault.code, str(fault.mark)) for fault in faults]


def test_all_faults_of_a_map_are_reported_at_once() -> None:
    plan = HEAD + "numbers: {unit: ft}\ntables: [{values: [{form: '{rwo}'}], cells: 'C4:B9'}]\n"
    _, faults = load_map(plan.encode(), "map.yaml")

    assert [fault.code for fault in faults] == ["not-one-of", "form-not-clear", "cells-upside-down"]
    assert faults[1].hint == "Did you mean `row`?"


@pytest.mark.parametrize(
    ("numbers", "written", "expected"),
    [
        ("", "7342", 7342),
        ("", "7342.50 mm", 7342.5),
        ("", "7 342", 7342),
        ("", "7\u00a0342.5", 7342.5),
        ("", "7\u2009342", 7342),
        ("decimal: comma", "7342,5", 7342.5),
        ("decimal: comma, thousands: point", "7.342,5", 7342.5),
        ("thousands: comma", "7,342.5", 7342.5),
        ("thousands: apostrophe", "7’342", 7342),
        ("unit: cm", "734.25", 7342.5),
        ("unit: m", "7.3425", 7342.5),
        ("unit: m", "7.3425 m", 7342.5),
        ("unit: in", "289.0551181", 7342),  # the inch is 25.4 mm
        ("add_mm: -520", "7862", 7342),
        ("add_mm: {A: -520, B: 1}", "7862", 7342),
        ("means: deviation", "-8.5", 7333.5),
        ("means: deviation", "\u22128.5", 7333.5),
        ("means: deviation, longer: minus", "8.5", 7333.5),
        ("means: deviation, unit: cm, add_mm: 2", "-0.85", 7335.5),
    ],
)
def test_numbers_are_read_as_the_map_says(
    take: Take, numbers: str, written: str, expected: float
) -> None:
    plan = f"numbers: {{{numbers}}}\nformat: {{delimiter: semicolon}}\n" + WORDS + TABLE
    imported = take(plan, f"Line;mm\nA1 L;{written}\n", specified={"A": [7342.0]})

    assert found(imported) == {"before.left.A.1": expected}


def test_the_longest_word_that_fits_is_taken(take: Take) -> None:
    plan = "words: {side: {left: [L, Li], right: [R, Re]}}\n" + TABLE.replace(
        "{row}{point} {side}", "{side}{row}{point}"
    )

    assert list(found(take(plan, "Line,mm\nLiA1,7342\nReB2,7288\nLA3,7326\n"))) == [
        "before.left.A.1",
        "before.right.B.2",
        "before.left.A.3",
    ]


def test_deviations_need_a_line_set(take: Take) -> None:
    imported = take("numbers: {means: deviation}\n" + WORDS + TABLE, "Line,mm\nA1 L,3\nA2 L,4\n")

    assert [fault.code for fault in imported.faults] == ["deviation-without-specification"]


def test_texts_that_say_not_measured_are_left_out(take: Take) -> None:
    plan = "numbers: {empty: [-, n/a, '0']}\n" + WORDS + TABLE
    imported = take(plan, "Line,mm\nA1 L,7342\nA2 L,-\nA3 L,N/A\nA4 L,0\n")

    assert list(found(imported)) == ["before.left.A.1"]
    reasons = [one.reason for one in imported.left_out if one.cell.column == 2 and one.cell.row > 1]
    assert reasons == ["not measured, as the map reads it"] * 3


@pytest.mark.parametrize(
    ("readings", "expected"), [("mean", 7342.3333), ("median", 7342), ("last", 7343)]
)
def test_repeated_readings_become_one_with_their_spread(
    take: Take, readings: str, expected: float
) -> None:
    plan = f"readings: {readings}\nwidest_mm: 1\n" + WORDS + TABLE
    imported = take(plan, "Line,mm\nA1 L,7342\nA1 L,7342\nA1 L,7343\nA2 L,1\nA2 L,3\n")
    first, second = imported.values

    assert (first.value, first.spread_mm, len(first.cells)) == (expected, 1, 3)
    assert second.spread_mm == 2
    assert [(f.code, f.severity.value) for f in imported.faults] == [
        ("readings-far-apart", "warning")
    ]


def test_a_point_counted_from_the_tip_that_is_not_there_is_reported(take: Take) -> None:
    plan = "points_from: tip\n" + WORDS + TABLE
    imported = take(plan, "Line,mm\nA1 L,1\nA4 L,4\n", specified={"A": [4.0, 3.0, 2.0]})

    assert [fault.code for fault in imported.faults] == ["point-not-in-specification"]
    assert [value.name for value in imported.values] == ["before.left.A.3"]


def test_rows_are_skipped_by_their_labels(take: Take) -> None:
    plan = WORDS + TABLE + '    skip: ["mean*", Total]\n'
    imported = take(plan, "Line,mm\nA1 L,7342\nMean of A,7342\ntotal,7342\n")

    assert list(found(imported)) == ["before.left.A.1"]
    assert [o.reason for o in imported.left_out if o.cell.row > 2] == ["skipped by the map"] * 4


def test_what_an_export_says_before_its_map_does_not_matter(take: Take) -> None:
    plan = WORDS + TABLE + "measuring: after\n"

    assert list(found(take(plan, "Line,mm\nA1 L,7342\n"))) == ["after.left.A.1"]
    imported = take(plan, "Line,mm\nA1 L,7342\n", measuring="before")
    assert list(found(imported)) == ["before.left.A.1"]


def test_a_map_gives_a_line_set_without_sides(take: Take) -> None:
    plan = 'tables: [{gives: specification, labels: [{at: A, form: "{point}"}], '
    plan += 'values: [{form: "{row}"}], header: 1}]\n'
    imported = take(plan, "no,A,B\n1,7342,7288\n2,7338,\n")

    assert found(imported) == {
        "specification.A.1": 7342,
        "specification.B.1": 7288,
        "specification.A.2": 7338,
    }


RECORDS = """\
words: {side: {left: L, right: R}, loop: {single loop: 1x, double loop: 2x}}
tables:
  - gives: adjustments
    sheet: Work
    columns:
      - {column: Line, field: line}
      - {column: Side, field: side}
      - {column: Old, field: loop_before}
      - {column: New, field: loop_after}
      - {field: maillon, always: main maillon}
    skip: "*"
  - gives: loops
    sheet: Loops
    columns:
      - {field: maillon, always: main maillon}
      - {column: Loop, field: loop}
      - {column: mm, field: take_up_mm}
  - gives: porosity
    sheet: Cloth
    columns: [{column: Where, field: place}, {column: s, field: value}]
  - gives: tear
    sheet: Cloth
    columns: [{column: Where, field: place}, {column: tear, field: tear_mm}]
"""
BOOK = {
    "Work": [["Line", "Side", "Old", "New"], ["c1", "both", "2x", "1X"], ["a1", "L", "1x", "bow"]],
    "Loops": [["Loop", "mm"], ["1x", 8], ["2x", 17.5]],
    "Cloth": [["Where", "s", "tear"], ["centre", 96, 0], ["left tip", 140, 1]],
}


def test_a_map_gives_loops_adjustments_and_cloth(take: Take) -> None:
    imported = take(RECORDS.replace('    skip: "*"\n', ""), xlsx(BOOK), "x.xlsx")

    assert found(imported) == {
        "adjustments.1.line": "c1",
        "adjustments.1.side": "both",
        "adjustments.1.loop_before": "double loop",
        "adjustments.1.loop_after": "single loop",
        "adjustments.1.maillon": "main maillon",
        "adjustments.2.line": "a1",
        "adjustments.2.side": "left",
        "adjustments.2.loop_before": "single loop",
        "adjustments.2.loop_after": "bow",
        "adjustments.2.maillon": "main maillon",
        "loops.main maillon.single loop": 8,
        "loops.main maillon.double loop": 17.5,
        "cloth.porosity.readings.1.place": "centre",
        "cloth.porosity.readings.1.value": 96,
        "cloth.porosity.readings.2.place": "left tip",
        "cloth.porosity.readings.2.value": 140,
        "cloth.tear.readings.1.place": "centre",
        "cloth.tear.readings.1.tear_mm": 0,
        "cloth.tear.readings.2.place": "left tip",
        "cloth.tear.readings.2.tear_mm": 1,
    }


def test_an_adjustment_without_its_line_is_reported(take: Take) -> None:
    book = {**BOOK, "Work": [["Line", "Side", "Old", "New"], [None, "L", "1x", "2x"]]}
    imported = take(RECORDS.replace('    skip: "*"\n', ""), xlsx(book), "x.xlsx")

    assert [(fault.code, str(fault.mark)) for fault in imported.faults] == [
        ("record-incomplete", "x.xlsx:Work!B2")
    ]


def test_a_side_that_is_none_is_reported(take: Take) -> None:
    book = {**BOOK, "Work": [["Line", "Side", "Old", "New"], ["a1", "X", "1x", "2x"]]}
    imported = take(RECORDS.replace('    skip: "*"\n', ""), xlsx(book), "x.xlsx")

    assert ("bad-side", "x.xlsx:Work!B2") in [(f.code, str(f.mark)) for f in imported.faults]


def test_records_can_be_skipped_and_their_faults_have_cells(take: Take) -> None:
    book = {**BOOK, "Loops": [["Loop", "mm"], [None, 8], ["2x", "much"]]}
    book["Cloth"] = [["Where", "s", "tear"], ["centre", 1, 1]]
    imported = take(RECORDS, xlsx(book), "x.xlsx")

    assert not [value for value in imported.values if value.path[0] == "adjustments"]
    assert [(fault.code, str(fault.mark)) for fault in imported.faults] == [
        ("length-not-a-number", "x.xlsx:Loops!B3"),
        ("record-incomplete", "x.xlsx:Loops!B2"),
        ("record-incomplete", "x.xlsx:Loops!A3"),
    ]
