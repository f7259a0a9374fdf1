"""The command `plan`: what it shows, writes and refuses, and what reports make of it."""

import io
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pikepdf
import pytest

from trimscribe.cell import Limits, SerialWorker
from trimscribe.cli import planning
from trimscribe.cli.output import Exit
from trimscribe.marked_yaml import load
from trimscribe.pipeline import bench_sheet, prepare, propose
from trimscribe.read import read
from trimscribe.registry import Registry
from trimscribe.verification.validator import PROMISED, nonconformities
from trimscribe.world import World

pytestmark = pytest.mark.slow

EXAMPLES = Path(__file__).parents[2] / "examples"
# What a theme may do to the one page that goes to the line room.
HOGS = {
    "template": "<% for a in range(99999) %><% for b in range(99999) %><% for c in range(99999) %>"
    "<% endfor %><% endfor %><% endfor %>",
    "page": "#for a in range(99999) { for b in range(99999) { for c in range(99999) {} } }",
    "text": '#{let s = "aaaaaaaa"; for n in range(40) { s = s + s }; s.len()}',
}
LIMITS = planning._LIMITS
ALWAYS = (
    "The maker's own trim procedure comes first.",
    "This is a proposal, no approval",
    "Measure the whole wing again after the work",
    "Check free travel with the bar fully pushed.",
)


class Kept:
    """A worker as a command has it, which does not end with the command."""

    def __init__(self, worker: SerialWorker) -> None:
        self.call, self.warm = worker.call, worker.warm

    def close(self) -> None:
        pass


@pytest.fixture(scope="module")
def planner() -> Iterator[SerialWorker]:
    worker = SerialWorker(LIMITS)
    yield worker
    worker.close()


