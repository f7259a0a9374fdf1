"""Which files are jobs."""

from pathlib import Path

import pytest

from trimscribe.batch.jobs import find_jobs
from trimscribe.errors import InputError

ROOT = Path(__file__).parents[2]


def test_a_folder_holds_its_jobs_and_no_line_sets_or_shop_files() -> None:
    found = find_jobs([str(ROOT / "examples")])

    names = {Path(path).stem for path in found}
    assert {"demo", "two-row", "four-row", "inspection", "outside", "broken"} <= names
    assert not names & {"shop", "medlar-m", "bullace-l", "quince-s"}


def test_jobs_come_once_in_the_order_named_and_by_name_in_folders(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("b.yaml", "a.yml", "deep/er/c.yaml", "d.json", ".hidden/e.yaml", ".f.yaml"):
        path = tmp_path / "shelf" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text('{"service": {}}' if name == "d.json" else "wing: {}\nservice: {}\n")

    assert find_jobs(["shelf/b.yaml", "shelf", "elsewhere.yaml"]) == [
        "shelf/b.yaml",
        "shelf/a.yml",
        "shelf/d.json",
        "shelf/deep/er/c.yaml",
        "elsewhere.yaml",
    ]


def test_what_only_mentions_a_service_is_no_job(tmp_path: Path) -> None:
    (tmp_path / "notes.yaml").write_text("# service: yearly\nnotes: {service: none}\n")
    (tmp_path / "job.yaml").write_text("service: {}\n")

    assert [Path(path).name for path in find_jobs([str(tmp_path)])] == ["job.yaml"]


def test_folders_without_jobs_are_told_all_at_once(tmp_path: Path) -> None:
    folders = [tmp_path / "one", tmp_path / "two"]
    for folder in folders:
        folder.mkdir()

    with pytest.raises(InputError) as told:
        find_jobs(map(str, folders))

    assert [fault.code for fault in told.value.faults] == ["no-jobs", "no-jobs"]
