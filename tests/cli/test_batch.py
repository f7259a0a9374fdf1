"""The command `batch`, as people and programs see it."""

import json
import os
import pty
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import psutil
import pytest

pytestmark = pytest.mark.processes
ROOT = Path(__file__).parents[2]
JOB = """\
trimscribe: 1
workshop: {{name: Quarry Hill Canopy Works}}
service: {{number: QH-{number}, done: 2026-04-01}}
wing: {{maker: Pomeroy Wings, model: Damson, size: S, serial_number: DM-0001}}
notes: {notes}
"""
# An analysis that does what the notes of a job say.
PLUGIN = """
import os, signal, time
from pathlib import Path

contract = 1
name = "obedient"
needs = ()

def analyse(job, findings):
    what = job.notes or ""
    if what == "raise":
        raise ZeroDivisionError(str(Path.home()))
    if what == "exit":
        raise SystemExit(3)
    if what == "kill":
        os.kill(os.getpid(), signal.SIGKILL)
    if what == "hang":
        while True:
            pass
    if what == "grow":
        held = []
        while True:
            held.append(bytearray(b"x" * 8_000_000))
            time.sleep(0.005)
    if what == "wait":
        time.sleep(0.2)
    if what == "print":
        print("noise")
    return findings
"""

Write = Callable[..., None]


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Write:
    """Write jobs with these notes into `jobs`, beside an installed plugin that obeys them."""
    site = tmp_path / "site"
    info = site / "obedient-1.0.dist-info"
    info.mkdir(parents=True)
    (site / "obedient.py").write_text(PLUGIN)
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: obedient\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text("[trimscribe.analyses]\nobedient = obedient\n")
    monkeypatch.setenv("PYTHONPATH", str(site))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "jobs").mkdir()

    def write(**notes: str) -> None:
        for number, (name, note) in enumerate(notes.items()):
            text = JOB.format(number=f"{number}-{name}", notes=note)
            Path(f"jobs/{name}.yaml").write_text(text, encoding="utf-8")

    return write


def batch(*arguments: str, **extra: Any) -> "subprocess.Popen[str]":
    command = [sys.executable, "-m", "trimscribe", "batch", "--out", "out", *arguments]
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "encoding": "utf-8"}
    return subprocess.Popen(command, **{**streams, **extra})


def done(*arguments: str) -> tuple[int, str, str]:
    process = batch(*arguments)
    out, reported = process.communicate(timeout=60)
    return process.returncode, out, reported


def lines(out: str) -> dict[str, Any]:
    """The lines of JSON by the name of their job."""
    return {Path(line["job"]).stem: line for line in map(json.loads, out.splitlines())}


def logged() -> list[dict[str, Any]]:
    return [json.loads(line) for line in Path("out/batch.jsonl").read_text().splitlines()]


def reports() -> set[str]:
    return {path.name for path in Path("out").iterdir()} - {"batch.jsonl"}


def test_whatever_one_job_does_the_others_are_made(shelf: Write) -> None:
    shelf(a="fine", b="raise", c="kill", d="hang", e="grow", f="fine", g="exit", h="print")
    Path("jobs/j.yaml").write_text("service: {number: 5}\n")
    code, out, reported = done(
        "jobs", "--json", "--workers", "2", "--seconds", "2", "--megabytes=500"
    )

    found = lines(out)
    assert {name: line["exit_code"] for name, line in found.items()} == {
        **dict.fromkeys("afh", 0),
        **{"b": 4, "c": 7, "d": 7, "e": 7, "g": 4, "j": 2},
    }
    codes = {name: [f["code"] for f in line["faults"]] for name, line in found.items()}
    assert (codes["b"], codes["c"]) == (["plugin-raises"], ["worker-died"])
    assert (codes["d"], codes["e"]) == (["job-too-slow"], ["job-too-large"])
    assert codes["g"] == ["plugin-raises"]  # whoever calls exit is named, and no worker is lost
    assert code == 7
    assert "noise" not in out
    assert str(Path.home()) not in out
    assert "Traceback" not in reported
    assert reports() == {found[name]["report"]["path"] for name in "afh"}
    assert sorted(map(str, logged())) == sorted(map(str, found.values()))


def test_people_get_faults_a_summary_and_a_table(shelf: Write) -> None:
    shelf(a="fine", b="raise", c="fine")
    Path("jobs/d.yaml").write_text("service: {number: 5}\n")
    code, out, reported = done("jobs", "--workers", "1")

    assert code == 4
    assert [line.split() for line in out.splitlines()] == [
        ["jobs", "result"],
        ["2", "made"],
        ["2", "failed"],
        ["1", "faults", "in", "the", "job", "or", "a", "file", "that", "it", "names"],
        ["1", "a", "plugin", "is", "unknown,", "clashes,", "does", "not", "load", "or", "fails"],
    ]
    assert "jobs/b.yaml: failed, 1 error\n" in reported
    assert "jobs/d.yaml:1:" in reported
    assert "4 of 4 jobs in " in reported
    assert "passed over" not in reported
    assert "\x1b" not in reported