@pytest.fixture(autouse=True)
def one_planner(planner: SerialWorker, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let commands with the usual limits share a worker, which has loaded the solver."""

    def worker(limits: Limits) -> Any:
        return Kept(planner) if limits == LIMITS else SerialWorker(limits)

    monkeypatch.setattr(planning, "SerialWorker", worker)


@pytest.fixture
def demo(folder: Path) -> Path:
    """The demo as it was before any work, yet released: a plan does not look at that."""
    for name in ("demo-before.csv", "medlar-m.yaml", "shop.yaml", "quarry-hill.svg",
                 "ines-corvin.svg"):  # fmt: skip
        shutil.copy(EXAMPLES / name, folder / name)
    text = (EXAMPLES / "demo.yaml").read_text(encoding="utf-8")
    after, loops = text.index("after:\n"), text.index("loops:")
    work, cloth = text.index("adjustments:"), text.index("cloth:")
    path = folder / "job.yaml"
    path.write_text(text[:after] + text[loops:work] + text[cloth:], encoding="utf-8")
    return path


def test_the_demo_has_a_plan_as_it_ships(run: Any) -> None:
    done = run("plan", EXAMPLES / "demo.yaml")

    assert done.exit_code == Exit.DONE
    assert "1  fewest changes: 6 loops would change" in done.stdout
    assert "double loop → single loop" in done.stdout
    assert re.search(r"lines beyond their limit +4 of 78", done.stdout)
    for sentence in ALWAYS:
        assert sentence in done.stdout


def test_a_plan_counts_close_lines_beyond_their_limit_and_says_what_it_counts(demo: Path) -> None:
    text = demo.read_text(encoding="utf-8")
    demo.write_text(f"{text}\ndecision_rule: {{guarded: 2}}\n", encoding="utf-8")
    registry = Registry.installed()
    content = prepare(demo, registry, before_work=True)
    plan = propose(content, registry)
    said = page_text(bench_sheet(content, plan, registry, World.real()).data)
    facts = content.assessment.facts
    outside, over = facts["found_outside"], facts["found_over_lines"]

    assert (outside, len(over)) == (0, 4)  # by the guard band too close to be called outside
    assert plan.now.outside == 4
    assert "Lines that read beyond their limit 4 of 78" in said
    assert "outside limits" not in said


def test_a_plan_from_lengths_that_the_work_has_changed_since_warns(run: Any, demo: Path) -> None:
    again, first = run("plan", EXAMPLES / "demo.yaml"), run("plan", demo)

    assert again.exit_code == first.exit_code == Exit.DONE
    assert "demo.yaml:53:1: warning: plan-from-old-lengths" in again.stderr
    assert "plan-from-old-lengths" not in first.stderr


def test_a_plan_needs_no_day_of_work_and_a_report_does(run: Any, demo: Path) -> None:
    text = demo.read_text(encoding="utf-8")
    done = next(line for line in text.splitlines() if line.startswith("  done:"))
    demo.write_text(text.replace(f"{done}\n", ""), encoding="utf-8")

    assert run("plan", demo).exit_code == Exit.DONE
    report = run("check", demo)
    assert report.exit_code == Exit.INPUT
    assert "`service.done` is missing" in report.stderr


def test_the_terminal_rounds_as_the_bench_sheet_does() -> None:
    near = SimpleNamespace(point="B1", side="left", relative_mm=9.35, limit_mm=10.0)
    level = SimpleNamespace(value=0.02, u=0.16)

    assert planning._nearest(SimpleNamespace(nearest=near)) == "B1 left +9.4 of ±10 mm"
    assert planning._angle(level, "up", "down") == "within 0.4°"  # 0.34, and a bound is no less


def test_each_alternative_says_what_may_read_beyond_its_limit_again(run: Any) -> None:
    said = run("plan", EXAMPLES / "planned.yaml").stdout

    assert re.search(r"about \d+ lines? after 1 (?:and|may)", said)


def test_a_sheet_ends_in_pdf(run: Any, demo: Path) -> None:
    done = run("plan", demo, "--sheet", demo.parent / "sheet.txt")

    assert done.exit_code == Exit.USAGE
    assert ".pdf" in done.stderr


def test_nothing_on_the_terminal_says_that_something_was_done(run: Any) -> None:
    said = run("plan", EXAMPLES / "demo.yaml").stdout.lower()

    for word in (
        "was changed",
        "were changed",
        "has been",
        "have been",
        "we changed",
        "measured at",
    ):
        assert word not in said


def test_json_alone_reaches_the_first_descriptor(folder: Path) -> None:
    """As a process of its own, since a solver in C writes below Python's own streams."""
    with (folder / "out").open("wb") as out:
        done = subprocess.run(
            [sys.executable, "-m", "trimscribe", "plan", EXAMPLES / "demo.yaml", "--json"],
            stdout=out,
            stderr=subprocess.PIPE,
            check=False,
        )

    document = json.loads((folder / "out").read_bytes())
    assert done.returncode == 0
    assert done.stderr == b""
    assert document["exit_code"] == 0
    assert [fault["code"] for fault in document["faults"]] == ["plan-from-old-lengths"]
    first = document["plan"]["proposals"][0]
    assert {(c["line"], c["loop_proposed"]) for c in first["changes"]} == {
        (f"c{n}", "single loop") for n in (1, 2, 3)
    }
    assert first["outlook"]["outside_lines"] == []
    assert document["plan"]["now"]["judged"] == 78


def test_json_tells_of_a_refusal(run: Any, demo: Path) -> None:
    text = demo.read_text(encoding="utf-8").replace("tension_n: 50", "tension_n: 90")
    # Released without a reason it would be refused before a plan is asked for.
    demo.write_text(text.replace("flight: released", "flight: not released"), encoding="utf-8")

    done = run("plan", demo, "--json")

    document = json.loads(done.stdout)
    assert done.exit_code == Exit.NO_PLAN == document["exit_code"]
    assert [f["code"] for f in document["faults"] if f["severity"] == "error"] == [
        "plan-other-load"
    ]
    assert document["plan"] is None


def test_a_plan_goes_into_the_job_with_every_other_byte_kept(run: Any, demo: Path) -> None:
    before = demo.read_text(encoding="utf-8")

    done = run("plan", demo, "--into", demo)

    assert done.exit_code == Exit.DONE
    after = demo.read_text(encoding="utf-8")
    added = [line for line in after.splitlines() if line not in before.splitlines()]
    kept = [line for line in after.splitlines() if line not in added]
    assert kept == before.splitlines()
    assert added[0] == "plan:"
    plan = load(after.encode(), "job.yaml").data["plan"]
    assert plan["done"] is False
    assert {c["line"] for c in plan["changes"]} == {"c1", "c2", "c3", "brake_main"}
    assert {c["side"] for c in plan["changes"] if c["line"] != "brake_main"} == {"both"}
    again = run("plan", demo, "--into", demo)
    assert again.exit_code == Exit.DONE
    assert demo.read_text(encoding="utf-8") == after


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            "serial_number: MD-00731",
            "serial_number: MD-00732",
            "`wing.serial_number` is “MD-00732”",
        ),
        ("serial_number: MD-00731", "serial_number: ~", "`wing.serial_number` is empty"),
        ("  size: M\n", "  size: L\n", "`wing.size` is “L”"),
    ],
)
def test_a_plan_goes_into_no_job_of_another_wing(
    run: Any, demo: Path, old: str, new: str, told: str
) -> None:
    other = demo.with_name("other.yaml")
    text = demo.read_text(encoding="utf-8")
    assert old in text
    other.write_text(text.replace(old, new), encoding="utf-8")
    before = other.read_bytes()

    for forced in ((), ("--force",)):
        done = run("plan", demo, "--into", other, *forced)
        assert done.exit_code == Exit.INPUT
        assert "other-wing" in done.stderr
        assert told in done.stderr
    assert other.read_bytes() == before


