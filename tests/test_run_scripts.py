"""The two run scripts: they ask for nothing but Python, and say so when it will not do."""

import ast
import importlib.util
import os
import re
import runpy
import shutil
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[1]
ENVIRONMENT = ROOT / "tests" / "environment.py"
SCRIPTS = [ROOT / "examples" / "run.py", ROOT / "tests" / "run.py", ENVIRONMENT]
NOWHERE = "http://127.0.0.1:9/"  # a port where nobody answers
OLDEST = (3, 8)  # the oldest Python that still gets a message, rather than a syntax error


def parsed(script: Path) -> ast.Module:
    return ast.parse(script.read_text(encoding="utf-8"), feature_version=OLDEST)


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.parent.name + "/" + path.name)
def test_a_run_script_uses_the_standard_library_alone(script: Path) -> None:
    imported = set()
    for node in ast.walk(parsed(script)):
        if isinstance(node, ast.Import):
            imported |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            imported.add(str(node.module).partition(".")[0])

    assert imported <= sys.stdlib_module_names | {"environment"}


def test_the_top_level_holds_what_a_newcomer_needs_and_nothing_else() -> None:
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, text=True
    ).stdout
    top = {name.partition("/")[0] for name in listed.split("\0") if name}

    assert {name for name in top if not name.startswith(".")} == {
        "DEVELOPERS.md",
        "README.md",
        "engine",
        "examples",
        "pyproject.toml",
        "schemas",
        "tests",
        "themes",
    }


@pytest.mark.parametrize("script", SCRIPTS[:2], ids=lambda path: path.parent.name)
def test_an_old_python_is_reported_so_in_plain_words(script: Path) -> None:
    pretend = f"""
import runpy, sys
sys.version_info, sys.argv = (3, 8, 18), ["run.py"]
runpy.run_path({str(script)!r}, run_name="__main__")
"""
    done = subprocess.run(
        [sys.executable, "-c", pretend], cwd=script.parent, capture_output=True, text=True
    )

    assert done.returncode == 1
    assert done.stderr.startswith("Trimscribe needs Python 3.11 or newer; this is 3.8 (")
    assert "Traceback" not in done.stderr


