"""What the disk can refuse: reported with a stable code, and nothing is left behind."""

import errno
import os
import resource
import stat
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from trimscribe.archive import faults, put, put_new, store
from trimscribe.errors import ArchiveError, Fault
from trimscribe.model.report import Report

Names = Callable[[Path], list[str]]
Refused = Callable[[Callable[[], object]], Fault]
NOBODY = 65534


@contextmanager
def room_for(size: int) -> Iterator[None]:
    """Let no file of this process grow over `size` bytes: a disk that fills up, for real."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


@contextmanager
def as_nobody() -> Iterator[None]:
    """The superuser may write everywhere: step down to somebody who may not."""
    if os.geteuid():
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that anybody can see into, and only its owner can change."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o555)
        yield folder
        folder.chmod(0o755)


def test_a_disk_that_fills_up_leaves_nothing(
    tmp_path: Path, names: Names, refused: Refused
) -> None:
    large = Report(data=bytes(100_000), suffix=".pdf", media_type="application/pdf", pages=1)

    with room_for(50_000):
        fault = refused(lambda: put(large, tmp_path / "qh-1.pdf"))

    assert fault.code == "no-room"
    assert names(tmp_path) == []


def test_a_disk_that_fills_up_leaves_the_report_that_was_there(
    other: Report, tmp_path: Path, names: Names, refused: Refused
) -> None:
    large = Report(data=bytes(100_000), suffix=".pdf", media_type="application/pdf", pages=1)
    put(other, tmp_path / "qh-1.pdf")

    with room_for(50_000):
        refused(lambda: put(large, tmp_path / "qh-1.pdf", force=True))

    assert (tmp_path / "qh-1.pdf").read_bytes() == other.data
    assert names(tmp_path) == ["qh-1.pdf"]


def test_a_report_that_would_be_refused_needs_no_room(
    report: Report, other: Report, tmp_path: Path, refused: Refused
) -> None:
    put(other, tmp_path / "qh-1.pdf")

    with room_for(0):
        assert refused(lambda: put(report, tmp_path / "qh-1.pdf")).code == "report-exists"


def test_a_folder_without_permission_is_reported(
    report: Report, open_folder: Path, names: Names, refused: Refused
) -> None:
    with as_nobody():
        inside = refused(lambda: put(report, open_folder / "qh-1.pdf"))
        below = refused(lambda: put(report, open_folder / "new" / "qh-1.pdf"))

    assert (inside.code, below.code) == ("no-permission", "no-permission")
    assert below.mark is not None
    assert below.mark.file == (open_folder / "new").as_posix()
    assert names(open_folder) == []


def test_a_file_in_place_of_the_folder_is_reported(
    report: Report, tmp_path: Path, refused: Refused
) -> None:
    (tmp_path / "reports").write_text("a file")

    for folder in ("reports", "reports/2026"):
        assert refused(lambda f=folder: put(report, tmp_path / f / "qh-1.pdf")).code == (
            "not-a-folder"
        )
    assert (tmp_path / "reports").read_text() == "a file"


def test_a_link_that_leads_to_itself_is_no_folder(
    report: Report, tmp_path: Path, refused: Refused
) -> None:
    (tmp_path / "loop").symlink_to(tmp_path / "loop")

    assert refused(lambda: put(report, tmp_path / "loop" / "qh-1.pdf")).code == "not-a-folder"


def test_names_that_the_system_refuses_are_reported(
    report: Report, tmp_path: Path, names: Names, refused: Refused
) -> None:
    assert refused(lambda: put(report, tmp_path / ("x" * 300))).code == "name-too-long"
    assert refused(lambda: put(report, tmp_path / ("x" * 300) / "qh-1.pdf")).code == (
        "name-too-long"
    )
    assert refused(lambda: put(report, tmp_path / "a\0b" / "qh-1.pdf")).code == "bad-name"
    assert names(tmp_path) == []


@pytest.mark.parametrize(
    ("number", "code"),
    [
        (errno.ENOSPC, "no-room"),
        (errno.EDQUOT, "no-room"),
        (errno.EROFS, "read-only"),
        (errno.EIO, "disk-failed"),
    ],
)
@pytest.mark.parametrize("step", ["fsync", "link"])
def test_an_error_at_any_step_leaves_nothing(
    report: Report,
    tmp_path: Path,
    names: Names,
    refused: Refused,
    monkeypatch: pytest.MonkeyPatch,
    step: str,
    number: int,
    code: str,
) -> None:
    monkeypatch.setattr(store.os, step, raising(number))

    fault = refused(lambda: put(report, tmp_path / "qh-1.pdf"))

    assert fault.code == code
    assert tmp_path.name not in fault.message
    assert names(tmp_path) == []


def test_an_interrupt_while_writing_leaves_nothing(
    report: Report, tmp_path: Path, names: Names, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(store.os, "fsync", interrupt)

    with pytest.raises(KeyboardInterrupt):
        put(report, tmp_path / "qh-1.pdf")

    assert names(tmp_path) == []


def test_a_system_that_cannot_sync_folders_is_no_fault(
    report: Report, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.fsync
    synced = []

    def files_only(handle: int) -> None:
        is_folder = stat.S_ISDIR(os.fstat(handle).st_mode)
        synced.append("folder" if is_folder else "file")
        if is_folder:
            raise OSError(errno.EINVAL, "not for folders")
        real(handle)

    monkeypatch.setattr(store.os, "fsync", files_only)

    put(report, tmp_path / "qh-1.pdf")

    assert synced == ["file", "folder"]


@pytest.fixture(params=[errno.EPERM, errno.EOPNOTSUPP, errno.ENOSYS])
def without_links(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk such as a memory stick, which knows no hard links."""
    monkeypatch.setattr(store.os, "link", raising(request.param))