@pytest.mark.parametrize("name", ["medlar-m.yaml", "shop.yaml"])
def test_a_plan_goes_into_jobs_alone(run: Any, demo: Path, name: str) -> None:
    target = demo.with_name(name)
    before = target.read_bytes()

    done = run("plan", demo, "--into", target)
    assert done.exit_code == Exit.INPUT
    assert "not-a-job" in done.stderr
    assert target.read_bytes() == before


def test_a_plan_goes_into_a_copy_of_the_job(run: Any, demo: Path) -> None:
    copy = demo.with_name("copy.yaml")
    shutil.copy(demo, copy)

    assert run("plan", demo, "--into", copy).exit_code == Exit.DONE
    assert "plan" in load(copy.read_bytes(), "copy.yaml").data


@pytest.mark.skipif(os.name == "nt", reason="needs rights of a Unix disk")
def test_a_protected_job_gets_no_plan(run: Any, demo: Path) -> None:
    demo.chmod(0o444)
    before = demo.read_bytes()

    done = run("plan", demo, "--into", demo)
    assert done.exit_code == Exit.DISK
    assert "no-permission" in done.stderr
    assert demo.read_bytes() == before


def test_another_plan_is_never_replaced_unasked(run: Any, demo: Path) -> None:
    run("plan", demo, "--into", demo)
    first = demo.read_text(encoding="utf-8")

    refused = run("plan", demo, "--take", "2", "--into", demo)
    assert refused.exit_code == Exit.INPUT
    assert "plan-differs" in refused.stderr
    assert demo.read_text(encoding="utf-8") == first
    forced = run("plan", demo, "--take", "2", "--into", demo, "--force")
    assert forced.exit_code == Exit.DONE
    second = load(demo.read_bytes(), "job.yaml").data
    assert len(second["plan"]["changes"]) > 5
    assert second["cloth"] == load(first.encode(), "job.yaml").data["cloth"]


def test_a_sheet_shows_the_plan_that_the_job_holds(run: Any, demo: Path) -> None:
    def sheet(*more: str) -> str:
        done = run("plan", demo, "--sheet", demo.parent / "sheet.pdf", "--force", *more)
        return page_text((demo.parent / "sheet.pdf").read_bytes()) if not done.exit_code else ""

    first, second = sheet(), sheet("--take", "2")
    assert first != second
    run("plan", demo, "--take", "2", "--into", demo)

    assert "Proposal 2 of" in sheet()
    assert "Proposal 1 of" in sheet("--take", "1")


def test_a_plan_that_is_not_proposed_any_more_has_no_sheet_unasked(run: Any, demo: Path) -> None:
    run("plan", demo, "--into", demo)
    text = demo.read_text(encoding="utf-8")
    demo.write_text(text.replace("line: c2, side: both", "line: c2, side: left"), encoding="utf-8")
    assert demo.read_text(encoding="utf-8") != text

    done = run("plan", demo, "--sheet", demo.parent / "sheet.pdf")

    assert "plan-not-proposed" in done.stderr
    assert "--take" in done.stderr
    assert not (demo.parent / "sheet.pdf").exists()


