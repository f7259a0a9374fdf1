"""The log, and when a report need not be made again."""

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from trimscribe.batch.fingerprint import software_digest
from trimscribe.batch.log import NAME, Log, line_of
from trimscribe.batch.run import BatchOutcome, JobResult, Status, Task, run
from trimscribe.batch.worker import make
from trimscribe.errors import ArchiveError
from trimscribe.registry import Registry
from trimscribe.world import World

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
SMALL = ROOT / "tests" / "verify" / "small"


class Here:
    """A crew that works in this process."""

    busy = 0
    free = 1

    def __init__(self) -> None:
        self.made: list[str] = []

    def give(self, task: Task) -> None:
        self.busy, self.free, self._done = 1, 0, (task, make(task))

    def take(self) -> list[tuple[Task, JobResult]]:
        self.busy, self.free = 0, 1
        if not self._done[1].current:
            self.made.append(self._done[0].job)
        return [self._done]

    def stop(self) -> None:
        pass


@pytest.fixture
def demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[str]]:
    """Make the demo's report into `out`, resuming; return the jobs that had to be made."""
    monkeypatch.chdir(tmp_path)
    shutil.copytree(SMALL, tmp_path / "jobs")
    folder = Path("out")

    def again(theme: str = "", world: World | None = None) -> list[str]:
        crew, log, job = Here(), Log(folder), "jobs/demo.yaml"
        software = software_digest(Registry.installed(), world or World.real())
        task = Task(job, theme, standing=log.known().standing(job, software))
        for outcome in run([task], crew, folder, force=True):
            assert outcome.record, outcome
            log.add(line_of(outcome, [], software))
        return crew.made

    assert again() == ["jobs/demo.yaml"]
    return again


def test_a_report_is_made_once_while_nothing_changes(demo: Any) -> None:
    assert demo() == []


@pytest.mark.parametrize("name", ["demo.yaml", "demo-before.csv", "medlar-m.yaml", "shop.yaml"])
def test_a_change_in_any_file_of_the_job_makes_it_again(demo: Any, name: str) -> None:
    path = Path("jobs") / name
    path.write_bytes(path.read_bytes() + b"\n")

    assert demo() == ["jobs/demo.yaml"]
    assert demo() == []


def test_a_file_of_the_job_that_is_touched_alone_changes_nothing(demo: Any) -> None:
    Path("jobs/demo.yaml").touch()

    assert demo() == []


@pytest.mark.parametrize("change", [Path.unlink, lambda path: path.write_bytes(b"torn")])
def test_a_report_that_is_gone_or_was_changed_is_made_again(
    demo: Any, change: Callable[[Path], object]
) -> None:
    (report,) = Path("out").glob("*.pdf")
    change(report)

    assert demo() == ["jobs/demo.yaml"]


def test_another_version_of_anything_makes_it_again(demo: Any) -> None:
    other = World({**World.real().versions, "typst": "0.0"})

    assert demo(world=other) == ["jobs/demo.yaml"]


def test_another_theme_and_a_change_in_any_file_of_it_make_it_again(demo: Any) -> None:
    theme = Path("mine")
    (theme / "templates").mkdir(parents=True)
    (theme / "theme.yaml").write_text("trimscribe: 1\nname: mine\nextends: base\n")

    assert demo(theme="./mine") == ["jobs/demo.yaml"]
    assert demo(theme="./mine") == []
    (theme / "templates" / "unused.typ.j2").write_text("// nothing\n")
    assert demo(theme="./mine") == ["jobs/demo.yaml"]
    assert demo() == ["jobs/demo.yaml"]


def test_words_rules_templates_fonts_and_code_count(tmp_path: Path) -> None:
    """A changed copy of the package, one file of each kind at a time."""
    package = tmp_path / "trimscribe"
    for folder, inner in {"engine": "", "schemas": "schemas", "themes": "themes"}.items():
        shutil.copytree(ROOT / folder, package / inner, dirs_exist_ok=True)
    code = (
        "from trimscribe.batch.fingerprint import software_digest\n"
        "from trimscribe.registry import Registry\n"
        "from trimscribe.world import World\n"
        "print(software_digest(Registry([]), World.real()))"
    )

    def asked() -> str:
        command = [sys.executable, "-c", code]
        done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=True)
        return done.stdout

    seen = {asked()}
    changed = ["narrate/rules.yaml", "narrate/languages/en/phrases.yaml", "analyse/pitch.py"]
    changed += ["themes/base/theme.yaml", "themes/base/templates/letter.typ.j2"]
    changed += [str(next(package.rglob("*.[ot]tf")).relative_to(package)), "schemas/job.py"]
    for name in changed:
        (package / name).write_bytes((package / name).read_bytes() + b"\n")
        seen.add(asked())

    assert len(seen) == 1 + len(changed)


def test_the_last_line_of_a_job_counts_and_torn_lines_do_not(tmp_path: Path) -> None:
    log = Log(tmp_path)
    log.add({"job": "a", "report": None, "n": 1})
    log.add({"job": "a", "report": None, "n": 2})
    with (tmp_path / NAME).open("a") as stream:
        stream.write('{"job": "a", "n": 3')
    Log(tmp_path).add({"job": "b"})

    lines = (tmp_path / NAME).read_text().splitlines()
    assert [json.loads(line)["job"] for line in lines if not line.endswith("3")] == ["a", "a", "b"]
    assert len(lines) == 4


@pytest.mark.parametrize(
    "line",
    [
        "[]",
        "null",
        '{"job": 3}',
        '{"job": "jobs/demo.yaml"}',
        '{"job": "jobs/demo.yaml", "made_with": "", "report": 3}',
        '{"job": "jobs/demo.yaml", "made_with": "", "report": {"path": 1}, "inputs": ""}',
        '{"job": "jobs/demo.yaml", "report": "x"}',
        '{"job": "jobs/demo.yaml", "report": {}, "inputs": {}}',
        '{"job": "jobs/demo.yaml", "report": {"path": "x"}, "inputs": [1]}',
    ],
)
def test_what_others_wrote_into_the_log_is_no_reason_to_skip_or_to_fail(
    tmp_path: Path, line: str
) -> None:
    (tmp_path / NAME).write_text(line + "\n")

    assert Log(tmp_path).known().standing("jobs/demo.yaml", "") is None


def test_a_failure_is_tried_again(tmp_path: Path) -> None:
    log = Log(tmp_path)
    log.add(line_of(BatchOutcome("a", Status.FAILED, 2), [], "software"))

    assert log.known().standing("a", "software") is None


def test_a_log_that_cannot_be_written_is_reported(tmp_path: Path) -> None:
    (tmp_path / NAME).mkdir()

    with pytest.raises(ArchiveError):
        Log(tmp_path).add({"job": "a"})
    with pytest.raises(ArchiveError):
        Log(tmp_path).known()
