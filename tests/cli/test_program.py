"""The program around the commands: exit codes, help, and whatever else can happen."""

import json
import os
import pty
import re
import signal
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest

from trimscribe import errors
from trimscribe.cli import program
from trimscribe.cli.output import MEANINGS, Exit

LOADED = """
import json, sys
from trimscribe.cli import main
for command in json.loads(sys.argv[1]):
    try:
        main(command)
    except SystemExit as end:
        assert not end.code, end.code
    print("loaded", *sorted({name.partition(".")[0] for name in sys.modules}), file=sys.stderr)
"""
SLOW = """
import sys, time
from trimscribe.cell.once import in_cell
from trimscribe.cli import main
from trimscribe.cli.run import Workbench
Workbench.check = lambda self, job: in_cell(job, "slow:checked", job)
main(["check", "fine.yaml"])
"""
BUFFERED = {"PYTHONUNBUFFERED": ""}  # as it is unless somebody asks Python otherwise
# In the worker, where nothing but its end ends it: Python is not asked while this runs.
WAITING = """
import ctypes, sys
def checked(_):
    print("ready", file=sys.stderr, flush=True)
    ctypes.PyDLL(None).sleep(60)  # in C, with the interpreter's lock held
"""


# What a command, and each of those before it, has not loaded when it ends.
NOT_LOADED: dict[str, set[str]] = {
    "--help": {"matplotlib", "typst", "numpy", "marshmallow", "yaml", "babel", "jinja2"},
    "report --help": {"matplotlib", "typst", "numpy", "marshmallow", "yaml"},
    "--version": {"matplotlib", "typst", "numpy", "marshmallow", "yaml"},
    "check heavy.yaml": {"matplotlib", "typst", "pypdfium2"},
    "findings heavy.yaml": {"matplotlib", "typst", "pypdfium2"},
    # What reads a stranger's bytes is not there where results are written.
    "report heavy.yaml": {
        *("matplotlib", "typst", "pypdfium2", "jinja2", "yaml", "pikepdf", "python_calamine")
    },
}


@pytest.mark.processes
def test_a_command_loads_only_what_it_needs_and_nothing_that_reads(folder: Path) -> None:
    """One process runs them in turn."""
    commands = json.dumps([command.split() for command in NOT_LOADED])
    done = subprocess.run(
        [sys.executable, "-c", LOADED, commands], capture_output=True, text=True, check=True
    )
    said = [line.split()[1:] for line in done.stderr.splitlines() if line.startswith("loaded ")]
    loaded = dict(zip(NOT_LOADED, map(set, said), strict=True))

    assert all("click" in found for found in loaded.values())
    wrong = {command: loaded[command] & names for command, names in NOT_LOADED.items()}
    assert {command: names for command, names in wrong.items() if names} == {}


