"""The lock waits for as long as another holds it, and is one of the system."""

import errno
import os
import sys
import threading
import time
from pathlib import Path

import pytest

from trimscribe.archive.lock import locked
from trimscribe.errors import ArchiveError

UNIX = pytest.mark.skipif(sys.platform == "win32", reason="calls of another system")


def test_a_second_waits_until_the_first_lets_go(tmp_path: Path) -> None:
    path, order = tmp_path / ".lock", []

    def second() -> None:
        with locked(path):
            order.append("second")

    with locked(path):
        thread = threading.Thread(target=second)
        thread.start()
        time.sleep(0.3)
        order.append("first")
    thread.join(10)

    assert order == ["first", "second"]
    assert path.is_file()


@UNIX
@pytest.mark.parametrize("number", [errno.ENOSYS, errno.ENOTSUP, errno.ENOLCK])
def test_a_disk_that_knows_no_locks_is_refused_and_nothing_stands_for_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    import fcntl

    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(fcntl, "flock", refuse)

    with pytest.raises(ArchiveError) as caught, locked(tmp_path / ".lock"):
        pytest.fail("it was held")
    assert caught.value.faults[0].code == "no-lock"
    assert not [name for name in os.listdir(tmp_path) if name != ".lock"]


@UNIX
def test_what_else_the_disk_says_stays_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "file").touch()

    with pytest.raises((FileExistsError, NotADirectoryError)), locked(tmp_path / "file" / ".lock"):
        pytest.fail("it was held")


@UNIX
def test_a_link_is_never_followed(tmp_path: Path) -> None:
    (tmp_path / ".lock").symlink_to(tmp_path / "elsewhere")

    with pytest.raises(OSError, match="link"), locked(tmp_path / ".lock"):
        pytest.fail("it was held")
    assert not (tmp_path / "elsewhere").exists()


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="needs a folder that takes no file")
def test_a_lock_that_cannot_be_is_not_waited_for() -> None:
    with pytest.raises(FileNotFoundError), locked(Path("/proc/.lock")):
        pytest.fail("it was held")
