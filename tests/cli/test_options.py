"""An option that several commands take means the same in each, and is written once."""

import re
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from trimscribe.cli import main

ROOT = Path(__file__).parents[2]
# Reports go into a folder, a signed one into a file; a batch has processes, `verify` readers.
DIFFERENT = {"--out", "--workers"}


def commands(group: click.Group) -> Iterator[click.Command]:
    for command in group.commands.values():
        if isinstance(command, click.Group):
            yield from commands(command)
        else:
            yield command


def test_an_option_looks_the_same_wherever_it_is_taken() -> None:
    looks: dict[str, set[object]] = defaultdict(set)
    for command in commands(main):
        for option in command.params:
            if isinstance(option, click.Option):
                (name,) = option.opts
                looks[name].add((option.metavar, option.is_flag, option.multiple))

    assert len(looks) > 30
    assert {name for name, found in looks.items() if len(found) > 1} <= DIFFERENT


def test_an_option_is_defined_once() -> None:
    written: dict[str, int] = defaultdict(int)
    for path in (ROOT / "engine" / "cli").glob("*.py"):
        for name in re.findall(r'click\.option\(\s*"(--[a-z-]+)"', path.read_text("utf-8")):
            written[name] += 1

    assert len(written) > 30
    assert {name for name, times in written.items() if times > 1} <= DIFFERENT


@pytest.mark.cold
def test_the_package_can_be_run_where_the_command_is_not_on_the_path() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "trimscribe", "--help"], capture_output=True, text=True, check=True
    )

    assert done.stdout.startswith("Usage: trimscribe ")


@pytest.mark.parametrize("command", ["report", "check", "findings", "explain", "preview", "batch"])
@pytest.mark.typesets
def test_a_wider_root_is_announced(command: str, tmp_path: Path) -> None:
    """Before anything is read: the folder is empty."""
    (tmp_path / "none").mkdir()
    more = ["--out", str(tmp_path)] if command == "batch" else []
    done = CliRunner().invoke(
        main, [command, str(tmp_path / "none"), "--root", str(tmp_path), *more]
    )

    assert done.stderr.startswith("Jobs may name any file below ")
    assert "(--root)" in done.stderr
