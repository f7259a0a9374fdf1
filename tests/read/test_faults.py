"""Every fault that a job can have, one by one: its code and the text that is underlined."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from trimscribe.catalogue import fault_codes
from trimscribe.errors import Mark, Severity
from trimscribe.model.doubts import DoubtKind
from trimscribe.model.wing import Point, Side


class Case(NamedTuple):
    code: str
    file: str
    old: str
    new: str
    at: str  # the text underlined


J, S, P, C = "job.yaml", "shop.yaml", "sorrel-s.yaml", "before.csv"
A_LEFT = "A: [7001, 6902, 6803]"
A_AFTER = f"left: {{{A_LEFT}"
LEFT_AFTER = f"  left: {{{A_LEFT}, B: [7101, 7002, 6903], brake: [7500, 7400], brake_main: 2200}}\n"
BRAKE = "brake: {fan_mm: [7500, 7400], main_mm: 2200, trailing_edge_m: 2.4}"
ROWS = """\
rows:
  A: {lengths_mm: [7000, 6900, 6800], chord_m: 0.2}
  B: {lengths_mm: [7100, 7000, 6900], chord_m: [0.9, 0.8, 0.7]}
"""
CASCADE = """\
cascade:
  a1: {am1: [A1, A2], am2: [A3]}
  b1: [B1, B2, B3]
  kl1: [brake1, brake2]
