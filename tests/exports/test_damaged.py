"""Exports that something is wrong with: each gives its fault at its cell, and nothing else."""

import datetime as dt
import io
import zipfile
from pathlib import Path
from typing import NamedTuple

import pytest
from export_files import Formula, Grid, Percent, ods, ods_of, packed, xlsx

from trimscribe.catalogue import fault_codes
from trimscribe.errors import Mark
from trimscribe.exports.mapping.extract import import_export
from trimscribe.exports.mapping.load import load_map
from trimscribe.exports.mapping.normalise import Imported
from trimscribe.registry import Registry

IMPORTS = "exports and import maps"
MAP = """\
trimscribe: 1
words: {side: {left: L, right: R}}
numbers: {decimal: %s}
format: {delimiter: semicolon}
tables:
  - labels: [{column: Line, form: "{row}{point}"}]
    values: [{column: L, side: left}, {column: R, side: right}]
"""
PLAN = MAP % "point"
COMMA = MAP % "comma"
GRID: Grid = [["Line", "L", "R"], ["A1", 7001.5, 7002], ["A2", 6901, 6902.25]]


def grid(row: int, column: int, value: object) -> Grid:
    """The table with one cell changed."""
    rows = [[*line] for line in GRID]
    rows[row - 1][column - 1] = value
    return rows


def text(lines: str, encoding: str = "utf-8") -> bytes:
    return f"Line;L;R\n{lines}".encode(encoding)


def book(row: int, column: int, value: object) -> bytes:
    return xlsx({"Sheet1": grid(row, column, value)})


class Case(NamedTuple):
    code: str
    at: str  # file and cell, or file and line and column
    name: str
    data: bytes
    plan: str = PLAN


# Each entity is ten times the one before: a billion of the first.
TENFOLD = "".join(f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(9))
LAUGHS = f'<!DOCTYPE x [<!ENTITY a "ha">{TENFOLD}]>'
EXTERNAL = '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'
REPEATED = (
    '<table:table table:name="S"><table:table-row table:number-rows-repeated="1000000">'
    '<table:table-cell table:number-columns-repeated="16000" office:value-type="float" '
    'office:value="1"/></table:table-row></table:table>'
)


def far_cell() -> bytes:
    """A few hundred bytes with one cell in the last corner of the sheet."""
    archive = zipfile.ZipFile(io.BytesIO(xlsx({"S": GRID})))
    parts = {name: archive.read(name).decode() for name in archive.namelist()}
    name = "xl/worksheets/sheet1.xml"
    parts[name] = parts[name].replace(
        "</sheetData>", '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>'
    )
    return packed(parts)


