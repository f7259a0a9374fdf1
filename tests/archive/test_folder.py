"""A folder of new files is there whole, or not at all."""

import resource
from collections.abc import Iterator
from pathlib import Path

import pytest

from trimscribe.archive import put_new
from trimscribe.errors import ArchiveError


@pytest.fixture
def small_disk() -> Iterator[None]:
    """No file may be larger than a kilobyte."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, before[1]))
    yield
    resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_all_files_are_written_and_named(tmp_path: Path) -> None:
    paths = put_new({"a.txt": "one", "in/b.txt": "two"}, tmp_path / "new")

    assert [path.read_text("utf-8") for path in paths] == ["one", "two"]


def test_nothing_is_left_where_the_disk_is_full(small_disk: None, tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", "utf-8")
    files = {"a.txt": "one", "in/deeper/b.txt": "x" * 2000, "c.txt": "three"}

    for folder in (tmp_path / "new" / "newer", tmp_path / "new"):
        with pytest.raises(ArchiveError) as refused:
            put_new(files, folder)
        assert refused.value.faults[0].code == "no-room"

    assert [path.name for path in tmp_path.rglob("*")] == ["mine.txt"]


def test_a_folder_that_was_there_stays(small_disk: None, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()

    with pytest.raises(ArchiveError):
        put_new({"a.txt": "x" * 2000}, tmp_path / "empty")

    assert [path.name for path in tmp_path.rglob("*")] == ["empty"]