def test_what_is_passed_over_is_named_and_a_misspelled_job_is_reported(shelf: Write) -> None:
    shelf(a="fine")
    text = Path("jobs/a.yaml").read_text()
    Path("jobs/typo.yaml").write_text(text.replace("service:", "servise:"))
    Path("jobs/typed.yaml").write_bytes(text.encode("utf-16"))
    Path("jobs/shop.yaml").write_text("trimscribe: 1\nname: Quarry Hill\n")
    code, out, reported = done("jobs", "--json", "--workers", "1")

    faults = {name: [f["code"] for f in line["faults"]] for name, line in lines(out).items()}
    assert faults == {"a": [], "typo": ["unknown-key"], "typed": ["not-utf-8"]}
    assert code == 2
    assert "3 of 3 jobs in " in reported
    assert "passed over: jobs/shop.yaml (no `service`)\n" in reported


def test_a_fault_of_all_jobs_is_reported_once(shelf: Write) -> None:
    shelf(a="fine", b="fine", c="fine")
    code, _, reported = done("jobs", "--theme", "nowhere", "--workers", "1")

    assert code == 3
    assert reported.count("theme-unknown") == 1
    assert reported.count("failed, 1 error") == 3


def test_the_first_failure_ends_it_where_that_is_wished(shelf: Write) -> None:
    shelf(a="fine", b="raise", **dict.fromkeys("cdefghij", "wait"))
    code, out, _ = done("jobs", "--json", "--fail-fast", "--workers", "1")

    assert code == 4
    assert [*lines(out)] == ["a", "b"]
    assert len(reports()) == 1


def test_resuming_makes_what_is_missing_changed_or_failed(shelf: Write) -> None:
    shelf(a="fine", b="fine", c="raise", d="fine", e="fine")
    done("jobs", "--json", "--workers", "1")
    before = {path: path.stat().st_mtime_ns for path in Path("out").glob("*.pdf")}
    next(Path("out").glob("qh-3-d*")).unlink()
    text = Path("jobs/b.yaml").read_text()
    Path("jobs/b.yaml").write_text(text.replace("2026-04-01", "2026-04-02"))
    Path("jobs/f.yaml").write_text(text.replace("QH-1-b", "QH-9-f"))
    code, out, _ = done("jobs", "--json", "--resume", "--force", "--workers", "1")

    assert code == 4
    assert {name: line["status"] for name, line in lines(out).items()} == {
        **{"a": "up to date", "b": "made", "c": "failed", "d": "made"},
        **{"e": "up to date", "f": "made"},
    }
    for path, touched in before.items():
        if "-a-" in path.name or "-e-" in path.name:
            assert path.stat().st_mtime_ns == touched


def test_an_interrupt_drops_what_is_being_made_and_leaves_the_rest_whole(shelf: Write) -> None:
    shelf(**{f"j{number:02}": "wait" for number in range(16)})
    process = batch("jobs", "--json", "--workers", "2", start_new_session=True)
    assert process.stdout is not None
    first = [json.loads(process.stdout.readline()) for _ in range(3)]
    workers = psutil.Process(process.pid).children(recursive=True)
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to all of them
    rest, reported = process.communicate(timeout=20)

    assert process.returncode == 130
    assert "Traceback" not in reported
    assert "--resume goes on" in reported
    _, alive = psutil.wait_procs(workers, timeout=20)
    assert alive == []
    finished = [*first, *map(json.loads, rest.splitlines())]
    assert 3 <= len(finished) < 16
    # One may have been put down, and perhaps logged, and not told yet.
    log = logged()
    assert log[: len(finished)] == finished
    assert len(log) <= len(reports()) <= len(finished) + 1
    assert {line["report"]["path"] for line in log} <= reports()

    code, out, _ = done("jobs", "--json", "--resume", "--workers", "2")
    assert code == 0
    again = [line["job"] for line in lines(out).values() if line["status"] == "up to date"]
    assert sorted(again) == sorted(line["job"] for line in log)
    assert len(reports()) == 16