CASES = [
    # single cells
    Case("length-not-a-number", "x.csv:2:4", "x.csv", text("A1;seven7;7002\n")),
    Case("wrong-decimal-mark", "x.csv:3:4", "x.csv", text("A1;7001;7002\nA2;6901,5;6902\n")),
    Case("wrong-decimal-mark", "x.csv:2:4", "x.csv", text("A1;7001.5;7002\n"), COMMA),
    Case("length-not-a-number", "x.csv:2:4", "x.csv", text("A1;7.001E+03;7002\n")),
    Case("length-not-a-number", "x.csv:2:4", "x.csv", text("A1;700.15 cm;7002\n")),
    Case("out-of-range", "x.csv:2:4", "x.csv", text("A1;-7001;7002\n")),
    Case("out-of-range", "x.xlsx:Sheet1!C3", "x.xlsx", book(3, 3, 0)),
    Case("cell-is-an-error", "x.csv:2:9", "x.csv", text("A1;7001;#DIV/0!\n")),
    Case("cell-is-an-error", "x.xlsx:Sheet1!B2", "x.xlsx", book(2, 2, Formula("1/0", "#DIV/0!"))),
    Case(
        "cell-is-an-error", "x.ods:S!B2", "x.ods", ods({"S": grid(2, 2, Formula("1/0", "#DIV/0!"))})
    ),
    Case("formula-without-value", "x.xlsx:Sheet1!B2", "x.xlsx", book(2, 2, Formula("B3+1", None))),
    Case(
        "formula-without-value", "x.ods:S!B2", "x.ods", ods({"S": grid(2, 2, Formula("1", None))})
    ),
    Case("cell-is-a-percentage", "x.xlsx:Sheet1!C2", "x.xlsx", book(2, 3, Percent(0.7))),
    Case("cell-is-a-percentage", "x.ods:S!C2", "x.ods", ods({"S": grid(2, 3, Percent(0.7))})),
    Case("cell-is-a-date", "x.xlsx:Sheet1!A3", "x.xlsx", book(3, 1, dt.date(2026, 2, 1))),
    Case("cell-is-a-date", "x.ods:S!B3", "x.ods", ods({"S": grid(3, 2, dt.date(2026, 2, 1))})),
    Case("cell-is-a-date", "x.csv:2:4", "x.csv", text("A1;01.02.2026;7002\n")),
    Case("length-not-a-number", "x.xlsx:Sheet1!B2", "x.xlsx", book(2, 2, True)),
    # labels
    Case("label-not-understood", "x.csv:3:1", "x.csv", text("A1;7001;7002\nA2x;6901;6902\n")),
    Case("label-missing", "x.csv:3:2", "x.csv", text("A1;7001;7002\n;6901;6902\n")),
    Case("duplicate-point", "x.csv:3:5", "x.csv", text("A1;7001;7002\nA01;6901;\n")),
    Case(
        "labels-disagree",
        "x.csv:2:6",
        "x.csv",
        text("A1 R;7001;\n"),
        PLAN.replace("{row}{point}", "{row}{point} {side}"),
    ),
    Case("line-not-clear", "x.csv:2:3", "x.csv", text("A;7001;\n"), PLAN.replace("{point}", "")),
    # tables
    Case("table-not-found", "x.csv:1:1", "x.csv", b"Line;Left;R\nA1;7001;7002\n"),
    Case("heading-twice", "x.csv:1:1", "x.csv", b"Line;L;R;L\nA1;7001;7002;7003\n"),
    Case(
        "table-not-found",
        "x.csv:1:1",
        "x.csv",
        text("A1;7001;7002\n"),
        PLAN.replace("- labels", "- below: Run 2\n    labels"),
    ),
    Case(
        "sheet-not-found",
        "x.xlsx:Sheet1",
        "x.xlsx",
        book(2, 2, 7001),
        PLAN.replace("- labels", "- sheet: Lines\n    labels"),
    ),
    Case(
        "value-in-merged-cell",
        "x.xlsx:Sheet1!B2",
        "x.xlsx",
        xlsx({"Sheet1": grid(3, 2, None)}, merged=["B2:B3"]),
    ),
    Case("value-in-merged-cell", "x.ods:S!B2", "x.ods", ods({"S": grid(2, 2, (7001, 2, 1))})),
    # files
    Case("empty-file", "x.csv:1:1", "x.csv", b""),
    Case("empty-file", "x.xlsx", "x.xlsx", xlsx({"Sheet1": []})),
    Case("wrong-encoding", "x.csv:2:1", "x.csv", text("Ä1;7001;7002\n", "cp1252")),
    Case("wrong-encoding", "x.csv", "x.csv", text("A1;7001;7002\n", "utf-16")),
    Case("unclosed-quote", "x.csv:2:1", "x.csv", text('A1;"7001;7002\n')),
    Case("invisible-sign", "x.csv:2:5", "x.csv", text("A1;7\x00001;7002\n")),
    Case("file-too-large", "x.csv", "x.csv", b"1" * 2_000_001),
    Case("table-too-large", "x.csv:10001:1", "x.csv", b"1\n" * 10_001),
    Case("table-too-large", "x.csv:1:1001", "x.csv", b";".join([b"1"] * 501)),
    Case("workbook-broken", "x.xlsx", "x.xlsx", b"Line;L;R\n"),
    Case("workbook-broken", "x.ods", "x.ods", ods({"S": GRID})[:-300]),
    Case("workbook-broken", "x.xlsx", "x.xlsx", packed({"hello.txt": "world"})),
    Case("workbook-broken", "x.xls", "x.xls", b"Line;L;R\n"),
    Case("workbook-broken", "x.xls", "x.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(2000)),
    Case("workbook-locked", "x.xlsx", "x.xlsx", b"\xd0\xcf\x11\xe0" + bytes(2000)),
    Case(
        "workbook-locked",
        "x.ods",
        "x.ods",
        ods({"S": GRID}, manifest="<manifest:encryption-data/>"),
    ),
    # bombs: all are a few kilobytes
    Case("workbook-not-plain", "x.xlsx", "x.xlsx", xlsx({"S": GRID}, head=LAUGHS)),
    Case("workbook-not-plain", "x.ods", "x.ods", ods({"S": GRID}, head=LAUGHS)),
    Case("workbook-not-plain", "x.ods", "x.ods", ods({"S": GRID}, head=EXTERNAL)),
    Case("table-too-large", "x.xlsx", "x.xlsx", far_cell()),
    Case("table-too-large", "x.ods", "x.ods", ods_of(REPEATED)),
    Case("table-too-large", "x.xlsx", "x.xlsx", xlsx({f"S{n}": GRID for n in range(51)})),
    Case(
        "workbook-unpacks-too-large",
        "x.xlsx",
        "x.xlsx",
        xlsx({"S": GRID}, extra={"xl/media/big.bin": bytes(3_000_000)}),
    ),
    # JSON
    Case(
        "records-not-found",
        "x.json:1:1",
        "x.json",
        b'{ "lines": [{"Line": "A1", "L": 7001, "R": 7002}]}',
        PLAN.replace("delimiter: semicolon", "records: line.*"),
    ),
    Case("unclosed-bracket", "x.json:1:2", "x.json", b'[{"Line": "A1"'),
]


def run(registry: Registry, case: Case) -> Imported:
    plan, faults = load_map(case.plan.encode(), "map.yaml")
    assert plan, faults
    return import_export(registry, case.data, case.name, plan, Mark("job.yaml"))


@pytest.mark.parametrize("case", CASES, ids=[f"{n}-{c.code}" for n, c in enumerate(CASES)])
def test_a_damaged_export_gives_its_fault_at_its_place(registry: Registry, case: Case) -> None:
    faults = run(registry, case).faults

    assert {(fault.code, str(fault.mark)) for fault in faults} >= {(case.code, case.at)}
    assert {fault.code for fault in faults} == {case.code}
    for fault in faults:
        about = fault_codes()[fault.code].about
        assert about in ("what people write", IMPORTS)
        assert fault.message[0].isupper() or not fault.message[0].isalpha()


@pytest.mark.parametrize("name", ["x.csv", "x.xlsx", "x.ods"])
def test_the_same_export_undamaged_is_read_whole(registry: Registry, name: str) -> None:
    data = {
        "x.csv": text("A1;7001.5;7002\nA2;6901;6902.25\n"),
        "x.xlsx": xlsx({"Sheet1": GRID}),
        "x.ods": ods({"S": GRID}),
    }
    imported = run(registry, Case("", "", name, data[name]))

    assert imported.faults == ()
    assert [value.value for value in imported.values] == [7001.5, 7002, 6901, 6902.25]


def test_every_code_of_exports_and_maps_is_shown_by_a_test() -> None:
    shown = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("*.py"))

    imports = [code for code, known in fault_codes().items() if known.about == IMPORTS]
    assert imports
    assert [code for code in imports if f'"{code}"' not in shown and f" {code}" not in shown] == []


def test_all_damaged_cells_of_a_file_are_reported_at_once(registry: Registry) -> None:
    data = text("A1;seven7;7002\nA2;#N/A;6902,5\nZ;1;2\nA3;6801;6802\n")
    imported = run(registry, Case("", "", "x.csv", data))

    assert [(fault.code, str(fault.mark)) for fault in imported.faults] == [
        ("length-not-a-number", "x.csv:2:4"),
        ("cell-is-an-error", "x.csv:3:4"),
        ("wrong-decimal-mark", "x.csv:3:9"),
        ("label-not-understood", "x.csv:4:1"),
    ]
    assert [value.name for value in imported.values] == [
        "before.right.A.1",
        "before.left.A.3",
        "before.right.A.3",
    ]


def test_a_file_full_of_faults_is_cut_short(registry: Registry) -> None:
    imported = run(registry, Case("", "", "x.csv", text("A1;x1;y1\n" * 400)))

    assert len(imported.faults) == 200