@pytest.mark.usefixtures("without_links")
def test_a_disk_without_links_takes_a_report(report: Report, tmp_path: Path, names: Names) -> None:
    put(report, tmp_path / "qh-1.pdf")

    assert (tmp_path / "qh-1.pdf").read_bytes() == report.data
    assert names(tmp_path) == ["qh-1.pdf"]


@pytest.mark.usefixtures("without_links")
@pytest.mark.parametrize("same", [False, True])
def test_a_disk_without_links_keeps_what_another_run_has_just_put_there(
    report: Report,
    other: Report,
    tmp_path: Path,
    names: Names,
    refused: Refused,
    monkeypatch: pytest.MonkeyPatch,
    same: bool,
) -> None:
    target = tmp_path / "qh-1.pdf"
    quicker = report if same else other
    real = os.fsync

    def overtaken(handle: int) -> None:
        real(handle)
        if not target.exists():
            target.write_bytes(quicker.data)

    monkeypatch.setattr(store.os, "fsync", overtaken)

    if same:
        assert put(report, target).unchanged
    else:
        assert refused(lambda: put(report, target)).code == "report-exists"
    assert target.read_bytes() == quicker.data
    assert names(tmp_path) == ["qh-1.pdf"]


def test_every_code_is_documented_and_every_number_has_one() -> None:
    assert set(faults._BY_NUMBER.values()) < set(faults.CODES)
    assert set(faults._HINTS) <= set(faults.CODES)


def raising(number: int) -> Callable[..., None]:
    """A call that fails as the system's own does."""

    def call(*_: Any, **__: Any) -> None:
        raise OSError(number, os.strerror(number))

    return call


def test_of_a_folder_of_new_files_nothing_is_left_where_the_disk_is_full(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", "utf-8")
    files = {"a.txt": "one", "in/deeper/b.txt": "x" * 2000, "c.txt": "three"}

    for folder in (tmp_path / "new" / "newer", tmp_path / "new"):
        with pytest.raises(ArchiveError) as refused, room_for(1000):
            put_new(files, folder)
        assert refused.value.faults[0].code == "no-room"

    assert [path.name for path in tmp_path.rglob("*")] == ["mine.txt"]


def test_a_folder_that_was_there_stays(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()

    with pytest.raises(ArchiveError), room_for(1000):
        put_new({"a.txt": "x" * 2000}, tmp_path / "empty")

    assert [path.name for path in tmp_path.rglob("*")] == ["empty"]