def test_a_run_that_is_killed_leaves_no_process_and_can_be_resumed(shelf: Write) -> None:
    shelf(**{f"j{number}": "wait" for number in range(6)})
    process = batch("jobs", "--json", "--workers", "2")
    assert process.stdout is not None
    process.stdout.readline()
    workers = psutil.Process(process.pid).children(recursive=True)
    process.kill()
    process.communicate()

    _, alive = psutil.wait_procs(workers, timeout=20)
    assert alive == []
    code, out, _ = done("jobs", "--json", "--resume", "--workers", "1")
    assert code == 0
    # One may have been put down and not told yet: it is made again, and found unchanged.
    statuses = [line["status"] for line in lines(out).values()]
    assert {*statuses} - {"unchanged"} == {"made", "up to date"}
    assert statuses.count("unchanged") <= 1
    # What the killed run was writing may lie there still, hidden; no report is missing or doubled.
    assert len([name for name in reports() if not name.startswith(".")]) == 6


def test_the_reports_are_those_of_the_command_report(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "examples", tmp_path / "jobs")
    kept = {"demo", "inspection", "job"}  # with files beside it, without any, of an export
    for path in (tmp_path / "jobs").rglob("*.yaml"):
        if "service:" in path.read_text(encoding="utf-8") and path.stem not in kept:
            path.unlink()
    for command in (["batch", "jobs"], ["report", *map(str, (tmp_path / "jobs").rglob("*.yaml"))]):
        subprocess.run(
            [sys.executable, "-m", "trimscribe", *command, "--out", command[0]],
            cwd=tmp_path,
            capture_output=True,
        )
    made = {path.name: path.read_bytes() for path in (tmp_path / "batch").glob("*.pdf")}

    assert len(made) == len(kept)
    for name, data in made.items():
        assert (tmp_path / "report" / name).read_bytes() == data


@pytest.mark.skipif(sys.platform == "win32", reason="it has no such terminals")
def test_a_terminal_shows_how_far_how_fast_and_how_long_it_will_take(shelf: Write) -> None:
    shelf(**{f"j{number}": "wait" for number in range(8)}, x="raise")
    ours, theirs = pty.openpty()
    process = batch(
        "jobs",
        "--json",
        "--workers",
        "1",
        stderr=theirs,
        env={**os.environ, "TERM": "xterm", "COLUMNS": "100"},
    )
    os.close(theirs)
    shown = b""
    while True:
        try:
            shown += os.read(ours, 65536)
        except OSError:  # Linux says so when the other end is closed
            break
    os.close(ours)
    out, _ = process.communicate(timeout=20)
    text = shown.decode()

    assert "4/9" in text
    assert " a second" in text
    assert "0:00:0" in text
    assert "1 failed" in text
    assert len(out.splitlines()) == 9
    assert "\x1b" not in out


@pytest.mark.parametrize(
    "arguments",
    [
        ["--workers", "0", "jobs"],
        ["--seconds", "0", "jobs"],
        ["--megabytes", "-1", "jobs"],
        ["--seconds", "nan", "jobs"],
        ["--seconds", "inf", "jobs"],
        ["--megabytes", "1e308", "jobs"],
        [],
    ],
)
def test_wrong_use_is_reported(run: Any, arguments: list[str]) -> None:
    reported = run("batch", "--out", "out", *arguments)

    assert (reported.exit_code, reported.stdout) == (64, "")
    assert "Try `trimscribe batch --help`." in reported.stderr


@pytest.mark.parametrize("thing", ["pipe", "link"])
def test_what_stands_in_the_place_of_the_log_is_neither_followed_nor_waited_for(
    shelf: Write, thing: str
) -> None:
    shelf(one="fine")
    Path("out").mkdir()
    Path("elsewhere").write_text("mine", encoding="utf-8")
    log = Path("out/batch.jsonl")
    os.mkfifo(log) if thing == "pipe" else log.symlink_to("../elsewhere")

    for more in ([], ["--resume"]):
        code, _, reported = done("jobs", *more)
        assert code == 6
        assert "out/batch.jsonl: report-in-the-way" in reported
    assert Path("elsewhere").read_text(encoding="utf-8") == "mine"


def test_a_pipe_in_the_place_of_a_report_is_reported_when_a_run_is_resumed(shelf: Write) -> None:
    shelf(one="fine")
    done("jobs")
    (report,) = Path("out").glob("*.pdf")
    report.unlink()
    os.mkfifo(report)

    code, _, reported = done("jobs", "--resume")

    assert code == 6
    assert f"{report.as_posix()}: report-in-the-way" in reported


def test_a_folder_without_jobs_is_reported(run: Any) -> None:
    Path("jobs").mkdir()
    reported = run("batch", "jobs", "--out", "out")

    assert (reported.exit_code, reported.stdout) == (2, "")
    assert reported.stderr.startswith("jobs: no-jobs\n")
    assert not Path("out").exists()
