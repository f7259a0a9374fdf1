"""A proposed map reads the export; every guess says how sure it is and why."""

from pathlib import Path

import pytest
from export_shapes import SHAPES, Wing

from trimscribe.errors import InputError
from trimscribe.exports.export import read_export
from trimscribe.exports.guessing.guess_format import guess_records, guess_text
from trimscribe.exports.guessing.propose import propose
from trimscribe.exports.line_sets import CheckedLineSet, line_set
from trimscribe.registry import Registry

MEDLAR = Path(__file__).parents[2] / "examples" / "medlar-m.yaml"
# What no file can say: which sign of a deviation is longer, and whether a riser is in.
UNTOLD = {"deviations", "with_riser"}
# What these do not say themselves, and a person answers.
ANSWERS = {"beside": {"blocks": "left,right"}, "repeated": {"columns": "mean"}}


@pytest.fixture(scope="module")
def medlar() -> CheckedLineSet:
    return line_set(MEDLAR)


@pytest.mark.parametrize("shape", [name for name in SHAPES if name not in UNTOLD])
def test_with_a_line_set_the_proposed_map_reads_every_length(
    demo: Wing, registry: Registry, medlar: CheckedLineSet, tmp_path: Path, shape: str
) -> None:
    export = SHAPES[shape](demo)
    path, map_path = tmp_path / export.name, tmp_path / "map.yaml"
    path.write_bytes(export.data)
    proposal = propose(registry, path, medlar, measuring="before", answers=ANSWERS.get(shape))
    assert proposal.text is not None
    assert proposal.questions == ()
    map_path.write_text(proposal.text, encoding="utf-8")
    found = read_export(registry, path, map_path, medlar, "")

    assert found.faults == ()
    assert {value.path: value.value for value in found.imported.values} == {
        key: length for key, length in demo.lengths.items() if key[0] in export.measurings
    }


def test_every_line_that_is_a_guess_says_how_sure_and_why(
    demo: Wing, registry: Registry, medlar: CheckedLineSet, tmp_path: Path
) -> None:
    export = SHAPES["long_comma"](demo)
    (tmp_path / export.name).write_bytes(export.data)
    text = propose(registry, tmp_path / export.name, medlar).text

    lines = text.splitlines()
    assert "  delimiter: semicolon         # sure: 102 of 102 lines have 3 columns by it" in lines
    assert any(line.startswith("  decimal: comma") and "# sure: " in line for line in lines)
    assert any("stabilo: [S]" in line and "# likely: by its lengths" in line for line in lines)
    assert any("brake_main: [Main]" in line and "# likely: " in line for line in lines)


def test_without_a_line_set_the_rows_are_those_of_the_file(
    demo: Wing, registry: Registry, tmp_path: Path
) -> None:
    export = SHAPES["wide"](demo)
    (tmp_path / export.name).write_bytes(export.data)
    proposal = propose(registry, tmp_path / export.name, None, measuring="before")

    assert "unit: mm                     # likely: by their size" in proposal.text
    assert {value.path[2] for value in proposal.export.imported.values} == {
        *("A", "B", "C", "S", "F", "brake_main")
    }


def test_a_riser_is_asked_about_and_taken_off_as_answered(
    demo: Wing, registry: Registry, medlar: CheckedLineSet, tmp_path: Path
) -> None:
    export = SHAPES["with_riser"](demo)
    path = tmp_path / export.name
    path.write_bytes(export.data)
    asked = propose(registry, path, medlar, measuring="before")
    answered = propose(registry, path, medlar, measuring="before", answers={"riser": "520"})

    assert [(one.kind, one.number) for one in asked.questions] == [("riser", True)]
    assert "it is taken off A, B, C, stabilo, brake and brake_main" in asked.questions[0].asks
    assert "  add_mm: -520 " in answered.text


def test_numbers_around_zero_are_deviations_and_their_sign_is_asked(
    demo: Wing, registry: Registry, medlar: CheckedLineSet, tmp_path: Path
) -> None:
    export = SHAPES["deviations"](demo)
    path = tmp_path / export.name
    path.write_bytes(export.data)
    asked = propose(registry, path, medlar, measuring="before")
    answers = {"means": "deviation", "longer": "minus"}
    answered = propose(registry, path, medlar, measuring="before", answers=answers)

    assert [one.id for one in asked.questions] == ["means", "longer"]
    assert "  means: deviation             # likely: " in answered.text
    assert "  longer: minus                # sure: as answered" in answered.text


@pytest.mark.parametrize(
    ("name", "data"),
    [("x.csv", b"name,city\nRobin,Netherby\n"), ("x.csv", b"a\n"), ("x.txt", b"1")],
)
def test_a_file_without_lengths_gives_no_map(
    registry: Registry, tmp_path: Path, name: str, data: bytes
) -> None:
    (tmp_path / name).write_bytes(data)
    proposal = propose(registry, tmp_path / name, None)

    assert proposal.text is None
    assert [fault.code for fault in proposal.faults] == ["nothing-to-propose"]


def test_a_file_that_cannot_be_read_is_reported(registry: Registry, tmp_path: Path) -> None:
    (tmp_path / "x.xlsx").write_bytes(b"no workbook")
    with pytest.raises(InputError):
        propose(registry, tmp_path / "none.csv", None)

    assert [f.code for f in propose(registry, tmp_path / "x.xlsx", None).faults] == [
        "workbook-broken"
    ]


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [("a;b\n1,5;2\n", "semicolon"), ("a\tb\n1\t2\n", "tab"), ("a,b\n1,2\n", "comma"),
     ("a|b\n1|2\n", "bar"), ("a  b\n1  2\n", "blanks")],
)  # fmt: skip
def test_the_delimiter_is_the_sign_that_parts_most_lines_alike(text: str, delimiter: str) -> None:
    assert guess_text(text.encode())["delimiter"].value == delimiter


@pytest.mark.parametrize(
    ("data", "encoding"),
    [("ä;1".encode(), "utf-8"), ("ä;1".encode("cp1252"), "windows-1252"),
     ("ä;1".encode("utf-16"), "utf-16")],
)  # fmt: skip
def test_the_encoding_shows_from_the_bytes(data: bytes, encoding: str) -> None:
    assert guess_text(data)["encoding"].value == encoding


@pytest.mark.parametrize(
    ("data", "way"),
    [(b'{"a": {"lines": [{"x": 1}, {"x": 2}]}}', "a.lines.*"),
     (b'{"left": {"A": [1, 2]}, "right": {"A": [3]}}', "*.A.*"), (b'{"a": "b"}', "*")],
)  # fmt: skip
def test_the_way_to_the_records_of_a_json_file(data: bytes, way: str) -> None:
    assert guess_records(data, "x.json").value == way
