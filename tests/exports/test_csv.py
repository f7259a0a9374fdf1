"""The plain form of measured lengths."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimscribe.contracts import SUPPORTED, Importer
from trimscribe.errors import Mark
from trimscribe.exports.importers.csv import importer
from trimscribe.model.wing import Side
from trimscribe.validation.lengths import beyond_all_lines

HEAD = "side,row,point,length_mm\n"


def codes(text: str) -> list[str]:
    return [fault.code for fault in importer.read(text.encode(), "x.csv")[1]]


def test_it_is_an_importer_of_this_contract() -> None:
    assert isinstance(importer, Importer)
    assert importer.contract == SUPPORTED["importers"][1]


def test_a_length_knows_its_cell() -> None:
    lengths, faults = importer.read((HEAD + "left, A ,1, 7334.5\n").encode(), "jobs/x.csv")

    assert faults == ()
    (length,) = lengths
    assert (length.side, length.group, length.point, length.length_mm) == (
        Side.LEFT,
        "A",
        1,
        7334.5,
    )
    assert length.mark == Mark("jobs/x.csv", 2, 13, 6, "left, A ,1, 7334.5")


def test_equal_cells_have_places_of_their_own() -> None:
    lengths, _ = importer.read(b"point,length_mm,side,row\n1,11,left,A\n11,1,left,A\n", "x.csv")

    assert [(x.mark.column, x.mark.width) for x in lengths] == [(3, 2), (4, 1)]


@pytest.mark.parametrize(
    "text",
    [
        HEAD + '"left","A","1","7334"\n',
        HEAD.replace("\n", "\r\n") + "left,A,1,7334\r\n\r\n",
        "length_mm,point,row,side\n7334,1,A,left",
        "\n" + HEAD + "\nleft,A,1,7334.0\n",
    ],
)
def test_quotes_line_breaks_empty_lines_and_order_of_columns_do_not_matter(text: str) -> None:
    lengths, faults = importer.read(text.encode(), "x.csv")

    assert faults == ()
    assert [(x.side, x.group, x.point, x.length_mm) for x in lengths] == [("left", "A", 1, 7334)]


def test_an_empty_length_is_not_measured() -> None:
    lengths, faults = importer.read((HEAD + "left,A,1,\nright,A,1,7\n").encode(), "x.csv")

    assert faults == ()
    assert [(x.side, x.length_mm, x.mark.line) for x in lengths] == [
        ("left", None, 2),
        ("right", 7, 3),
    ]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("Left,A,1,7334", "bad-side"),
        ("both,A,1,7334", "bad-side"),
        (",A,1,7334", "bad-side"),
        ("left,,1,7334", "bad-row-name"),
        ("left,A1,1,7334", "bad-row-name"),
        ("left,A,0,7334", "point-not-a-number"),
        ("left,A,1.0,7334", "point-not-a-number"),
        ("left,A,,7334", "point-not-a-number"),
        ("left,A,1,7334mm", "length-not-a-number"),
        ("left,A,1,nan", "length-not-a-number"),
        ("left,A,1,1e4", "length-not-a-number"),
        ("left,A,1,٧٣٣٤", "length-not-a-number"),
        ("left,A,1,=1+1", "length-not-a-number"),
        ("left,A,1,0", "out-of-range"),
        ("left,A,1,-5", "out-of-range"),
        ("left,A,1", "wrong-number-of-cells"),
        ("left,A,1,7334,5", "wrong-number-of-cells"),
        ('left,A,1,"7334', "unclosed-quote"),
    ],
)
def test_a_faulty_line_is_reported_and_the_others_are_read(line: str, code: str) -> None:
    text = HEAD + f"right,A,1,7001\n{line}\nright,A,2,7002\n"
    lengths, faults = importer.read(text.encode(), "x.csv")

    assert [fault.code for fault in faults] == [code]
    assert [fault.mark.line for fault in faults if fault.mark] == [3]
    assert [length.length_mm for length in lengths if length.length_mm] == [7001, 7002]


def test_a_length_far_off_is_shown_as_it_was_written() -> None:
    (length,), _ = importer.read((HEAD + "left,A,1,7342000.5").encode(), "x.csv")
    fault = beyond_all_lines(length)

    assert fault
    assert fault.message == "7342000.5 mm is not a length of a line."


def test_all_faulty_cells_of_a_line_are_reported() -> None:
    assert codes(HEAD + "lft,A2,x,7,3") == ["wrong-number-of-cells"]
    assert codes(HEAD + "lft,A2,1,y") == ["bad-side", "bad-row-name", "length-not-a-number"]


def test_a_decimal_comma_is_reported_with_the_fix() -> None:
    for line in ("left,A,1,7334,5", 'left,A,1,"7334,5"'):
        (fault,) = importer.read((HEAD + line).encode(), "x.csv")[1]
        assert fault.hint == "Write a decimal point, not a comma."


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "empty-file"),
        ("\n\n", "empty-file"),
        ("left,A,1,7334\n", "unknown-column"),
        ("side,row,point\n", "missing-column"),
        ("side;row;point;length_mm\nleft;A;1;7334\n", "wrong-delimiter"),
        ("side\trow\tpoint\tlength_mm\n", "wrong-delimiter"),
        (HEAD + "left,A,1,73\x0034\n", "invisible-sign"),
    ],
)
def test_a_table_that_is_not_the_plain_form_is_reported(text: str, code: str) -> None:
    assert code in codes(text)


@pytest.mark.parametrize("cell", ["-", "~", "n/a", "x", "?"])
def test_what_stands_for_nothing_is_told_to_be_left_empty(cell: str) -> None:
    _, (fault,) = importer.read((HEAD + f"left,A,1,{cell}\n").encode(), "x.csv")

    assert fault.hint == "Leave the cell empty if the point was not measured."


def test_the_byte_order_mark_of_spreadsheet_programs_is_skipped() -> None:
    lengths, faults = importer.read(("\ufeff" + HEAD + "left,A,1,7334\n").encode(), "x.csv")
    _, (fault,) = importer.read("\ufeffsite,row,point,length_mm\n".encode(), "x.csv")

    assert ([length.length_mm for length in lengths], faults) == ([7334], ())
    assert fault.mark == Mark("x.csv", 1, 1, 4, "site,row,point,length_mm")


def test_a_table_full_of_faults_is_cut_short() -> None:
    assert len(codes(HEAD + "x,A,1,1\n" * 5000)) == 200


ROWS = st.lists(
    st.tuples(
        st.sampled_from(["left", "right"]),
        st.sampled_from(["A", "B", "rear row", "stabilo", "brake", "brake_main", "Ä"]),
        st.integers(1, 30),
        st.decimals(1, 20000, places=2).map(str) | st.just(""),
    ),
    unique_by=lambda row: row[:3],
)


@given(ROWS)
def test_what_the_csv_library_writes_is_read_with_marks_that_show_it(
    rows: list[tuple[str, str, int, str]],
) -> None:
    """The standard library's writer is the outside reference."""
    out = io.StringIO()
    csv.writer(out).writerows([("side", "row", "point", "length_mm"), *rows])
    lengths, faults = importer.read(out.getvalue().encode(), "x.csv")

    assert faults == ()
    assert [(x.side, x.group, x.point, x.length_mm) for x in lengths] == [
        (side, group, point, float(length) if length else None)
        for side, group, point, length in rows
    ]
    for length in lengths:
        if length.length_mm is None:
            continue
        mark = length.mark
        shown = mark.source[mark.column - 1 : mark.column - 1 + mark.width]
        assert float(shown) == length.length_mm


@given(st.binary(max_size=200))
def test_no_bytes_raise(data: bytes) -> None:
    importer.read(data, "x.csv")
    importer.read(HEAD.encode() + data, "x.csv")