@pytest.mark.installs
def test_without_a_package_index_the_last_words_of_pip_are_shown(tmp_path: Path) -> None:
    for name in ("tests/environment.py", "tests/run.py", "tests/constraints.txt", "pyproject.toml"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        shutil.copy(ROOT / name, tmp_path / name)
    done = subprocess.run(
        [sys.executable, tmp_path / "tests" / "run.py"],
        env={**os.environ, "PIP_INDEX_URL": NOWHERE, "PIP_FIND_LINKS": "", "PIP_RETRIES": "1"},
        capture_output=True,
        text=True,
    )

    assert done.returncode == 1
    assert "could not be made. The last that was said:\n    " in done.stderr
    assert "Failed to establish a new connection" in done.stderr
    assert "check the network" in done.stderr
    assert "Traceback" not in done.stderr
    assert not list(tmp_path.rglob("complete"))


class Commands:
    """Stands in for subprocess: keeps what was run, and fails when told to."""

    PIPE = STDOUT = None

    def __init__(self) -> None:
        self.kept: list[list[str]] = []
        self.fail_on = ""

    def run(self, command: list[str], **_: object) -> subprocess.CompletedProcess[str]:
        self.kept.append(command)
        if "venv" in command:
            Path(command[-1]).mkdir(parents=True, exist_ok=True)
        failed = bool(self.fail_on) and self.fail_on in command
        return subprocess.CompletedProcess(command, int(failed), "some last words\n")


@pytest.fixture
def commands() -> Commands:
    return Commands()


@pytest.fixture
def environment(tmp_path: Path, commands: Commands, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The helper of the run scripts, at home in an empty checkout, running nothing."""
    spec = importlib.util.spec_from_file_location("environment", ENVIRONMENT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    (tmp_path / "pyproject.toml").write_text("[project]")
    (tmp_path / "constraints.txt").write_text("click==8.5.1")
    monkeypatch.setattr(module, "ROOT", tmp_path)
    monkeypatch.setattr(module, "PROJECT", tmp_path / "pyproject.toml")
    monkeypatch.setattr(module, "CONSTRAINTS", tmp_path / "constraints.txt")
    monkeypatch.setattr(module, "subprocess", commands)
    return module


def test_an_environment_is_made_once(environment: ModuleType, commands: Commands) -> None:
    first = environment.python("tests", "[dev]")
    made = len(commands.kept)
    again = environment.python("tests", "[dev]")

    assert again == first
    assert made == len(commands.kept) == 3
    assert all("constraints.txt" in " ".join(command) for command in commands.kept[1:])
    assert commands.kept[-1][-1].endswith("[dev]")


@pytest.mark.parametrize("file", ["pyproject.toml", "constraints.txt"])
def test_an_environment_is_made_anew_when_what_it_is_made_of_changes(
    file: str, environment: ModuleType, commands: Commands, tmp_path: Path
) -> None:
    environment.python("tests")
    (tmp_path / file).write_text("changed")
    environment.python("tests")

    assert len(commands.kept) == 6


def test_an_environment_that_was_cut_short_is_made_anew(
    environment: ModuleType, commands: Commands
) -> None:
    commands.fail_on = "--editable"
    with pytest.raises(SystemExit, match="some last words"):
        environment.python("tests")
    commands.fail_on = ""
    environment.python("tests")

    assert sum("venv" in command for command in commands.kept) == 2
    assert len(commands.kept) == 6


def test_a_python_without_venv_is_reported_what_to_install(
    environment: ModuleType, commands: Commands, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)

    with pytest.raises(SystemExit, match="lacks the standard module venv"):
        environment.python("tests")
    assert commands.kept == []


@pytest.mark.slow
def test_the_last_line_printed_is_the_path_of_the_demo(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Run with the environment of the tests; .ci/run makes the real one."""
    monkeypatch.syspath_prepend(ENVIRONMENT.parent)
    script = runpy.run_path(str(SCRIPTS[0]))
    names = script["main"].__globals__
    monkeypatch.setitem(names, "python", lambda role: sys.executable)
    monkeypatch.setitem(names, "ROOT", tmp_path)
    monkeypatch.setattr(sys, "argv", ["run.py"])
    code = script["main"]()
    last = Path(capfd.readouterr().out.splitlines()[-1])

    assert code == 0
    assert last.parent == tmp_path / "out"
    assert last.read_bytes().startswith(b"%PDF-")


def test_every_example_but_the_broken_one_is_rendered() -> None:
    found = {
        path.stem
        for path in (ROOT / "examples").glob("*.yaml")
        if re.search(r"^service:", path.read_text(encoding="utf-8"), re.MULTILINE)
    }
    rendered = next(
        ast.literal_eval(node.value)
        for node in parsed(SCRIPTS[0]).body
        if isinstance(node, ast.Assign) and node.targets[0].id == "JOBS"
    )

    assert set(rendered) == found - {"broken"}
    assert rendered[-1] == "demo"


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux has such a folder")
def test_what_tests_write_is_kept_in_memory_where_there_is_room(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(ROOT / "tests")
    run = runpy.run_path(str(ROOT / "tests" / "run.py"))
    names = run["passing_files"].__globals__
    names |= {"MEMORY": tmp_path, "MEMORY_NEEDED": 1}

    with run["passing_files"]() as folder:
        assert Path(folder).parent == tmp_path
        (Path(folder) / "file").write_text("x")
    assert not [*tmp_path.iterdir()]

    for nowhere in ({"MEMORY_NEEDED": 1e30}, {"MEMORY": tmp_path / "missing"}):
        names |= nowhere
        with run["passing_files"]() as folder:
            assert folder == ""
