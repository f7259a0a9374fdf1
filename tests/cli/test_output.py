"""How faults are worded: aligned, counted, harmless to the terminal, the same as data."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from trimscribe.cli.output import clean, counted, fault_data, print_faults
from trimscribe.errors import Fault, Mark, Severity

SOURCE = "  A3: 7,342"
FAULT = Fault(
    "length-not-a-number",
    "`before.left.A3` is text; a length in mm such as 7342 or 7342.5 belongs here.",
    Mark("examples/bad.yaml", 42, 7, 5, SOURCE),
    "Write a decimal point, not a comma.",
)


@pytest.fixture
def reported(capsys: pytest.CaptureFixture[str]):
    """What people read of a fault, as lines."""

    def lines(fault: Fault) -> list[str]:
        print_faults([fault])
        captured = capsys.readouterr()
        assert captured.out == ""
        return captured.err.splitlines()

    return lines


def at(source: str, column: int, width: int = 1, line: int = 1) -> Fault:
    return Fault("slip", "A slip.", Mark("job.yaml", line, column, width, source))


def underlined(lines: list[str]) -> tuple[int, int]:
    """The cells from where and to where the carets are, counted on the source line."""
    carets = lines[2]
    return carets.index("^"), len(carets)


def test_a_fault_shows_place_code_line_carets_and_advice(reported) -> None:
    assert reported(FAULT) == [
        "examples/bad.yaml:42:7: length-not-a-number",
        "   42 |   A3: 7,342",
        "      |       ^^^^^",
        "   `before.left.A3` is text; a length in mm such as 7342 or 7342.5 belongs here. "
        "Write a decimal point, not a comma.",
        "",
    ]


def test_a_warning_is_marked(reported) -> None:
    fault = Fault("default-tolerance", "Nobody says.", Mark("a.yaml"), severity=Severity.WARNING)

    assert reported(fault) == ["a.yaml: warning: default-tolerance", "   Nobody says.", ""]


def test_a_fault_without_a_place_is_the_programs(reported) -> None:
    assert reported(Fault("plugin-clash", "Two.")) == ["trimscribe: plugin-clash", "   Two.", ""]


def test_a_large_line_number_stays_aligned(reported) -> None:
    lines = reported(at("abc", 3, line=1234567))

    assert lines[1:3] == ["1234567 | abc", "        |   ^"]


@pytest.mark.parametrize(
    ("source", "column", "width"),
    [
        ("pilot: 山田太郎 x", 8, 4),
        ("山田: 太郎", 5, 2),
        ("näme: x", 7, 1),
        ("na\u0308me: x", 8, 1),
        ("🪂🪂 x", 4, 1),
        ("ｗｉｄｅ x", 6, 1),
        ("\tx: 1", 2, 1),
        ("a\x1b[31mb: 1", 7, 1),
        ("a\u202eb: 1", 3, 1),
        ("a\u200b\u200db: 1", 4, 1),
    ],
)
def test_carets_stand_below_what_they_mean(reported, source: str, column: int, width: int) -> None:
    lines = reported(at(source, column, width))
    shown = lines[1]
    start, end = underlined(lines)
    meant = clean(source)[column - 1 : column - 1 + width]
    before = shown[: shown.index("| ") + 2] + clean(source)[: column - 1]

    assert start == cell_len(before)
    assert end - start == cell_len(meant)


def test_a_place_behind_the_end_of_a_line_has_one_caret(reported) -> None:
    assert reported(at("abc", 9))[2] == "      |    ^"


def test_a_place_without_a_column_has_no_carets(reported) -> None:
    assert reported(at("abc", 0)) == ["job.yaml:1: slip", "    1 | abc", "   A slip.", ""]


@pytest.mark.parametrize("column", [1, 50, 3000, 5990])
def test_of_a_long_line_the_part_around_the_place_is_shown(reported, column: int) -> None:
    source = "".join(f"{n:>5} " for n in range(1000))

    lines = reported(at(source, column, 5))
    start, end = underlined(lines)

    assert len(lines[1]) < 120
    assert lines[1][start:end] == source[column - 1 : column + 4]


@given(st.text(st.characters(categories=["Cc", "Cf", "Cs", "Zl", "Zp", "Lu", "Mn", "So"])))
def test_nothing_that_steers_a_terminal_is_ever_shown(text: str) -> None:
    shown = clean(text)

    assert len(shown) == len(text)
    assert not {unicodedata.category(c) for c in shown} & {"Cc", "Cf", "Cs", "Zl", "Zp"}
    assert clean(shown) == shown


def test_no_part_of_a_fault_can_steer_the_terminal(reported) -> None:
    evil = "\x1b]0;owned\x07\x9b31m\u202e\r"
    fault = Fault("slip", f"Message {evil}.", Mark(evil, 1, 1, 1, evil), f"Hint {evil}.")

    written = "\n".join(reported(fault))

    assert not set(written) & set("\x1b\x07\x9b\u202e\r")
    assert written.count("owned") == 4


def test_rich_markup_and_emoji_codes_are_plain_text(reported) -> None:
    fault = Fault("slip", "[red]A :smile: slip[/red].", Mark("a[b].yaml", 1, 1, 1, "[x]: y"))

    assert reported(fault) == [
        "a[b].yaml:1:1: slip",
        "    1 | [x]: y",
        "      | ^",
        "   [red]A :smile: slip[/red].",
        "",
    ]


def test_faults_are_counted_by_severity() -> None:
    warning = Fault("slip", "A slip.", severity=Severity.WARNING)

    assert counted([]) == ""
    assert counted([FAULT]) == "1 error"
    assert counted([warning, warning]) == "2 warnings"
    assert counted([warning, FAULT, FAULT]) == "2 errors and 1 warning"


def test_a_fault_as_data_has_every_key() -> None:
    assert fault_data(FAULT) == {
        "code": "length-not-a-number",
        "severity": "error",
        "message": FAULT.message,
        "hint": "Write a decimal point, not a comma.",
        "file": "examples/bad.yaml",
        "cell": None,
        "line": 42,
        "column": 7,
        "width": 5,
        "source": SOURCE,
    }


def test_a_fault_in_a_spreadsheet_names_its_cell(capsys: pytest.CaptureFixture[str]) -> None:
    mark = Mark("jig.xlsx", 14, 7, 4, "A12 │ 7,34", "Sheet1!C14")
    print_faults([Fault("slip", "A slip.", mark)])

    assert fault_data(Fault("slip", "A slip.", mark))["cell"] == "Sheet1!C14"
    assert capsys.readouterr().err.splitlines()[:3] == [
        "jig.xlsx:Sheet1!C14: slip",
        "   14 | A12 │ 7,34",
        "      |       ^^^^",
    ]


def test_what_is_not_known_is_null_in_data() -> None:
    unknown = {"hint": None, "file": None, "cell": None, "line": None, "column": None}

    assert fault_data(Fault("slip", "A slip.")) == {
        "code": "slip",
        "severity": "error",
        "message": "A slip.",
        **unknown,
        "width": None,
        "source": None,
    }
    assert fault_data(Fault("slip", "A slip.", Mark("a.yaml"))) == {
        **fault_data(Fault("slip", "A slip.")),
        "file": "a.yaml",
    }