"""
HEADER = "side,row,point,length_mm"
TIED = "  tied: {default: single loop, b1: "
RULE = "trim_rules: [{name: rear, plus: "
PLAN = "plan: {changes: [{line: b1, side: both, change_mm: 9}]}"
LEFT_BEFORE = """\
left,A,1,6998
left,A,2,6899
left,A,3,6798
left,B,1,7090
left,B,2,6991
left,B,3,6890
left,brake,1,7521
left,brake,2,7420
left,brake_main,1,2220
"""
LOOPS = "loops: {main maillon: {single loop: 8, double loop: 17}}"

CASES = [
    # the file as text
    Case("tab", S, "name: Q", "name:\tQ", "\t"),
    Case("invisible-sign", S, "Quarry", "Qua\u200brry\x07", "\x07"),
    Case("file-too-large", S, "Quarry", "Q" * 2_000_001, ""),
    # YAML
    Case("alias", J, "number: QH-1", "number: *a", "*a"),
    Case("anchor", J, "number: QH-1", "number: &a QH-1", "&a QH-1"),
    Case("bad-indentation", J, "  tension_n: 50\n  file", " tension_n: 50\n  file", "t"),
    Case("bad-indentation", J, "  tension_n: 50\n  file", "   tension_n: 50\n  file", "tension_n"),
    Case("missing-blank", J, "  tension_n: 50\n  file", "  tension_n:50\n  file", "tension_n:50"),
    Case("missing-colon", J, "  tension_n: 50\n  file", "  tension_n 50\n  file", "tension_n 50"),
    Case("quote-inside-text", S, '"#24566b"', "'The maker's blue'", "'"),
    Case("colour-not-quoted", S, 'accent: "#24566b"', "accent: #24566b", "accent"),
    Case("colon-in-text", S, "name: Quarry", "name: Quarry: Hill", ":"),
    Case(
        "duplicate-key", J, "  date: 2026-03-03", "  date: 2026-03-03\n  date: 2026-03-04", "date"
    ),
    Case("empty-file", S, "", "", ""),
    Case("explicit-tag", J, "number: QH-1", "number: !!str 1", "!!str 1"),
    Case("implicit-octal", J, "number: QH-1", "number: 010", "010"),
    Case("key-not-text", J, "service: {", "service: {1: 2, ", "1"),
    Case("merge-key", J, "pilot: {", "pilot: {<<: {a: 1}, ", "<<"),
    Case("nested-too-deeply", J, "number: QH-1", f"number: {'[' * 30 + ']' * 30}", "["),
    Case("not-a-finite-number", J, "year: 2021", "year: .nan", ".nan"),
    Case("not-yaml", S, "trimscribe: 1", "%YAML 9.9\n---\ntrimscribe: 1", "%"),
    Case("number-in-another-base", J, "year: 2021", "year: 0x7e5", "0x7e5"),
    Case("number-too-long", J, "year: 2021", "year: 1e999", "1e999"),
    Case("number-with-underscore", J, "year: 2021", "year: 2_021", "2_021"),
    Case("several-documents", S, "accent", "---\naccent", "---"),
    Case("sexagesimal-number", J, "number: QH-1", "number: 12:30", "12:30"),
    Case("unclosed-bracket", J, A_LEFT, "A: [7001, 6902, 6803", "["),
    Case("unclosed-bracket", P, "[7000, 6900, 6800]", "[7000, 6900, 6800", "["),
    Case("unclosed-quote", S, '"#24566b"', '"#24566b', '"'),
    Case("unknown-escape", S, '"#24566b"', '"\\q"', "\\"),
    Case("unquoted-sign", S, "name: Quarry", "name: @Quarry", "@"),
    Case("yes-no-boolean", J, "broke: false", "broke: no", "no"),
    # single values
    Case("adjustment-not-clear", J, ", loop_after: single loop", "", "{"),
    Case("loop-not-clear", J, "  file: before.csv", f"  file: before.csv\n{TIED}[1]}}", "b1"),
    Case("unknown-line", J, "  file: before.csv", "  file: before.csv\n  tied: {c9: x}", "c9"),
    Case("unknown-loop", J, "  file: before.csv", f"  file: before.csv\n{TIED}knot}}", "knot"),
    Case("unknown-line", P, "tolerances: {", "retrim: {never: [c9]}\ntolerances: {", "c9"),
    Case(
        "not-a-point",
        P,
        "tolerances: {",
        f"{RULE}[A3-A1], within_mm: 4}}]\ntolerances: {{",
        "A3-A1",
    ),
    Case(
        "point-not-in-specification",
        P,
        "tolerances: {",
        f"{RULE}[A1-A4], within_mm: 4}}]\ntolerances: {{",
        "plus",
    ),
    Case("unknown-row", P, "tolerances: {", f"{RULE}[D1], within_mm: 4}}]\ntolerances: {{", "plus"),
    Case(
        "rule-named-twice",
        P,
        "tolerances: {",
        f"{RULE}[A1], within_mm: 4}}, {{name: rear, plus: [B1], within_mm: 4}}]\ntolerances: {{",
        "rear",
    ),
    Case("plan-not-done", J, "cloth: {", f"{PLAN}\ncloth: {{", "plan"),
    Case("unknown-line", J, "cloth: {", PLAN.replace("b1", "b9") + "\ncloth: {", "b9"),
    Case(
        "not-a-name",
        S,
        "name: Quarry",
        "rules: {Edge: {place: found, text: x}}\nname: Quarry",
        "Edge",
    ),
    Case("bad-row-name", J, A_LEFT, "A1: [7001]", "A1"),
    Case(
        "conditions-without-release",
        J,
        LOOPS,
        f"{LOOPS}\ndecision: {{flight: not released, conditions: in calm air}}",
        "in calm air",
    ),
    Case(
        "no-conditions",
        J,
        LOOPS,
        f"{LOOPS}\ndecision: {{flight: released with conditions}}",
        "released with conditions",
    ),
    Case(
        "control-line-adjusted", J, f"  {A_AFTER}", f"  control_lines: [A1, B2]\n  {A_AFTER}", "B2"
    ),
    Case("unknown-point", J, f"  {A_AFTER}", f"  control_lines: [A1, A7]\n  {A_AFTER}", "A7"),
    Case("decision-rule-not-clear", J, LOOPS, f"{LOOPS}\ndecision_rule: strict", "strict"),
    Case(
        "decision-rule-not-clear",
        S,
        "accent",
        "decision_rule: {guarded: 2, probability: 0.9}\naccent",
        "decision_rule",
    ),
    Case("out-of-range", J, LOOPS, f"{LOOPS}\ndecision_rule: {{probability: 0.4}}", "0.4"),
    Case("unknown-row", P, CASCADE, f"{CASCADE}stiffness_n: {{Q: 20000}}\n", "Q"),
    Case("positions-do-not-match", P, CASCADE, f"{CASCADE}stiffness_n: {{A: [1, 2]}}\n", "A"),
    Case(
        "unknown-row",
        P,
        CASCADE,
        f"{CASCADE}strength_rules: [{{rows: [A, Z], times_weight: 8, lines: 12}}]\n",
        "Z",
    ),
    Case("length-not-a-number", J, A_LEFT, 'A: [7001, "6,902", 6803]', '"6,902"'),
    Case("length-not-a-number", J, A_LEFT, "A: [7001, true, 6803]", "true"),
    Case("length-not-a-number", P, "[7000, 6900, 6800]", "[7000, ~, 6800]", "~"),
    Case("missing-key", J, "number: QH-1, ", "", "service"),
    Case("missing-value", J, "number: QH-1", "number: ~", "~"),
    Case("not-a-cascade-line", P, "am2: [A3]", "am2: A3", "A3"),
    Case("not-a-date", J, "received: 2026-03-02", "received: 2.3.2026", "2.3.2026"),
    Case("not-a-list", J, A_LEFT, "A: {x: 1}", "A"),
    Case("not-a-mapping", J, "{name: Robin Hale, all_up_weight_kg: 92}", "Robin", "Robin"),
    Case("not-a-number", J, "all_up_weight_kg: 92", "all_up_weight_kg: 92 kg", "92 kg"),
    Case("not-a-point", P, "[A3]", "[A03]", "A03"),
    Case("not-a-whole-number", J, "year: 2021", "year: 2021.5", "2021.5"),
    Case("not-one-of", J, "unit: s", "unit: sec", "sec"),
    Case("not-text", J, "number: QH-1", "number: 1.50", "1.50"),
    Case("not-true-or-false", J, "broke: false", "broke: 0", "0"),
    Case("out-of-range", J, "value: 90", "value: 0", "0"),
    Case("out-of-range", J, A_LEFT, "A: [7001, -6902, 6803]", "-6902"),
    Case("text-too-long", S, "Quarry", "Q" * 10_001, f"{'Q' * 10_001} Hill Canopy Works"),
    Case("unknown-key", J, "received:", "recieved:", "recieved"),
    Case("unknown-key", J, "number: QH-1", "nubmer: QH-1", "nubmer"),
    Case("unknown-key", J, "specification:", "specificaton:", "specificaton"),
    Case("unknown-key", J, "\nbefore:", "\nbefor:", "befor"),
    Case("wrong-form", S, '"#24566b"', "blue", "blue"),
    Case("wrong-version", S, "trimscribe: 1", "trimscribe: 2", "2"),
    # a fault in the specification hides what depends on it, not the rest
    Case("missing-key", P, "lengths_mm: [7000, 6900, 6800], ", "", "A"),
    Case("missing-value", P, "[7000, 6900, 6800]", "[]", "lengths_mm"),
    Case("missing-value", J, A_LEFT, "A: []", "A"),
    Case("not-a-mapping", P, BRAKE, "brake: 5", "5"),
    Case("not-a-list", P, "fan_mm: [7500, 7400]", "fan_mm: {a: 1}", "fan_mm"),
    Case("length-not-a-number", P, "main_mm: 2200", "main_mm: long", "long"),
    Case("not-a-mapping", P, ROWS, "rows: 5\n", "5"),
    Case("not-a-cascade-line", P, "b1: [B1, B2, B3]", "b1: B1", "B1"),
    Case("not-a-mapping", P, "risers: {A: {trim_mm: 520}, B: {trim_mm: 520}}", "risers: 1", "1"),
    Case("not-a-mapping", P, CASCADE, "cascade: [a1]\n", "cascade"),
    # files
    Case("file-not-found", J, "workshop: shop.yaml", "workshop: shopp.yaml", "shopp.yaml"),
    Case("file-not-found", J, ": sorrel-s.yaml", ": sorrel-m.yaml", "sorrel-m.yaml"),
    Case("file-not-found", J, "file: before.csv", "file: after.csv", "after.csv"),
    Case("file-not-relative", J, "workshop: shop", "workshop: C:/shop", "C:/shop.yaml"),
    Case(
        "file-not-relative",
        J,
        "workshop: shop",
        "workshop: file:///etc/shop",
        "file:///etc/shop.yaml",
    ),
    Case("file-not-relative", J, "file: before.csv", "file: /etc/before.csv", "/etc/before.csv"),
    Case("no-importer", J, "file: before.csv", "file: shop.yaml", "shop.yaml"),
    Case("not-a-file", J, "file: before.csv", "file: folder.csv", "folder.csv"),
    # tables of lengths
    Case("bad-side", C, "left,A,2", "lefft,A,2", "lefft"),
    Case("bad-row-name", C, "left,A,2", "left,A2,2", "A2"),
    Case("duplicate-column", C, "side,row", "side,row,row", "row"),
    Case("duplicate-point", C, "left,A,2", "left,A,1", "1"),
    Case("length-not-a-number", C, "6899", "6899 mm", "6899 mm"),
    Case("length-not-a-number", C, "6899", '"6899,5"', "6899,5"),
    Case("missing-column", C, ",length_mm", "", "side"),
    Case("out-of-range", C, "6899", "-6899", "-6899"),
    Case("point-not-a-number", C, "left,A,2", "left,A,2a", "2a"),
    Case("unclosed-quote", C, "6899", '"6899', 'left,A,2,"6899'),
    Case("unknown-column", C, "length_mm", "length", "length"),
    Case("wrong-delimiter", C, HEADER, HEADER.replace(",", ";"), HEADER.replace(",", ";")),
    Case("wrong-number-of-cells", C, "6899", "6899,5", "left"),
    # the specification in itself
    Case("line-named-twice", P, "kl1: [", "am1: [", "am1"),
    Case("point-hangs-twice", P, "[A3]", "[A2]", "A2"),
    Case("point-not-in-specification", P, "[A3]", "[A4]", "A4"),
    Case("positions-do-not-match", P, "[0.9, 0.8, 0.7]", "[0.9, 0.8]", "chord_m"),
    Case(
        "rows-from-tip",
        P,
        ROWS,
        "rows:\n  A: {lengths_mm: [6800, 6900, 7000]}\n  B: {lengths_mm: [6900, ~, 7100]}\n",
        "rows",
    ),
    Case("rows-out-of-order", P, "[0.9, 0.8, 0.7]", "0.1", "B"),
    Case("trailing-edge-in-front", P, "2.4", "0.4", "0.4"),
    Case("unknown-row", P, "[A3]", "[X3]", "X3"),
    Case("unknown-row", P, "rows: {A: 8}", "rows: {Q: 8}", "Q"),
    # values together
    Case("dates-out-of-order", J, "done: 2026-03-06", "done: 2026-03-04", "2026-03-04"),
    Case("dates-out-of-order", J, "  date: 2026-03-05", "  date: 2026-03-02", "2026-03-02"),
    Case("dates-out-of-order", J, "year: 2021", "year: 2027", "2027"),
    Case("default-tolerance", P, "default_mm: 10, rows: {A: 8}, ", "", "specification"),
    Case(
        "length-given-twice",
        J,
        "  file: before.csv",
        "  file: before.csv\n  left: {A: [~, 6899, ~]}",
        "6899",
    ),
    Case("length-implausible", J, A_LEFT, "A: [7001, 4902, 6803]", "4902"),
    Case("line-adjusted-twice", J, "line: brake_main, side: left", "line: b1, side: left", "b1"),
    Case("load-below-required", J, "load_n: 900", "load_n: 700", "700"),
    Case("maillon-not-named", J, LOOPS, LOOPS[:-1] + ", soft: {}}", "double loop"),
    Case("no-loop-table", J, LOOPS, "", "double loop"),
    Case("pilot-outside-weight-range", J, "all_up_weight_kg: 92", "all_up_weight_kg: 96", "96"),
    Case("pilot-outside-weight-range", J, "all_up_weight_kg: 92", "all_up_weight_kg: 60", "60"),
    Case("point-not-in-specification", C, "left,A,3", "left,A,4", "6798"),
    Case("point-not-measured", C, "left,A,2,6899", "left,A,2,", ""),
    Case("point-not-measured", J, "B: [7101, 7002, 6903]", "B: [7101, ~, 6903]", "~"),
    Case("point-not-measured", C, "left,brake_main,1,2220\n", "", "before.csv"),
    Case("side-not-measured", C, LEFT_BEFORE, "", "before"),
    Case("tension-differs", P, "tension_n: 50", "tension_n: 70", "50"),
    Case("tension-not-stated", J, "  tension_n: 50\n  left", "  left", "after"),
    Case("tension-not-stated", J, "tension_n: 50\n  left", "tension_n: ~\n  left", "after"),
    Case("no-loop-table", J, LOOPS, "loops: {}", "double loop"),
    Case("too-few-lengths", J, A_LEFT, "A: [7001, 6902]", "A"),
    Case("too-many-lengths", J, A_LEFT, "A: [7001, 6,902, 6803]", "6,902"),
    Case("too-many-lengths", J, A_LEFT, "A: [7001, 6902, 6803, 6700]", "6700"),
    Case(
        "replaces-itself",
        J,
        "number: QH-1,",
        f"number: QH-1, replaces: {{report: qh-1, sha256: a{'0' * 63}, change: x, reason: y}},",
        "qh-1",
    ),
    Case("unit-slip", J, A_LEFT, "A: [7001, 690.2, 6803]", "690.2"),
    Case("unit-slip", J, A_LEFT, "A: [7.001, 6.902, 6.803]", "7.001"),
    Case("unit-slip", C, "6899", "68990", "68990"),
    Case("unknown-line", J, "line: b1", "line: b7", "b7"),
    Case("unknown-loop", J, "loop_before: double loop", "loop_before: doubel loop", "doubel loop"),
    Case("unknown-maillon", J, "single loop}", "single loop, maillon: small}", "small"),
    Case("unknown-riser", J, "left: {A: {trim_mm: 520}}", "left: {D: {trim_mm: 520}}", "D"),
    Case("unknown-row", J, A_LEFT, "E: [7001, 6902, 6803]", "E"),
    Case("unknown-row", J, "trimscribe: 1", "trimscribe: 1\ncommon_offset: {row: D}", "D"),
    Case("unknown-row", J, "trimscribe: 1", "trimscribe: 1\ntolerances: {rows: {D: 5}}", "D"),
    Case("weight-range-upside-down", J, "weight_min_kg: 70", "weight_min_kg: 97", "95"),
    Case("wing-differs-from-specification", J, "model: Sorrel", "model: Medlar", "Medlar"),
]

# Shown by tests of their own below, because no change of one line of text makes them.
ELSEWHERE = {
    "name-not-text",  # of `new`
    "after-without-work",
    "file-is-a-link",
    "file-unreadable",
    "line-forbidden",
    "measurement-without-specification",
    "more-faults",
    "not-carried-over",  # these two by the whole job: tests/test_please_check.py
    "not-utf-8",
    "picture-not-searched",  # these two of a copy for sharing: tests/test_redaction.py
    "pilot-still-named",
    "released-against-stop",
}


@pytest.mark.parametrize("case", CASES, ids=[f"{c.code}-{n}" for n, c in enumerate(CASES)])
def test_one_mistake_gives_one_fault_at_its_place(
    bench, case: Case, underlined: Callable[[Mark | None], str]
) -> None:
    (bench.folder / "folder.csv").mkdir()
    if case.old:
        bench.spoil(case.file, case.old, case.new)
    else:
        bench.texts[case.file] = case.new

    found = [f for f in bench.faults() if "A2 not measured on the right" not in f.message]

    assert [f.code for f in found if f.code == case.code][:1] == [case.code], found
    fault = next(f for f in found if f.code == case.code)
    assert underlined(fault.mark) == case.at
    assert fault.mark is not None
    errors = [f for f in found if f.severity is Severity.ERROR]
    warning = fault_codes()[case.code].meaning.startswith("Warning:")
    assert (fault.severity is Severity.WARNING) == warning
    assert warning or fault.mark.file == case.file or case.code == "length-given-twice"
    assert len(errors) <= 1 or case.code in FOLLOWED, [(f.code, str(f.mark)) for f in errors]


FOLLOWED = {"alias"}  # one mistake that is honestly two: a gap and a double


@pytest.mark.parametrize(
    ("written", "at", "said"),
    [
        ("7001,5, 6902, 6803", "7001,5", "Was 7001.5 meant?"),
        ("7.001,5, 6902, 6803", "7.001,5", "Was 7001.5 meant?"),
        ("7001, 6,902, 6803", "6,902", "Was 6902 meant?"),
        ("7001, 6,902.5, 6803", "6,902.5", "Was 6902.5 meant?"),
        ("7001,6902,6803,6700", "6700", "any of them"),
        ("7001, 6902, 6803, 67", "67", "any of them"),
    ],
)
def test_of_too_many_lengths_none_is_called_the_one_too_many_but_a_torn_one_is_found(
    bench, written: str, at: str, said: str, underlined: Callable[[Mark | None], str]
) -> None:
    bench.spoil(J, A_LEFT, f"A: [{written}]")

    (fault,) = [f for f in bench.faults() if f.code == "too-many-lengths"]

    assert underlined(fault.mark) == at
    assert said in fault.hint


def test_every_documented_code_is_shown_and_every_shown_code_is_documented() -> None:
    doubts = {kind.value for kind in DoubtKind}  # reported of sound jobs, by the analysis

    known = {c for c, known in fault_codes().items() if known.about == "what people write"}
    assert {case.code for case in CASES} | ELSEWHERE | doubts == known


def test_a_line_that_nobody_moved_need_not_be_measured_again(bench) -> None:
    again = "A: [~, 6902, ~], B: [7101, 7002, 6903], brake: [7500, 7400]"
    bench.spoil(J, LEFT_AFTER.removesuffix(", brake_main: 2200}\n"), f"  left: {{{again}")

    reported = [f.message for f in bench.faults() if f.code == "point-not-measured"]

    assert [message for message in reported if "left" in message] == []


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        (C, "left,A,2,6899", "left,A,2,200000"),
        (C, "left,A,2,6899", "left,A,x,6899"),
        (J, "before.csv", "before.docx\n  left: {A: [6998, ~, 6798]}"),
        (J, "before.csv", "~\n  left: {A: [6998, 6899 mm, 6798], B: [~, ~, ~]}"),
    ],
)
def test_a_length_that_is_refused_is_not_also_said_not_to_be_measured(
    bench, file: str, old: str, new: str
) -> None:
    bench.spoil(file, old, new).spoil(J, A_LEFT, "A: [7001, ~, 6803]")

    reported = bench.faults()
    assert any(fault.severity is Severity.ERROR for fault in reported)
    assert [one.message for one in reported if "A2 not measured on the left" in one.message] == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("tension_n: 50\n  file", "tensoin_n: 50\n  file"),
        (LEFT_AFTER, LEFT_AFTER.replace("left", "lfet")),
    ],
)
def test_what_is_under_a_misspelt_key_is_not_also_said_to_be_missing(bench, old, new) -> None:
    sound = {one.message for one in bench.faults()}
    bench.spoil(J, old, new)

    (fault,) = [one for one in bench.faults() if one.message not in sound]
    assert fault.code == "unknown-key"


def test_lines_that_were_moved_and_not_measured_again_are_reported(bench) -> None:
    """The left brake fan moves with its main line, which was shortened; the right one does not."""
    bench.texts[J] = bench.texts[J].replace("brake: [7500, 7400], ", "")
    reported = [f.message for f in bench.faults() if f.code == "point-not-measured"]

    assert "Brake was not measured on the left side." in reported
    assert "Brake was not measured on the right side." not in reported


GAPS = "before: {date: 2026-03-03, left: {A: [~, ~, ~]}}\n"


@pytest.mark.parametrize("before", ["", GAPS], ids=["none", "gaps alone"])
def test_a_measuring_after_the_work_alone_needs_work(bench, underlined, before: str) -> None:
    text = bench.texts[J]
    bench.spoil(J, text[text.index("before:") : text.index("after:")], before)
    bench.spoil(J, text[text.index("adjustments:") : text.index("cloth:")], "")
    (fault,) = (f for f in bench.faults() if f.severity is Severity.ERROR)

    assert fault.code == "after-without-work"
    assert underlined(fault.mark) == "after"


def test_a_measuring_of_gaps_alone_is_none(bench) -> None:
    text = bench.texts[J]
    gaps = GAPS.replace("[~, ~, ~]", "[~, ~, ~], B: [~, ~, ~], brake: [~, ~]")
    job = bench.spoil(J, text[text.index("before:") : text.index("after:")], gaps).read().job

    assert job.before is None
    assert job.after is not None
    assert job.adjustments


def test_a_repair_is_work_that_may_be_measured_after(bench) -> None:
    text = bench.texts[J]
    bench.spoil(J, text[text.index("before:") : text.index("after:")], "")
    bench.spoil(J, text[text.index("adjustments:") : text.index("cloth:")], "")
    bench.spoil(J, "condition: good", "condition: repaired")

    assert bench.read().job.after is not None


def test_lengths_without_a_specification_have_nothing_to_be_compared_with(
    bench, underlined
) -> None:
    faults = bench.spoil(J, "specification: sorrel-s.yaml\n", "").faults()

    assert [(f.code, underlined(f.mark)) for f in faults] == [
        ("measurement-without-specification", "before"),
        ("measurement-without-specification", "after"),
    ]


@pytest.mark.parametrize(
    "data", [b"trimscribe: 1\nname: Qu\xe4rry", "name: Q".encode("utf-16"), b"\xfe\xff\x00n"]
)
def test_a_file_in_another_encoding_is_named(bench, data: bytes) -> None:
    bench.texts.pop(S)
    (bench.folder / S).write_bytes(data)

    assert [f.code for f in bench.faults() if f.severity is Severity.ERROR] == ["not-utf-8"]


def test_the_first_sign_that_is_not_utf_8_is_marked(bench) -> None:
    bench.texts.pop(S)
    (bench.folder / S).write_bytes(b"trimscribe: 1\nname: Qu\xe4rry")

    marks = [str(f.mark) for f in bench.faults() if f.code == "not-utf-8"]

    assert marks == ["shop.yaml:2:9"]


def test_a_link_is_not_followed(bench) -> None:
    text = bench.texts.pop(S)
    (bench.folder / "other.yaml").write_text(text, encoding="utf-8")
    (bench.folder / S).symlink_to("other.yaml")

    assert [f.code for f in bench.faults() if f.severity is Severity.ERROR] == ["file-is-a-link"]


def test_a_link_in_the_middle_of_the_way_is_not_followed(bench) -> None:
    (bench.folder / "real").mkdir()
    (bench.folder / "real" / "s.yaml").write_text(bench.texts[S], encoding="utf-8")
    (bench.folder / "shops").symlink_to("real")
    bench.spoil(J, "workshop: shop.yaml", "workshop: shops/s.yaml")

    assert [f.code for f in bench.faults() if f.severity is Severity.ERROR] == ["file-is-a-link"]


def test_a_file_that_cannot_be_opened_is_named_without_its_folder(bench, monkeypatch) -> None:
    real = os.open

    def refuse(path: Path, *args: object, **kwargs: object) -> int:
        if Path(path).name == S:
            raise PermissionError(13, "Permission denied", str(path))
        return real(path, *args, **kwargs)

    monkeypatch.setattr(os, "open", refuse)
    fault = next(f for f in bench.faults() if f.severity is Severity.ERROR)

    assert fault.code == "file-unreadable"
    assert str(bench.folder) not in fault.message + fault.hint


def test_a_main_brake_line_that_was_not_measured_is_written_like_any_other_gap(bench) -> None:
    """A whole row is not left out by one sign: nobody knows whether it was only forgotten."""
    bench.spoil(J, "brake_main: 2201", "brake_main: ~")
    assert not [f.code for f in bench.faults() if f.severity is Severity.ERROR]
    assert (Side.RIGHT, Point("brake_main", 1)) not in bench.read().job.after.lengths_mm

    bench.spoil(J, A_LEFT, "A: ~")
    fault, *others = [
        one for one in bench.faults() if "A2 not measured on the right" not in one.message
    ]
    assert fault.code == "too-few-lengths"
    assert fault.message.startswith("`after.left.A` is empty; A has 3 points")
    assert others == []
