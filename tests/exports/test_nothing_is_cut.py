"""A length of an export is imported whole, or its place is reported: it is never dropped or cut."""

from collections.abc import Callable
from pathlib import Path

import pytest
from export_files import Formula, xlsx

from trimscribe.errors import InputError, Severity
from trimscribe.exports.export import read_export
from trimscribe.exports.guessing.propose import MapProposal, propose
from trimscribe.exports.line_sets import line_set
from trimscribe.registry import Registry

QUINCE = line_set(Path(__file__).parents[2] / "examples" / "quince-s.yaml")
LINES = [(row, n) for row in ("A", "B") for n in range(1, 11)]
HEADINGS = "Line,Left before,Right before"

Import = Callable[..., MapProposal]


@pytest.fixture
def imported(registry: Registry, tmp_path: Path) -> Import:
    def run(text: str | bytes, name: str = "x.csv", **answers: str) -> MapProposal:
        path = tmp_path / name
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return propose(registry, path, QUINCE, measuring="before", answers=answers)

    return run


def measured(row: str, point: int, side: int) -> float:
    """A length in mm with tenths, near the line set."""
    return QUINCE.lengths[row][point - 1] - 3 + (7 * point + 3 * side) % 5 + 0.1 * (point % 10)


def written(mm: float, mark: str = ",") -> str:
    return f"{mm:.1f}".replace(".", mark)


def listed(
    write: Callable[[float], str] = written,
    heading: str | None = HEADINGS,
    label: str = "{}{}",
    between: str = ",",
) -> str:
    rows = [
        between.join([label.format(*line), *(write(measured(*line, side)) for side in (0, 1))])
        for line in LINES
    ]
    return "\n".join([*([heading] if heading else []), *rows]) + "\n"


SPLIT = {
    "every number": listed(),
    "row and point apart": listed(heading="Row,Point,Left,Right", label="{},{}"),
    "no headings": listed(heading=None),
    "a title and a year": "Workshop,2029\n" + listed(heading=None),
    "a head of six cells": "Device,LM,Date,1.2.2029,Force,50 N\n" + listed(),
    "metres": listed(lambda mm: f"{mm / 1000:.4f}".replace(".", ",")),
    "thousands": listed(lambda mm: f"{mm:,.0f}"),
    "whole numbers beside": listed(lambda mm: written(mm).removesuffix(",0")),
    "one number alone": listed(lambda mm: f"{mm:.0f}").replace("\nB10,", "\nB11,5881,5,5882\nB10,"),
    "the last number of one row": listed(lambda mm: f"{mm:.0f}").rstrip() + ",5\n",
    "below a line without lengths": listed(
        lambda mm: f"{mm:.0f}", "Row,Point,Left,Right", "{},{}"
    ).replace("\nB,4,", "\nB,5,\nB,4,6413,5,6414,5\nB,4,"),
    "quoted elsewhere": listed().replace("\nA1,", '\n"A1",'),
}


@pytest.mark.parametrize("text", SPLIT.values(), ids=[*SPLIT])
def test_decimal_commas_between_commas_are_refused_with_the_number(
    imported: Import, text: str
) -> None:
    made = imported(text)

    assert made.text is None
    assert [fault.code for fault in made.faults] == ["decimals-between-commas"]
    assert "looks like one number" in made.faults[0].message
    assert made.faults[0].mark is not None
    assert made.faults[0].mark.line


