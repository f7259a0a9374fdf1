"""What the README shows is what happens."""

import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from trimscribe.cli import main

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    # All blocks in turn: what ends one must not seem to begin another.
    found = re.findall(r"^```(\w*)\n(.*?)^```$", README, re.DOTALL | re.MULTILINE)
    return [text for kind, text in found if kind == language]


@pytest.fixture
def somewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_it_opens_with_the_job_in_one_paragraph_and_a_picture() -> None:
    title, paragraph, picture, *_ = README.split("\n\n")

    assert title == "# Trimscribe"
    assert paragraph.startswith("A paraglider workshop")
    (path,) = re.findall(r"!\[.+\]\((.+)\)", picture)
    assert (ROOT / path).read_bytes().startswith(b"\x89PNG")


def test_the_two_commands_are_those_that_are_there() -> None:
    for script in ("examples/run.py", "tests/run.py"):
        assert f"python3 {script}" in README
        assert (ROOT / script).is_file()


@pytest.mark.usefixtures("somewhere")
def test_the_faults_shown_are_reported_like_this() -> None:
    (shown,) = (b for b in blocks("") if b.startswith("$ trimscribe check"))
    command, *lines = shown.rstrip().splitlines()
    done = CliRunner().invoke(main, command.removeprefix("$ trimscribe ").split())

    assert done.exit_code == 2
    assert lines.pop() == "…"
    assert "\n".join(lines) in done.stderr


@pytest.mark.usefixtures("somewhere")
@pytest.mark.typesets
def test_the_python_lines_run() -> None:
    (code,) = blocks("python")
    known: dict[str, Any] = {}
    exec(compile(code, "README.md", "exec"), known)

    assert known["finished"].data.startswith(b"%PDF")
    assert known["faults"] == ()
    assert known["pdf"].path.is_file()
    assert known["page"].path.suffix == ".html"


@pytest.mark.slow
@pytest.mark.usefixtures("somewhere")
def test_three_commands_lead_from_an_export_to_a_report() -> None:
    (shown,) = (b for b in blocks("") if b.startswith("trimscribe import"))
    results = []
    for line in shown.splitlines():
        done = CliRunner().invoke(main, line.removeprefix("trimscribe ").split())
        assert done.exit_code == 0, done.stderr
        results.append(done.stdout)

    assert "4:6 → before.left.A.1 = 7334.0 mm\n" in results[0]
    assert "+    brake_main: 2267\n" in results[1]
    assert Path(results[2].strip()).read_bytes().startswith(b"%PDF-")


def test_every_command_of_the_program_is_in_the_table_and_the_other_way_round() -> None:
    listed = set(re.findall(r"^\| `trimscribe (\w+)", README, re.MULTILINE))

    assert listed == set(main.commands)


def test_the_files_that_it_names_are_there() -> None:
    for name in re.findall(r"`((?:examples|schemas|tests)/[\w./-]+)`", README):
        assert (ROOT / name).exists(), name