def test_done_turns_the_plan_into_adjustments(run: Any, demo: Path) -> None:
    run("plan", demo, "--into", demo)
    planned = load(demo.read_bytes(), "job.yaml").data["plan"]["changes"]

    done = run("plan", demo, "--done")

    assert done.exit_code == Exit.DONE
    data = load(demo.read_bytes(), "job.yaml").data
    assert data["adjustments"] == planned
    assert data["plan"] == {"done": True, "changes": planned}
    assert "# what each loop takes up" in demo.read_text(encoding="utf-8")
    twice = run("plan", demo, "--done")
    assert twice.exit_code == Exit.NO_PLAN
    assert "plan-was-done" in twice.stderr


def test_done_without_a_plan_is_refused(run: Any, demo: Path) -> None:
    done = run("plan", demo, "--done")

    assert done.exit_code == Exit.NO_PLAN
    assert "plan-not-there" in done.stderr


def test_a_line_that_was_adjusted_already_is_not_adjusted_again(run: Any, demo: Path) -> None:
    run("plan", demo, "--into", demo)
    text = demo.read_text(encoding="utf-8")
    entry = "adjustments:\n  - {line: c1, side: left, change_mm: 4}\n"
    demo.write_text(text.replace("cloth:\n", entry + "cloth:\n"), encoding="utf-8")

    done = run("plan", demo, "--done")

    assert done.exit_code == Exit.INPUT
    assert "line-adjusted-twice" in done.stderr


def test_done_goes_alone(run: Any, demo: Path) -> None:
    assert run("plan", demo, "--done", "--into", demo).exit_code == Exit.USAGE


def test_a_refusal_says_where_what_it_asks_for_belongs(run: Any, demo: Path) -> None:
    line_set = demo.with_name("medlar-m.yaml")
    kept = [x for x in line_set.read_text(encoding="utf-8").splitlines() if "chord_m" not in x]
    line_set.write_text("\n".join(kept), encoding="utf-8")
    lines = demo.read_text(encoding="utf-8").splitlines()
    number = next(n for n, line in enumerate(lines, 1) if line.startswith("specification:"))

    assert f":{number}:16: plan-angle-unknown" in run("plan", demo).stderr


def test_an_alternative_that_is_not_there_is_refused(run: Any, demo: Path) -> None:
    spaced = demo.rename(demo.with_name("a job.yaml"))
    done = run("plan", spaced, "--take", "9")

    assert done.exit_code == Exit.NO_PLAN
    assert "plan-number" in done.stderr
    assert f'`trimscribe plan "{spaced}"` shows them.' in done.stderr


def test_a_report_with_an_open_plan_warns_and_does_not_call_it_done(run: Any, demo: Path) -> None:
    run("plan", demo, "--into", demo)

    content = prepare(demo, Registry.installed(), before_work=True)

    assert "plan-not-done" in [fault.code for fault in content.warnings]
    titles = [caution.title for caution in content.statements.cautions]
    assert "A proposed retrim is open" in titles
    assert content.findings.ledger == ()
    assert content.reading.job.adjustments == ()
    rules = [sentence.rule for sentence in content.statements.sentences]
    assert [rule for rule in rules if rule.startswith("done_")] == ["done_nothing"]


def page_text(data: bytes) -> str:
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    try:
        assert len(document) == 1
        page = document[0]
        text = page.get_textpage()
        found = text.get_text_bounded()
        text.close()
        page.close()
    finally:
        document.close()
    return " ".join(found.split())


@pytest.mark.parametrize("theme", ["base", "linden", "bench"])
def test_the_sheet_says_all_on_one_page(theme: str) -> None:
    registry = Registry.installed()
    content = prepare(EXAMPLES / "demo.yaml", registry)
    plan = propose(content, registry)
    for number in range(len(plan.proposals)):
        report = bench_sheet(content, plan, registry, World.real(), number=number, theme=theme)

        assert report.pages == 1
        said = page_text(report.data)
        for sentence in (
            "The maker's own trim procedure comes first.",
            "This is a proposal, not an approval.",
            "Measure the whole wing again after the work.",
            "Check free travel with the bar fully pushed.",
            "Initials",
            "MD-00731",
        ):
            assert sentence in said
        for change in plan.proposals[number].changes:
            assert f"{change.loop_now} → {change.loop_proposed}" in said


