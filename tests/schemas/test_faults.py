"""The wording of faults: what was found, what belongs there, how to mend it."""

import pytest

from trimscribe.errors import number_hint, suggest
from trimscribe.marked_yaml import load
from trimscribe.model.wing import Point
from trimscribe.schemas.faults import check, shown
from trimscribe.schemas.job import JobFileSchema
from trimscribe.schemas.wing_fields import point_named


def faults_of(text: str) -> list[str]:
    _, faults = check(JobFileSchema(), load(text.encode(), "x.yaml"))
    return [f"{f.mark}: {f.code}: {f.message} {f.hint}".strip() for f in faults]


def test_a_decimal_comma_is_reported_with_the_fix() -> None:
    found = faults_of('before:\n  left:\n    A: [7342, 7338, "7,342"]')

    assert (
        "x.yaml:3:21: length-not-a-number: `before.left.A3` is the text “7,342”; a length in mm "
        "such as 7342 or 7342.5 belongs here. Write a decimal point, not a comma." in found
    )


def test_all_missing_keys_are_reported_at_the_mapping_that_lacks_them() -> None:
    found = faults_of("trimscribe: 1\nworkshop: shop.yaml\nwing: {model: x}\nservice: {number: 1}")

    assert found[0].endswith(
        "a date such as 2026-10-16 belongs here. The day the service was finished; "
        "a plan needs it only where no other day is given."
    )
    assert [line.split(";")[0] for line in found] == [
        "x.yaml:4:1: missing-key: `service.done` is missing",
        "x.yaml:3:1: missing-key: `wing.maker` is missing",
        "x.yaml:3:1: missing-key: `wing.size` is missing",
        "x.yaml:3:1: missing-key: `wing.serial_number` is missing",
    ]


def test_an_unknown_key_names_the_nearest_or_all_that_are_allowed() -> None:
    found = faults_of("pilot: {nmae: a}\ncloth: {qqqq: 1}")

    assert "x.yaml:1:9: unknown-key: `nmae` is not a key of `pilot`. Did you mean `name`?" in found
    assert (
        "x.yaml:2:9: unknown-key: `qqqq` is not a key of `cloth`. Allowed: `porosity`, `tear`."
        in found
    )


def test_a_text_where_keys_belong_is_shown_in_its_key() -> None:
    found = faults_of("service: {technician: Jörg}\nwing: [1]")

    assert (
        "x.yaml:1:23: not-a-mapping: `service.technician` is the text “Jörg”; a block of keys such "
        "as {name: …} belongs here. Write {name: Jörg}." in found
    )
    assert any("{maker: …, model: …, size: …, serial_number: …} belongs here." in f for f in found)


def test_a_text_where_a_list_of_texts_belongs_is_shown_in_brackets() -> None:
    found = faults_of("after: {control_lines: A2}\nadjustments: c1")

    (text,) = [f for f in found if "`after.control_lines`" in f]
    assert text.endswith("belongs here. Write [A2].")
    (entries,) = [f for f in found if "`adjustments`" in f]
    assert "Write" not in entries


@pytest.mark.parametrize("word", ["yes", "on"])
def test_a_yes_is_answered_with_what_belongs_there(word: str) -> None:
    (fault,) = [line for line in faults_of(f"decision: {{flight: {word}}}") if "flight" in line]

    assert f"`decision.flight` is the word {word}; one of released," in fault
    assert "true or false" not in fault


def test_a_probability_in_percent_is_shown_as_a_part_of_one() -> None:
    (fault,) = [f for f in faults_of("decision_rule: {probability: 95}") if "rule" in f]

    assert (
        "`decision_rule.probability` is the number 95; a probability such as 0.95 for 95 %" in fault
    )


@pytest.mark.parametrize("text", ["- a\n- b", "just text", "5"])
def test_a_file_that_is_no_mapping_is_reported(text: str) -> None:
    assert [line.split(": ")[1] for line in faults_of(text)] == ["not-a-mapping"]