def test_importing_trimscribe_loads_no_library(folder: Path) -> None:
    code = (
        "import sys; before = set(sys.modules); import trimscribe; print(set(sys.modules) - before)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    for library in ("numpy", "marshmallow", "matplotlib", "typst", "click", "importlib.metadata"):
        assert f"'{library}'" not in done.stdout


@pytest.mark.parametrize("arguments", [["--help"], ["-h"], ["report", "--help"], ["check", "-h"]])
def test_help_lists_every_exit_code(run: Any, arguments: list[str]) -> None:
    done = run(*arguments)

    assert done.exit_code == 0
    for code, meaning in MEANINGS.items():
        assert f"{code:>3}  {meaning}\n" in done.stdout


def test_every_error_has_a_documented_exit_code_and_every_code_a_meaning() -> None:
    raised = {error.exit_code for error in errors.TrimscribeError.__subclasses__()}

    assert raised == {
        Exit.INPUT,
        Exit.THEME,
        Exit.PLUGIN,
        Exit.TYPESETTING,
        Exit.DISK,
        Exit.STOPPED,
        Exit.UNPROVEN,
        Exit.SIGNING,
        Exit.NO_PLAN,
    }
    assert set(MEANINGS) == set(Exit)


def test_the_version_is_that_of_the_package(run: Any) -> None:
    """With what its files hash to: only that tells which code it is."""
    said = run("--version").stdout

    assert re.fullmatch(rf"trimscribe {re.escape(version('trimscribe'))}\+[0-9a-f]{{12}}\n", said)


@pytest.mark.parametrize(
    ("arguments", "reported"),
    [
        ([], "trimscribe: Missing command.\nTry `trimscribe --help`.\n"),
        (["reprot"], "trimscribe: No such command 'reprot'."),
        (["report"], "trimscribe report: Missing argument 'JOB...'."),
        (["check", "--stict", "fine.yaml"], "Did you mean '--strict'?"),
        (["findings", "a.yaml", "b.yaml"], "unexpected extra argument"),
        (["report", "fine.yaml", "--out"], "Option '--out' requires an argument."),
        (["\x1b]0;owned\x07"], "No such command"),
    ],
)
def test_wrong_use_is_reported_in_two_lines_with_a_code_of_its_own(
    run: Any, arguments: list[str], reported: str
) -> None:
    done = run(*arguments)

    assert done.exit_code == 64
    assert done.stdout == ""
    assert reported in done.stderr
    assert len(done.stderr.splitlines()) == 2
    assert "\x1b" not in done.stderr


class PrivateError(Exception):
    """Its text names a folder of this machine."""


@pytest.fixture
def with_bug(here: None, monkeypatch: pytest.MonkeyPatch) -> None:
    def prepare(*_: object, **__: object) -> None:
        raise PrivateError("/home/somebody/secret.txt")

    monkeypatch.setattr("trimscribe.desk.work.prepare", prepare)


@pytest.mark.usefixtures("with_bug")
def test_a_bug_is_reported_in_a_line_without_traceback_or_paths(run: Any) -> None:
    done = run("check", "fine.yaml")

    assert done.exit_code == 70
    assert "This is a bug in Trimscribe: PrivateError in trimscribe.desk.work, line " in done.stderr
    assert "Please report it" in done.stderr
    assert "Traceback" not in done.stderr
    assert "/home" not in done.stderr


@pytest.mark.usefixtures("with_bug")
def test_a_traceback_is_shown_to_those_who_ask(run: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(program.TRACEBACK, "1")

    done = run("check", "fine.yaml")

    assert "Traceback (most recent call last)" in done.stderr
    assert "PrivateError: /home/somebody/secret.txt" in done.stderr


def test_a_bug_outside_a_job_is_reported_as_well(run: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trimscribe.registry.entry_points", lambda: 1 / 0)

    done = run("plugins")

    assert done.exit_code == 70
    assert "ZeroDivisionError in trimscribe.registry, line " in done.stderr


def test_an_interrupt_ends_the_run_without_a_traceback(folder: Path) -> None:
    (folder / "slow.py").write_text(WAITING)
    process = subprocess.Popen([sys.executable, "-c", SLOW], stderr=subprocess.PIPE, text=True)
    assert process.stderr is not None
    assert process.stderr.readline() == "ready\n"
    process.send_signal(signal.SIGINT)
    _, reported = process.communicate(timeout=20)

    assert process.returncode == 130
    assert "Traceback" not in reported


@pytest.mark.parametrize("arguments", [["findings", "fine.yaml"], ["plugins", "--json"]])
def test_a_reader_that_leaves_is_no_fault(start: Any, arguments: list[str]) -> None:
    process = start(*arguments)
    process.stdout.close()
    reported = process.stderr.read()
    process.stderr.close()

    assert process.wait() == 141
    assert "Traceback" not in reported
    assert "Broken" not in reported


def test_a_reader_of_faults_that_leaves_is_no_fault_either(start: Any) -> None:
    process = start("check", "faulty.yaml")
    process.stderr.close()
    process.stdout.close()

    assert process.wait() == 141


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_output_that_cannot_be_written_is_reported(start: Any) -> None:
    with open("/dev/full", "w") as full:
        process = start("findings", "fine.yaml", stdout=full, env=BUFFERED)
        _, reported = process.communicate()

    assert process.returncode == 6
    assert "output-refused\n   The output cannot be written: No space left on device." in reported


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_help_that_cannot_be_written_is_reported(start: Any) -> None:
    with open("/dev/full", "w") as full:
        process = start("--help", stdout=full, env=BUFFERED)
        _, reported = process.communicate()

    assert process.returncode == Exit.DISK
    assert "output-refused" in reported


@pytest.mark.processes
@pytest.mark.skipif(os.name == "nt", reason="needs a shell that closes streams")
@pytest.mark.parametrize(
    ("closed", "command", "code"),
    [
        ("2>&-", "check fine.yaml", Exit.DONE),
        ("<&- >&- 2>&-", "check fine.yaml", Exit.DONE),
        (">&-", "findings fine.yaml", Exit.DONE),
        ("2>&-", "check faulty.yaml", Exit.INPUT),
        ("<&-", "import -", Exit.INPUT),
    ],
)
def test_streams_that_were_closed_are_as_good_as_empty(
    folder: Path, closed: str, command: str, code: int
) -> None:
    line = f"{sys.executable} -m trimscribe {command} {closed}"

    ended = subprocess.run(["sh", "-c", line], capture_output=True, text=True, timeout=60)

    assert ended.returncode == code
    assert "bug" not in ended.stderr


def test_any_encoding_can_carry_what_is_reported(start: Any, folder: Path) -> None:
    (folder / "fine.yaml").rename(folder / "Prüfung 検査.yaml")

    process = start("check", "Prüfung 検査.yaml", env={"PYTHONIOENCODING": "ascii:strict"})
    _, reported = process.communicate()

    assert process.returncode == 0
    assert reported == "Pr\\xfcfung \\u691c\\u67fb.yaml: no faults\n"


def test_a_name_that_is_no_text_is_shown_harmlessly(start: Any, folder: Path) -> None:
    name = os.fsdecode(b"caf\xe9\x1b.yaml")
    (folder / "fine.yaml").rename(folder / name)

    process = start("check", name)
    _, reported = process.communicate()

    assert process.returncode == 0
    assert reported == "caf�␛.yaml: no faults\n"


@pytest.mark.processes
@pytest.mark.skipif(sys.platform in {"win32", "darwin"}, reason="names are text there")
@pytest.mark.parametrize("command", ["report", "batch"])
def test_a_job_whose_name_is_no_text_becomes_a_report_that_proves_itself(
    run: Any, folder: Path, command: str
) -> None:
    name = os.fsdecode(b"caf\xe9.yaml")
    (folder / "fine.yaml").rename(folder / name)

    made = run(command, name, "--out", "made")
    proved = run("verify", "made")

    assert made.exit_code == Exit.DONE
    assert "1 identical" in proved.stderr


@pytest.mark.parametrize(
    ("env", "coloured"), [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)]
)
def test_colour_is_for_terminals_whose_owner_wants_it(
    start: Any, env: dict[str, str], coloured: bool
) -> None:
    reported = on_a_terminal(start, "check", "faulty.yaml", env={"TERM": "xterm-256color", **env})

    assert "not-a-date" in reported
    assert ("\x1b[31m" in reported) is coloured
    assert coloured or "\x1b" not in reported


def test_no_colour_goes_into_a_file(start: Any) -> None:
    _, reported = start("check", "faulty.yaml", env={"TERM": "xterm-256color"}).communicate()

    assert "not-a-date" in reported
    assert "\x1b" not in reported


def test_progress_is_shown_on_a_terminal_when_there_are_several_jobs(start: Any) -> None:
    several = on_a_terminal(start, "check", "fine.yaml", "heavy.yaml", env={"TERM": "xterm"})
    single = on_a_terminal(start, "check", "fine.yaml", env={"TERM": "xterm"})

    assert "1 of 2: fine.yaml" in several
    assert "2 of 2: heavy.yaml" in several
    assert "1 of 1" not in single


def test_verifying_shows_how_far_it_is_also_when_the_result_is_for_a_program(
    start: Any, folder: Path
) -> None:
    for name in ("one.pdf", "two.pdf"):
        (folder / name).write_bytes(b"Dear pilot")

    reported = on_a_terminal(
        start, "verify", "--json", ".", env={"TERM": "xterm", "COLUMNS": "120"}
    )

    assert "2/2" in reported
    assert "2 not proven" in reported


def on_a_terminal(start: Any, *arguments: str, env: dict[str, str]) -> str:
    """What a terminal gets to show on standard error."""
    ours, theirs = pty.openpty()
    process = start(*arguments, env=env, stdout=subprocess.DEVNULL, stderr=theirs)
    os.close(theirs)
    reported = b""
    while True:
        try:
            part = os.read(ours, 4096)
        except OSError:  # Linux ends a terminal so
            break
        if not part:
            break
        reported += part
    os.close(ours)
    process.wait()
    return reported.decode()


@pytest.mark.typesets
@pytest.mark.parametrize(
    "words",
    [
        "check {}/a.yaml",
        "report {}/a.yaml",
        "report {demo} --theme ./{}",
        "report {demo} --shelf {}",
        "report {demo} --shop {}/shop.yaml",
        "batch {} --out o",
        "findings {}/a.yaml",
        "import {}/a.csv",
        "plan {}/a.yaml",
        "shelf {}",
        "archive {} o",
        "verify {}/a.pdf",
        "theme check ./{}",
        "new {}/a.yaml --wing {}/wing.yaml",
    ],
)
def test_a_name_that_the_system_refuses_to_look_up_is_no_bug(
    run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: str
) -> None:
    """As a folder that one may not enter: `pathlib` raises there until Python 3.14."""
    monkeypatch.chdir(tmp_path)
    demo = str(Path(__file__).parents[2] / "examples" / "demo.yaml")

    done = run(*words.replace("{demo}", demo).replace("{}", "n" * 300).split())

    assert done.exit_code not in (Exit.DONE, Exit.BUG), done.stderr
    assert "bug" not in done.stderr