def test_the_sheet_promises_both_profiles_and_is_the_same_each_time(run: Any, demo: Path) -> None:
    first, second = demo.parent / "one.pdf", demo.parent / "two.pdf"
    assert run("plan", demo, "--sheet", first).exit_code == Exit.DONE
    assert run("plan", demo, "--sheet", second).exit_code == Exit.DONE

    assert first.read_bytes() == second.read_bytes()
    with pikepdf.open(io.BytesIO(first.read_bytes())) as pdf:
        described = bytes(pdf.Root.Metadata.read_bytes()).decode()
        assert "<pdfaid:part>3</pdfaid:part>" in described
        assert "<pdfaid:conformance>A</pdfaid:conformance>" in described
        assert "<pdfuaid:part>1</pdfuaid:part>" in described
        assert pdf.Root.MarkInfo.Marked


@pytest.mark.slow
def test_the_sheet_conforms(run: Any, demo: Path) -> None:
    command = os.environ.get("TRIMSCRIBE_VERAPDF", shutil.which("verapdf") or "")
    if not command:
        pytest.skip("veraPDF is not here: TRIMSCRIBE_VERAPDF names no command")
    sheet = demo.parent / "sheet.pdf"
    run("plan", demo, "--sheet", sheet)

    assert PROMISED
    assert nonconformities(sheet.read_bytes(), tuple(command.split())) == ()


@pytest.mark.parametrize("name", ["two-row", "demo", "four-row", "five-row"])
def test_wings_of_two_to_five_rows_fit_on_one_page_with_every_line_changed(name: str) -> None:
    """The longest sheet there is: each main line changes on both sides."""
    from dataclasses import replace

    from trimscribe.model.plan import LoopChange
    from trimscribe.model.wing import Side

    registry = Registry.installed()
    demo = prepare(EXAMPLES / "demo.yaml", registry)
    plan = propose(demo, registry)
    folder = EXAMPLES.parent / "tests" / "jobs" if name == "five-row" else EXAMPLES
    content = prepare(folder / f"{name}.yaml", registry)
    specification = content.reading.job.specification
    assert specification is not None
    changes = tuple(
        LoopChange(line.name, side, "single loop", "double loop", "", -9.0)
        for line in specification.cascade
        if line.parent is None and line.name != "brake_main"
        for side in Side
    )
    full = replace(plan.proposals[0], changes=changes)
    whole = replace(plan, proposals=(full, *plan.proposals[1:]))

    for theme in ("base", "linden", "bench"):
        report = bench_sheet(content, whole, registry, World.real(), theme=theme)
        assert report.pages == 1, (theme, len(changes))


def test_plan_and_result_are_compared_line_by_line() -> None:
    reading = read(EXAMPLES / "planned-done.yaml", Registry.installed())

    assert reading.job.plan is not None
    assert reading.job.plan.done
    assert reading.job.adjustments


@pytest.mark.parametrize("hog", HOGS)
def test_a_sheet_that_never_ends_is_stopped_and_the_theme_named(
    run: Any, demo: Path, monkeypatch: pytest.MonkeyPatch, hog: str
) -> None:
    """The plan may take a minute; whatever a theme does after it may not."""
    monkeypatch.setattr(planning, "_LIMITS", Limits(seconds=0.5, memory_mb=700.0))
    theme = demo.parent / "hog"
    (theme / "templates").mkdir(parents=True)
    (theme / "theme.yaml").write_text("trimscribe: 1\nname: hog\nextends: base\n")
    template = theme / "templates" / "bench_sheet.typ.j2"
    template.write_text(f'#import "kit.typ": *\n{HOGS[hog]}\n')

    done = run("plan", demo, "--sheet", "sheet.pdf", "--theme", "./hog")

    assert done.exit_code == Exit.STOPPED
    assert re.search(r"hog/(theme\.yaml|templates/bench_sheet\.typ\.j2): job-too-", done.stderr)
    assert not Path("sheet.pdf").exists()
