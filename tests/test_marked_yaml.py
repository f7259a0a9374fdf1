"""The strict loader: plain data, a mark for every value, and no trap unnoticed."""

import json
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from trimscribe import marked_yaml
from trimscribe.errors import Mark
from trimscribe.marked_yaml import LoadedYaml, ValuePath, load


@pytest.fixture(params=["libyaml", "pure"])
def parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both parsers: the fast one, and the one that is in where PyYAML lacks libyaml."""
    chosen = {"libyaml": yaml.CSafeLoader, "pure": yaml.SafeLoader}[request.param]
    monkeypatch.setattr(marked_yaml, "_PARSER", chosen)
    return str(request.param)


def codes(loaded: LoadedYaml) -> list[str]:
    return [fault.code for fault in loaded.faults]


def underlined(mark: Mark | None) -> str:
    assert mark is not None
    return mark.source[mark.column - 1 : mark.column - 1 + mark.width]


# What YAML programs make of these, from the YAML 1.1 type repository (yaml.org/type): `010` is 8,
# `12:30` is 750, `no` is false. PyYAML reads them so; the next test shows it.
TRAPS = {
    "010": "implicit-octal",
    "-007": "implicit-octal",
    "00.5": "implicit-octal",
    "0o17": "number-in-another-base",
    "0x1F": "number-in-another-base",
    "0b101": "number-in-another-base",
    "12:30": "sexagesimal-number",
    "1:30:00": "sexagesimal-number",
    "190:20:30.15": "sexagesimal-number",
    "7_342": "number-with-underscore",
    "yes": "yes-no-boolean",
    "No": "yes-no-boolean",
    "ON": "yes-no-boolean",
    "off": "yes-no-boolean",
    ".inf": "not-a-finite-number",
    "-.INF": "not-a-finite-number",
    ".nan": "not-a-finite-number",
    "1e999": "number-too-long",
    "9" * 5000: "number-too-long",
}


@pytest.mark.parametrize(("text", "code"), TRAPS.items(), ids=[t[:12] for t in TRAPS])
def test_a_trap_is_a_named_fault_at_its_place(parser: str, text: str, code: str) -> None:
    loaded = load(f"a: 1\nb: [{text}, 2]".encode(), "x.yaml")

    assert codes(loaded) == [code]
    assert underlined(loaded.faults[0].mark) == text
    assert loaded.data == {"a": 1, "b": [None, 2]}


@pytest.mark.parametrize(
    ("text", "silently"),
    {"010": 8, "12:30": 750, "no": False, "on": True, "0x1F": 31, "7_342": 7342}.items(),
)
def test_the_traps_are_real(text: str, silently: object) -> None:
    """PyYAML itself reads another value than is written."""
    assert yaml.safe_load(text) == silently
    assert codes(load(f"a: {text}".encode(), "x.yaml"))


@pytest.mark.parametrize("text", [t for t in TRAPS if len(t) < 99])
def test_a_trap_in_quotes_is_text(parser: str, text: str) -> None:
    loaded = load(f'a: "{text}"'.encode(), "x.yaml")

    assert (loaded.data, loaded.faults) == ({"a": text}, ())


@pytest.mark.parametrize(
    ("text", "value"),
    {
        "7342": 7342,
        "-20": -20,
        "+5": 5,
        "0": 0,
        "0.5": 0.5,
        ".5": 0.5,
        "7342.": 7342.0,
        "1e3": 1000.0,
        "2.5E-3": 0.0025,
        "true": True,
        "False": False,
        "null": None,
        "~": None,
        "2026-10-16": "2026-10-16",
        "2026-10-16 12:30:00": "2026-10-16 12:30:00",
        "7,342": "7,342",
        "1,5": "1,5",
        "+00 555 0142": "+00 555 0142",
        "LD-2, checked": "LD-2, checked",
        "north": "north",
        "Nan": "Nan",
        "y": "y",
        "=": "=",
        "1.2.3": "1.2.3",
    }.items(),
)
def test_plain_values(parser: str, text: str, value: object) -> None:
    """Dates stay text for the schema; decimal commas are text, reported where a number belongs."""
    loaded = load(f"a: {text}".encode(), "x.yaml")

    assert loaded.faults == ()
    assert loaded.data == {"a": value}
    assert type(loaded.data["a"]) is type(value)


@pytest.mark.parametrize(
    ("text", "code", "at"),
    [
        ("a: 1\nb: 2\na: 3", "duplicate-key", "a"),
        ("a: &x 1", "anchor", "&x 1"),
        ("a: {b: 1}\nc: *x", "alias", "*x"),
        ("a: {<<: {b: 1}}", "merge-key", "<<"),
        ("a: !!str 5", "explicit-tag", "!!str 5"),
        ("a: !!python/object:os.system {}", "explicit-tag", "!!python/object:os.system {"),
        ("1: a", "key-not-text", "1"),
        ("yes: a", "key-not-text", "yes"),
        ("~: a", "key-not-text", "~"),
        ("? [a, b]\n: c", "key-not-text", "["),
        ("a: 1\n---\nb: 2", "several-documents", "---"),
        ("a:\t1", "tab", "\t"),
        ("a:\n\tb: 1", "tab", "\t"),
        ("a: b\x07", "invisible-sign", "\x07"),
        ("a: b\u2028c", "invisible-sign", "\u2028"),
        ("a: b\u0085c", "invisible-sign", "\u0085"),
        ("a: [1, 2\nb: 3", "unclosed-bracket", "["),
        ("a: [1, 2", "unclosed-bracket", "["),
        ("é: 🛩\nü: {", "unclosed-bracket", "{"),
        ("a: 'b", "unclosed-quote", "'"),
        ("a: b: c", "colon-in-text", ":"),
        ("a: @b", "unquoted-sign", "@"),
        ("accent: #8a2b0e", "colour-not-quoted", "accent"),
        ("accent:  #FFF  # the door", "colour-not-quoted", "accent"),
        ("'accent': #8a2b0e\nb: 1", "colour-not-quoted", "'accent'"),
        ("a:\n  accent: #8a2b0e", "colour-not-quoted", "accent"),
        ("number: #1187", "colour-not-quoted", "number"),
        ("a: `b", "unquoted-sign", "`"),
        ("- a\nb: 1", "bad-indentation", "b"),
        ('a: "laser\nb: 1\nc: {"lark": 2}', "unclosed-quote", '"laser'),
        ('a: {x: "laser}\nb: ["lark", 2]', "unclosed-quote", '"laser}'),
        ("a: 'The wing's trim\nb: 1", "quote-inside-text", "'s trim"),
        ("a: {x: 'The wing's trim', y: 1}", "quote-inside-text", "'s trim"),
        ('a: "The "wing" trim"', "quote-inside-text", '"wing'),
        ("a: 1\nhours 161\nb: 2", "missing-colon", "hours 161"),
        ("a:\n  hours 161\n  b: 2", "missing-colon", "hours 161"),
        ("a: 1\nhours:161\nb: 2", "missing-blank", "hours:161"),
        ("a: 1\nhours:\u00a0161\nb: 2", "missing-blank", "hours:\u00a0161"),
        ("a:\n  -{x: 1}\n  - {x: 2}", "missing-blank", "-"),
        ("a:\n  - {x: 1}\n  -{x: 2, y: 3}", "missing-blank", "-"),
        ("pilot:\nname: K\n  weight: 84", "bad-indentation", "weight"),
        ("a:\n  b: 1\n   c: 2", "bad-indentation", "c"),
        ("a: Note: the wing\nb: 1", "colon-in-text", ":"),
        ("a:\n  b: 1\n c: 2", "bad-indentation", "c"),
        ("# nothing\n", "empty-file", "# nothing"),
        ("---\n...\n", "empty-file", "---"),
    ],
)
def test_a_fault_of_structure_is_named_at_its_place(
    parser: str, text: str, code: str, at: str
) -> None:
    loaded = load(text.encode(), "x.yaml")

    assert codes(loaded) == [code]
    mark = loaded.faults[0].mark
    assert mark is not None
    assert mark.source[mark.column - 1 :].startswith(at[: mark.width])
    assert mark.width <= len(at)


def test_what_is_too_far_to_the_right_names_the_line_that_it_would_continue(parser: str) -> None:
    (fault,) = load(b"pilot:\nname: K\n  weight: 84", "x.yaml").faults

    assert "further than line 2" in fault.message


def test_a_line_without_a_colon_is_marked_without_its_comment(parser: str) -> None:
    (fault,) = load(b"a: 1\nhours 161  # flown\nb: 2", "x.yaml").faults

    assert underlined(fault.mark) == "hours 161"


def test_a_missing_blank_is_shown_mended_and_a_no_break_space_is_called_one(parser: str) -> None:
    (plain,) = load(b"a: 1\nhours:161\nb: 2", "x.yaml").faults
    (narrow,) = load("a: 1\nhours:\u00a0161\nb: 2".encode(), "x.yaml").faults

    assert "`hours: 161`" in plain.hint
    assert "no-break" not in plain.message
    assert "no-break" in narrow.message


def test_an_unknown_escape_is_named(parser: str) -> None:
    """The two parsers mark the backslash and the sign behind it."""
    loaded = load(b'a: "\\q"', "x.yaml")

    assert codes(loaded) == ["unknown-escape"]
    assert underlined(loaded.faults[0].mark) in "\\q"


def test_all_faults_are_reported_at_once_and_those_before_a_syntax_error_too(parser: str) -> None:
    loaded = load(b"a: 010\na: yes\nb: &c 1\nd: [", "x.yaml")

    assert codes(loaded) == [
        "implicit-octal",
        "duplicate-key",
        "yes-no-boolean",
        "anchor",
        "unclosed-bracket",
    ]
    assert [fault.mark.line for fault in loaded.faults if fault.mark] == [1, 2, 2, 3, 4]


def test_of_a_duplicate_the_first_stands() -> None:
    loaded = load(b"a: 1\nb: {x: 2}\nb: {x: 3, y: 4}", "x.yaml")

    assert loaded.data == {"a": 1, "b": {"x": 2}}
    assert loaded.mark(("b", "x")).line == 2
    assert ("b", "y") not in loaded.marks


@pytest.mark.parametrize(
    "text",
    ['a: "#8a2b0e"', "a: # later", "a: #later", "a: 1 #8a2b0e", "a:\n  # 8a2b0e\n", "a: ~  #fff"],
)
def test_a_comment_that_is_no_colour_is_a_comment(parser: str, text: str) -> None:
    assert load(text.encode(), "x.yaml").faults == ()


def test_a_byte_order_mark_is_no_part_of_the_text() -> None:
    loaded = load("\ufeffa: 1\nb: \ufeff".encode(), "x.yaml")

    assert [(fault.code, str(fault.mark)) for fault in loaded.faults] == [
        ("invisible-sign", "x.yaml:2:4")
    ]
    whole = load("\ufeffa: 1".encode(), "x.yaml")
    assert (whole.data, whole.faults, whole.marks["a",]) == (
        {"a": 1},
        (),
        Mark("x.yaml", 1, 4, 1, "a: 1"),
    )


def test_marks_give_line_column_width_and_the_line() -> None:
    loaded = load("first: 1\nä🛩: {b: [7342, 'x y']}".encode(), "jobs/x.yaml")

    line = "ä🛩: {b: [7342, 'x y']}"
    assert loaded.marks["ä🛩", "b", 0] == Mark("jobs/x.yaml", 2, 10, 4, line)
    assert loaded.marks["ä🛩", "b", 1] == Mark("jobs/x.yaml", 2, 16, 5, line)
    assert loaded.keys["ä🛩", "b"] == Mark("jobs/x.yaml", 2, 6, 1, line)
    assert loaded.marks["ä🛩",] == loaded.keys["ä🛩",]
    assert loaded.mark(("ä🛩", "b", 7)) == loaded.marks["ä🛩", "b"]
    assert loaded.mark(("unknown",)) == loaded.marks[()]


def test_nesting_is_capped_before_anything_recurses(parser: str) -> None:
    loaded = load(("{a: " * 500).encode(), "x.yaml")

    assert codes(loaded) == ["nested-too-deeply"]


def test_a_hundred_thousand_brackets_do_no_harm(parser: str) -> None:
    assert load(b"[" * 100_000, "x.yaml").faults


def test_a_file_that_is_too_large_is_not_parsed() -> None:
    assert codes(load(b"a: 1\n" * 400_001, "x.yaml")) == ["file-too-large"]


def test_the_number_of_faults_is_capped() -> None:
    assert len(load(b"- yes\n" * 10_000, "x.yaml").faults) == marked_yaml.MOST_FAULTS


@pytest.mark.parametrize(
    ("data", "place"),
    [
        (b"a: 1\nb: \xe4", "x.yaml:2:4"),
        ("a: 1".encode("utf-16"), "x.yaml"),
        ("a: 1".encode("utf-16-be"), "x.yaml"),
        (b"a: \xed\xa0\x80", "x.yaml:1:4"),
    ],
)
def test_another_encoding_is_named(data: bytes, place: str) -> None:
    loaded = load(data, "x.yaml")

    assert codes(loaded) == ["not-utf-8"]
    assert str(loaded.faults[0].mark) == place


@pytest.mark.parametrize("line_break", ["\n", "\r\n", "\r"])
def test_any_line_break_counts(parser: str, line_break: str) -> None:
    loaded = load(line_break.join(["a: 1", "b: 010", ""]).encode(), "x.yaml")

    assert loaded.faults[0].mark == Mark("x.yaml", 2, 4, 3, "b: 010")


def test_json_comes_through_the_same_door(parser: str) -> None:
    text = '{\t"a": 1,\r\n\t"b":[2.5, true, null, "\\ud83d\\udee9 \\u00e9 \\/ \\\\ud83d"]\n}'
    loaded = load(text.encode(), "x.json")

    assert loaded.data == json.loads(text)
    assert loaded.faults == ()
    assert str(loaded.marks["b", 1]) == "x.json:2:12"


def test_json_with_a_duplicate_key_is_refused() -> None:
    assert codes(load(b'{"a": 1, "a": 2}', "x.json")) == ["duplicate-key"]


PRINTABLE = st.text(
    st.characters(
        codec="utf-8",
        exclude_categories=["Cc", "Cs", "Cn", "Co"],
        exclude_characters="\ufeff\u2028\u2029",
    ),
    max_size=20,
)
SCALARS = (
    st.none()
    | st.booleans()
    | st.integers(-(10**15), 10**15)
    | st.floats(allow_nan=False, allow_infinity=False, width=32)
    | PRINTABLE
)
PLAIN = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(PRINTABLE, inner, max_size=4),
    max_leaves=20,
)


def at(data: Any, path: ValuePath) -> Any:
    for part in path:
        data = data[part]
    return data


def places(data: Any, path: ValuePath = ()) -> list[ValuePath]:
    below = (
        data.items()
        if isinstance(data, dict)
        else enumerate(data)
        if isinstance(data, list)
        else ()
    )
    return [path, *(p for key, value in below for p in places(value, (*path, key)))]


@given(st.dictionaries(PRINTABLE, PLAIN, min_size=1, max_size=5))
def test_json_that_python_writes_is_read_as_the_same_data_with_marks_that_agree(
    data: dict[str, Any],
) -> None:
    """`json` of the standard library is the outside reference."""
    loaded = load(json.dumps(data, indent=1, ensure_ascii=False).encode(), "x.json")

    assert loaded.faults == ()
    assert loaded.data == data == load(json.dumps(data).encode(), "x.json").data
    assert set(loaded.marks) == set(places(data))
    for path, mark in loaded.marks.items():
        value = at(data, path)
        if isinstance(value, int | float) and path:
            assert json.loads(underlined(mark)) == value


@given(st.dictionaries(PRINTABLE, PLAIN, min_size=1, max_size=5))
def test_yaml_that_pyyaml_writes_is_read_as_the_same_data(data: dict[str, Any]) -> None:
    """PyYAML's own dumper is the outside reference; text in quotes, nothing shared."""

    class Dumper(yaml.SafeDumper):
        def ignore_aliases(self, data: Any) -> bool:
            return True

    tag = "tag:yaml.org,2002:str"
    Dumper.add_representer(str, lambda dumper, text: dumper.represent_scalar(tag, text, style="'"))
    text = yaml.dump(data, Dumper=Dumper, allow_unicode=True, width=1000)
    loaded = load(text.encode(), "x.yaml")

    assert loaded.faults == ()
    assert loaded.data == data
    assert set(loaded.marks) == set(places(data))


@given(st.binary(max_size=200))
def test_no_bytes_raise(data: bytes) -> None:
    for file in ("x.yaml", "x.json"):
        loaded = load(data, file)
        assert loaded.data is not None or loaded.faults


@given(st.text("ab:-[]{}&*!|>'\"%@`#?,<~\t\n 01.", max_size=60))
def test_no_text_of_yaml_signs_raises(text: str) -> None:
    loaded = load(text.encode(), "x.yaml")

    for fault in loaded.faults:
        assert fault.mark is not None
        assert fault.mark.source == loaded.text.lines[fault.mark.line - 1]


@pytest.mark.parametrize(
    ("start", "said"),
    [
        (b"\x89PNG\r\n\x1a\n", "This is a picture (PNG), not a text file."),
        (b"%PDF-1.7\n", "This is a PDF file, not a text file."),
        (b"PK\x03\x04", "This is a workbook or an archive, not a text file."),
    ],
)
def test_what_is_no_text_is_called_what_it_is(start: bytes, said: str) -> None:
    (fault,) = load(start + b"\x00\xff", "job.yaml").faults

    assert (fault.code, fault.message) == ("not-utf-8", said)
    assert "UTF-8" not in fault.hint