def test_a_map_does_not_cut_them_either(registry: Registry, tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_text(listed(), encoding="utf-8")
    (tmp_path / "m.yaml").write_text(
        "trimscribe: 1\ntables:\n  - when: before\n    header: 1\n"
        '    labels: [{column: Line, form: "{row}{point}"}]\n'
        "    values: [{column: Left before, side: left}]\n",
        encoding="utf-8",
    )
    export = read_export(registry, tmp_path / "x.csv", tmp_path / "m.yaml", QUINCE, "")

    assert [fault.code for fault in export.faults] == ["decimals-between-commas"]
    assert export.imported.values == ()


WHOLE = {
    "quoted": listed(lambda mm: f'"{written(mm)}"'),
    "points": listed(lambda mm: written(mm, ".")),
    "semicolons": listed(heading=HEADINGS.replace(",", ";"), between=";"),
    "tabs": listed(heading=HEADINGS.replace(",", "\t"), between="\t"),
}


@pytest.mark.parametrize("text", WHOLE.values(), ids=[*WHOLE])
def test_numbers_that_are_told_from_columns_are_imported_whole(imported: Import, text: str) -> None:
    made = imported(text)

    assert made.questions == ()
    assert made.export is not None
    assert {one.path: one.value for one in made.export.imported.values} == {
        ("before", side, *line): round(measured(*line, n), 1)
        for n, side in enumerate(("left", "right"))
        for line in LINES
    }


FOURTH = f"right,A,4,{measured('A', 4, 1):.0f}"
LISTED = "side,row,point,length\n" + "".join(
    f"{name},{row},{n},{measured(row, n, side):.0f}\n"
    for side, name in enumerate(("left", "right"))
    for row, n in LINES
)


@pytest.mark.parametrize(
    "text",
    [
        listed(lambda mm: f"{mm:.0f}", heading=None),
        listed(lambda mm: f"{mm:.0f},{mm % 7:.0f}", f"{HEADINGS.replace(',', ',n,')},dev"),
        listed(lambda mm: f"{mm:.0f}").replace("\nB4,", "\nB4,6413,6414,see note\nB5,"),
        LISTED.replace(FOURTH, "right,A,4,"),
    ],
    ids=["whole numbers", "a column of its own", "a remark", "a line without its length"],
)
def test_columns_of_their_own_are_no_decimals(imported: Import, text: str) -> None:
    assert "decimals-between-commas" not in [fault.code for fault in imported(text).faults]


NO_NUMBER, ERROR = "length-not-a-number", "cell-is-an-error"
UNREAD = {
    **{"66S1,2": NO_NUMBER, "6645,5?": NO_NUMBER, "ca. 6400": NO_NUMBER, "6 4 1 8": NO_NUMBER},
    **{"#REF!": ERROR, "#N/A": ERROR, "27.11.": "wrong-decimal-mark"},
}


@pytest.mark.parametrize(("cell", "code"), UNREAD.items(), ids=[*UNREAD])
def test_a_cell_that_holds_digits_or_an_error_is_reported_at_its_place(
    imported: Import, cell: str, code: str
) -> None:
    text = listed(heading=HEADINGS.replace(",", ";"), between=";")
    first, line, *rest = text.splitlines()
    name, _, right = line.split(";")
    made = imported("\n".join([first, f"{name};{cell};{right}", *rest]) + "\n")

    assert made.export is not None
    (told,) = made.export.faults
    assert (told.code, told.severity) == (code, Severity.ERROR)
    assert told.mark is not None
    assert (told.mark.line, told.mark.column) == (2, 4)


def test_a_formula_that_was_never_worked_out_is_reported(imported: Import) -> None:
    grid: list[list[object]] = [HEADINGS.split(",")]
    grid += [[f"{r}{n}", measured(r, n, 0), measured(r, n, 1)] for r, n in LINES]
    grid[3][2] = Formula("1/0", None)
    made = imported(xlsx({"Lines": grid}), "x.xlsx")

    assert made.export is not None
    assert [fault.code for fault in made.export.faults] == ["formula-without-value"]
    assert made.export.faults[0].mark is not None
    assert made.export.faults[0].mark.cell == "Lines!C4"


@pytest.mark.parametrize("cell", ["-", "n/a", "damaged", "0", "x"])
def test_words_and_zeros_still_are_not_measured_and_said(imported: Import, cell: str) -> None:
    first, line, *rest = listed(heading=HEADINGS.replace(",", ";"), between=";").splitlines()
    name, _, right = line.split(";")
    made = imported("\n".join([first, f"{name};{cell};{right}", *rest]) + "\n")

    assert made.export is not None
    assert made.export.faults == ()
    assert made.export.missing[0] == "before.left.A.1"
    assert made.left_out == (f"1 cell “{cell}” is read as not measured: line 2.",)


def test_a_file_that_cannot_be_opened_is_still_an_input_error(
    registry: Registry, tmp_path: Path
) -> None:
    with pytest.raises(InputError):
        propose(registry, tmp_path / "none.csv", QUINCE)
