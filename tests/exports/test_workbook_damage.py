"""Whatever happens to a workbook, the answer is sheets or one fault, never an exception."""

import io
import zipfile
from pathlib import Path

import pytest
from export_files import ods_of, xlsx
from hypothesis import example, given
from hypothesis import strategies as st

from trimscribe.exports.importers.csv import importer as csv_importer
from trimscribe.exports.importers.json import importer as json_importer
from trimscribe.exports.importers.workbook import importer
from trimscribe.model.tables import CellKind, TableFormat

MADE = Path(__file__).parent / "made"
FILES = [MADE / name for name in ("paired.xlsx", "paired.ods", "paired.xls")]

cuts = st.lists(
    st.tuples(
        st.floats(0, 1, exclude_max=True), st.integers(0, 40), st.binary(max_size=8) | st.just(b"<")
    ),
    min_size=1,
    max_size=4,
)


def damaged(data: bytes, changes: list[tuple[float, int, bytes]]) -> bytes:
    for share, length, new in changes:
        place = int(share * len(data))
        data = data[:place] + new + data[place + length :]
    return data


def check(data: bytes, name: str) -> None:
    sheets, faults = importer.tables(data, name, TableFormat())
    assert bool(sheets) != bool(faults)
    assert all(fault.mark and fault.mark.file == name for fault in faults)


@pytest.mark.parametrize("path", FILES, ids=[path.suffix for path in FILES])
@given(changes=cuts)
def test_a_workbook_with_other_bytes_raises_nothing(
    path: Path, changes: list[tuple[float, int, bytes]]
) -> None:
    check(damaged(path.read_bytes(), changes), path.name)


@pytest.mark.parametrize("path", FILES[:2], ids=[path.suffix for path in FILES[:2]])
@given(part=st.floats(0, 1, exclude_max=True), changes=cuts)
@example(part=0.0, changes=[(0.0, 38, b'<?xml version="1.0" encoding="UTF-V"?>')])
@example(part=0.875, changes=[(0.6306720569755522, 2, b"<")])
def test_a_workbook_with_a_damaged_part_raises_nothing(
    path: Path, part: float, changes: list[tuple[float, int, bytes]]
) -> None:
    archive = zipfile.ZipFile(path)
    parts = {name: archive.read(name) for name in archive.namelist()}
    written = sorted(name for name in parts if name.endswith((".xml", ".rels")) and parts[name])
    name = written[int(part * len(written))]
    parts[name] = damaged(parts[name], changes)
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as packed:
        for name, content in parts.items():
            packed.writestr(name, content)
    check(data.getvalue(), path.name)


@given(data=st.binary(max_size=400), ending=st.sampled_from(["xlsx", "ods", "xls"]))
def test_any_bytes_raise_nothing(data: bytes, ending: str) -> None:
    check(data, f"x.{ending}")
    check(b"PK\x03\x04" + data, f"x.{ending}")
    check(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + data, f"x.{ending}")


@given(
    data=st.binary(max_size=300) | st.text(max_size=200).map(str.encode),
    encoding=st.sampled_from(["utf-8", "utf-16", "windows-1252"]),
    delimiter=st.sampled_from([",", ";", "\t", "blanks"]),
)
def test_any_text_raises_nothing(data: bytes, encoding: str, delimiter: str) -> None:
    table_format = TableFormat(encoding=encoding, delimiter=delimiter, records="a.*")
    for one, name in ((csv_importer, "x.csv"), (json_importer, "x.json")):
        sheets, faults = one.tables(data, name, table_format)
        assert sheets or faults


def test_what_lies_hidden_under_a_merged_cell_is_left_out() -> None:
    data = xlsx({"S": [["A", "B"], ["C", "D"]]}, merged=["A1:B2"])
    (sheet,), _ = importer.tables(data, "x.xlsx", TableFormat())

    assert {place: cell.value for place, cell in sheet.cells.items()} == {(1, 1): "A"}
    assert sheet.at(2, 2) is sheet.cells[1, 1]


def test_repeated_rows_and_cells_are_as_many_as_they_say() -> None:
    cell = '<table:table-cell office:value-type="{}" office:value="{}"{}/>'
    rows = (
        f'<table:table-row table:number-rows-repeated="3">{cell.format("float", 1, "")}'
        "</table:table-row><table:table-row>"
        + cell.format("float", 2, ' table:number-columns-repeated="2"')
        + cell.format("percentage", 0.5, "")
        + "</table:table-row>"
    )
    data = ods_of(f'<table:table table:name="S">{rows}</table:table>')
    (sheet,), faults = importer.tables(data, "x.ods", TableFormat())

    assert faults == ()
    assert {place: (cell.value, cell.kind) for place, cell in sheet.cells.items()} == {
        **{(row, 1): (1, CellKind.PLAIN) for row in (1, 2, 3)},
        **{(4, column): (2, CellKind.PLAIN) for column in (1, 2)},
        (4, 3): (0.5, CellKind.PERCENT),
    }


def test_a_directory_of_the_zip_that_lies_is_found_out() -> None:
    """The size that a zip states is all that is ever unpacked of it."""
    data = bytearray(FILES[0].read_bytes())
    place = data.rfind(b"PK\x01\x02")
    data[place + 24 : place + 28] = (10).to_bytes(4, "little")

    sheets, faults = importer.tables(bytes(data), "x.xlsx", TableFormat())

    assert sheets == ()
    assert [fault.code for fault in faults] == ["workbook-broken"]