def test_faults_inside_lists_hide_nothing_that_is_right() -> None:
    text = "adjustments: [{line: a1, side: both, change_mm: 1}, 5, {line: a2, side: x}]"
    values, faults = check(JobFileSchema(), load(text.encode(), "x.yaml"))

    assert values["adjustments"] == [
        {"line": "a1", "side": "both", "change_mm": 1},
        None,
        {"line": "a2"},
    ]
    assert {f.code for f in faults} == {"missing-key", "not-a-mapping", "not-one-of"}


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (("before", "left", "A", 2), "before.left.A3"),
        (("adjustments", 0, "line"), "adjustments.1.line"),
        (("rows", "A", "lengths_mm", 0), "rows.A.lengths_mm.1"),
        ((), ""),
    ],
)
def test_paths_are_shown_as_people_count(path: tuple[str | int, ...], text: str) -> None:
    assert shown(path) == text


@pytest.mark.parametrize(
    ("written", "hint"),
    [
        ("7,342", "Write a decimal point, not a comma."),
        ("1,5", "Write a decimal point, not a comma."),
        ("7 342", "Write the digits without spaces"),
        ("7'342", "Write the digits without spaces"),
        ("1.234,5", "Write the digits without spaces"),
        ("7342 mm", "The unit is in the key"),
        ("98mm", "The unit is in the key"),
        ("12 m²", "The unit is in the key"),
        ("7342", "Write the number without quotes."),
        ("-", "For something not measured write ~."),
        ("nan", "For something not measured write ~."),
        ("long", ""),
        (["7"], ""),
    ],
)
def test_a_number_written_otherwise_gets_its_own_hint(written: object, hint: str) -> None:
    assert number_hint(written).startswith(hint)
    assert bool(number_hint(written)) == bool(hint)


def test_suggestions() -> None:
    assert suggest("C1", ["c1", "c2"]) == "Did you mean `c1`?"
    assert suggest("doubel loop", ["single loop", "double loop"]) == "Did you mean `double loop`?"
    assert suggest("nmae", ["date", "name"]) == "Did you mean `name`?"
    assert suggest("rwo", ["row"]) == "Did you mean `row`?"
    assert suggest("pilot", ["cloth"]) == "Allowed: `cloth`."
    assert suggest("flight", ["right"], listed=False) == ""
    assert suggest("x", ["aaa", "bbb"]) == "Allowed: `aaa`, `bbb`."
    assert suggest("x", ["aaa", "bbb"], listed=False) == ""
    assert suggest("x", []) == ""
    assert suggest("x", [f"name {n}" for n in range(99)]).endswith("`name 11` ….")


@pytest.mark.parametrize(
    ("text", "point"),
    {
        "A1": Point("A", 1),
        "stabilo12": Point("stabilo", 12),
        "brake_main1": Point("brake_main", 1),
        "rear row3": Point("rear row", 3),
        "A0": None,
        "A01": None,
        "A": None,
        "1": None,
        "A 1": None,
        "A1000": None,
    }.items(),
)
def test_points_are_written_as_row_and_number(text: str, point: Point | None) -> None:
    assert point_named(text) == point


@pytest.mark.parametrize("sign", ["\\0", "\\e", "\\x7f", "\\u0090", "\\u202e", "\\u2066"])
def test_an_invisible_character_is_reported_however_it_is_written(sign: str) -> None:
    found = faults_of(f'notes: "fine\\n\\tand more"\nwing: {{model: "a{sign}b"}}')

    assert [line.split(": ")[:2] for line in found if "invisible" in line] == [
        ["x.yaml:2:15", "invisible-sign"]
    ]


@pytest.mark.parametrize(
    "name", ["\\u200b", " \\u00a0", "\\u200d\\u2060\\ufeff", "\\u3164", "\\u2800"]
)
def test_a_text_that_nobody_would_see_is_missing(name: str) -> None:
    found = faults_of(f'pilot: {{name: "{name}"}}\nnotes: "{name}"')

    assert [line.split(": ")[:2] for line in found if "pilot.name" in line or "notes" in line] == [
        ["x.yaml:1:15", "missing-value"]
    ]


@pytest.mark.parametrize(("number", "sound"), [("....", False), ("_-_", False), ("十", True)])
def test_a_service_number_has_what_a_name_is_made_of(number: str, sound: bool) -> None:
    found = faults_of(f'service: {{number: "{number}", done: 2026-10-16}}')

    formed = [line.split(": ")[0] for line in found if "wrong-form" in line]
    assert formed == ([] if sound else ["x.yaml:1:19"])
