"""Doubts as warnings: place, suspect value, reason, suggested repair; silent when confirmed."""

import dataclasses
import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from trimscribe.cli import main
from trimscribe.doubt_messages import doubt_messages, nearest_mark
from trimscribe.errors import Mark, Severity
from trimscribe.model.doubts import Doubt, DoubtKind
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry

EXAMPLES = Path(__file__).parents[1] / "examples"
MARKS = {(): Mark("a.yaml"), ("after",): Mark("a.yaml", 40, 1), ("after", "left", "A", 3): Mark(
    "after.csv", 7, 10, 4, "left,A,3,7434")}  # fmt: skip


@pytest.fixture
def released(tmp_path: Path) -> Path:
    """The demo job in a folder of its own, to be spoilt."""
    shutil.copytree(EXAMPLES, tmp_path / "jobs")
    return tmp_path / "jobs" / "demo.yaml"


@pytest.fixture
def demo(released: Path) -> Path:
    """The same before anybody has decided: a release in spite of a doubt would need a reason."""
    spoil(released, "  flight: released\n", "  flight: not decided\n")
    return released


def spoil(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")


def check(job: Path, *options: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["check", *options, str(job)])
    return result.exit_code, result.output


def test_every_kind_of_doubt_is_reported_in_a_sentence_with_a_way_out() -> None:
    for kind in DoubtKind:
        doubt = Doubt(kind, "after.left.A3", ("after", "left", "A", 3), (), 7434.0, 7334.0,
                      7334.0, other="A4", count=3)  # fmt: skip
        [fault] = doubt_messages([doubt], MARKS)

        assert fault.code == kind.value
        assert fault.severity is Severity.WARNING
        assert fault.message.startswith("Please check `after.left.A3`: ")
        assert fault.message.endswith(".")
        assert "{" not in fault.message + fault.hint
        assert "confirmed" in fault.hint
        assert str(fault.mark) == "after.csv:7:10"


def test_a_confirmed_doubt_is_silent() -> None:
    at = ("after", "left", "A", 3)
    doubt = Doubt(DoubtKind.LENGTH, "after.left.A3", at, (), confirmed="twice")

    assert list(doubt_messages([doubt], MARKS)) == []


def test_a_change_that_did_not_come_is_reported_as_planned_whatever_its_source() -> None:
    name = "adjustments.brake_main.left"
    doubt = Doubt(DoubtKind.MOVED_UNLIKE, name, ("adjustments", 0), (), found=0.0, expected=-20.0)
    alone = dataclasses.replace(doubt, other="brake_main")

    [plain], [above] = (list(doubt_messages([d], MARKS)) for d in (doubt, alone))

    assert "20 mm shorter was planned, but no change was measured." in plain.message
    assert "brake_main became 20 mm shorter, but the lines above it show no change" in above.message
    assert "include the main line" in above.hint


@pytest.mark.parametrize(
    ("found", "asked"),
    [
        (504.0, "measured with the risers? The specification is without them."),
        (-504.0, "measured without the risers? The specification is with them."),
    ],
)
def test_an_offset_like_a_riser_asks_for_the_risers(found: float, asked: str) -> None:
    doubt = Doubt(DoubtKind.OFFSET, "after.offset", ("after",), (), found, 0.0, other="risers")

    [fault] = doubt_messages([doubt], MARKS)

    way = "longer" if found > 0 else "shorter"
    assert f"as a whole the lines are about 504 mm {way} than specified" in fault.message
    assert asked in fault.hint


def test_lengths_measured_with_the_risers_are_doubted_in_check_and_report(demo: Path) -> None:
    """The common offset is taken out, so that without a doubt everything would look right."""
    line_set = demo.with_name("medlar-m.yaml")
    spoil(line_set, "includes_risers: true", "includes_risers: false")
    rows = demo.with_name("demo-before.csv").read_text(encoding="utf-8").splitlines()
    longer = [row if "row" in row or "main" in row else _plus(row, 510) for row in rows]
    demo.with_name("demo-before.csv").write_text("\n".join(longer), encoding="utf-8")

    _, said = check(demo)
    prepared = prepare(demo, Registry.installed())

    reported = " ".join(said.split())
    assert "offset-doubtful" in said
    assert "Were they measured with the risers? The specification is without them." in reported
    record = " ".join(s.text for s in prepared.statements.sentences)
    assert "Unusual and not confirmed: the common offset (measured before)." in record


def _plus(row: str, mm: float) -> str:
    head, _, length = row.rpartition(",")
    return f"{head},{float(length) + mm:g}"


def test_what_was_not_written_is_marked_by_what_is_around_it() -> None:
    assert str(nearest_mark(("after", "right", "B", 1), MARKS)) == "a.yaml:40:1"
    assert str(nearest_mark(("before",), MARKS)) == "a.yaml"
    assert nearest_mark(("before",), {}) is None


def test_a_slip_in_a_csv_file_is_shown_at_its_cell(demo: Path) -> None:
    spoil(demo.with_name("demo-before.csv"), "left,B,5,7210", "left,B,5,7310")

    code, said = check(demo)

    assert code == 0
    assert "demo-before.csv:18:10: warning: length-doubtful" in said
    reported = " ".join(said.split())
    assert "Please check `before.left.B5`: 7310 mm is" in reported
    assert "Was 7210 meant?" in reported


def test_under_strict_a_doubt_ends_with_exit_code_1_until_it_is_confirmed(demo: Path) -> None:
    spoil(demo.with_name("demo-before.csv"), "left,B,5,7210", "left,B,5,7310")
    assert check(demo, "--strict")[0] == 1

    demo.write_text(
        demo.read_text(encoding="utf-8") + "\nconfirmed:\n  before.left.B5: measured twice\n",
        encoding="utf-8",
    )

    assert check(demo, "--strict") == (0, f"{demo}: no faults\n")


def test_a_forgotten_loop_is_shown_at_its_entry(demo: Path) -> None:
    spoil(demo, "{line: c1, side: both, loop_before: double loop", "{line: c1, side: both, "
          "loop_before: pile hitch")  # fmt: skip

    _, said = check(demo)

    assert "moved-unlike-entry" in said
    assert "demo.yaml:79:" in said
    assert re.search(r"27 mm longer was planned, but .+ was measured", " ".join(said.split()))


def test_no_example_is_doubted() -> None:
    registry = Registry.installed()
    for path in sorted(EXAMPLES.glob("*.yaml")):
        if "service:" in path.read_text(encoding="utf-8") and path.stem != "broken":
            assert prepare(path, registry).findings.doubts == ()


def test_nothing_is_repaired_by_itself(demo: Path) -> None:
    sound = prepare(demo, Registry.installed())
    spoil(demo.with_name("demo-before.csv"), "left,B,5,7210", "left,B,5,7310")

    spoilt = prepare(demo, Registry.installed())

    line = next(x for x in spoilt.findings.before.lines if (x.side, str(x.point)) == ("left", "B5"))
    assert line.measured_mm == 7310
    assert dataclasses.replace(spoilt.findings, doubts=()) != sound.findings


def test_a_release_against_what_was_found_needs_a_reason_and_then_both_are_printed(
    demo: Path,
) -> None:
    outside = demo.with_name("outside.yaml")
    text = outside.read_text(encoding="utf-8")
    (decision,) = re.findall(r"^decision:\n(?:  .*\n)+|^decision: .*\n", text, re.MULTILINE)
    outside.write_text(text.replace(decision, "decision: {flight: released}\n"), encoding="utf-8")

    code, said = check(outside)

    assert code == 2
    assert "released-against-stop" in said
    assert f"outside.yaml:{text[: text.index(decision)].count(chr(10)) + 1}:" in said

    reason = "decision: {flight: released, reason: flown to the repairer by its owner}\n"
    outside.write_text(text.replace(decision, reason), encoding="utf-8")
    statements = prepare(outside, Registry.installed()).statements
    [printed] = [s.text for s in statements.sentences if s.place == "decision"]
    [headline] = [s.text for s in statements.sentences if s.place == "headline"]

    assert "released this wing although this report advises against flying it" in printed
    assert "Reason: flown to the repairer by its owner." in printed
    assert headline.startswith("Do not fly this wing yet.")


@pytest.mark.parametrize(
    ("spoilt", "why", "asked"),
    [
        # As the lines were measured last, not as they came.
        (("  tension_n: 50\n", "  tension_n: 40\n"),
         "demo.yaml:57:14: warning: tension-differs",
         "Have it measured at the maker's tension before you fly it."),
        # With the doubt itself, or nobody knew what to confirm.
        (("A: [7339, 7331", "A: [7339, 7431"), "length-doubtful",
         "A2 right checked before you fly"),
        # In doubt is no length but that nobody entered what the lines show.
        (("  - {line: c3, side: both, loop_before: double loop, loop_after: single loop}\n", ""),
         "what was entered looks wrong", "c3 left and c3 right checked before you fly"),
        (("c3, side: both, loop_before: double loop", "c3, side: both, loop_before: pile hitch"),
         "the lines did not measure as their work was entered", "Ask your workshop before you fly"),
        (("7268, 7222, 7161", "7268, 7222, 7173"), "lines are outside limits",
         "As measured, the wing is not as its maker specified."),
    ],
)  # fmt: skip
def test_a_release_against_what_the_report_says_needs_a_reason(
    released: Path, spoilt: tuple[str, str], why: str, asked: str
) -> None:
    text = released.read_text(encoding="utf-8")
    old, new = spoilt
    at = text.rindex(old)
    released.write_text(text[:at] + new + text[at + len(old) :], encoding="utf-8")

    code, said = check(released)

    assert (code, "released-against-stop" in said) == (2, True)
    assert why in " ".join(said.split())

    spoil(released, "  flight: released\n", "  flight: released\n  reason: the owner measures it\n")
    statements = prepare(released, Registry.installed()).statements
    [printed] = [s.text for s in statements.sentences if s.place == "decision"]

    ask = "says to ask the workshop before flying"
    says = {
        "lines are outside limits": "finds it outside limits",
        "the lines did not measure as their work was entered": ask,
    }.get(why, "asks for more to be measured or checked first")
    assert f"although this report {says}. Reason: the owner" in printed
    assert asked in " ".join(s.text for s in (*statements.sentences, *statements.cautions))


@pytest.mark.parametrize(
    ("old", "new", "reported"),
    [
        ("A2, A6, A10, B3, B7, B11]", "A2]", "no untouched lines of both sides"),
        ("[~, 7335, ~, ~, ~, 7236,", "[~, 7350, ~, ~, ~, 7236,", "do not agree"),
        ("instrument: LD-2, checked 2026-09-01\n  tension_n: 50\n  uncertainty_mm: 1.5\n  control",
         "instrument: tape\n  tension_n: 50\n  uncertainty_mm: 1.5\n  control",
         "one method and instrument"),
    ],
    ids=["too few controls", "controls disagree", "another instrument"],
)  # fmt: skip
def test_lines_that_cannot_be_carried_over_are_reported(
    demo: Path, old: str, new: str, reported: str
) -> None:
    job = demo.with_name("part-remeasured.yaml")
    spoil(job, old, new)

    _, said = check(job)
    words = " ".join(said.split())

    assert "not-carried-over" in said
    assert reported in words
