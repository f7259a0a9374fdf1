"""What comes through the door: files below their folder, of their kind and size, and no link."""

import os
import socket
from pathlib import Path

import pytest

from trimscribe.errors import Fault, Mark
from trimscribe.resources.file_access import DATA, PICTURE, Kind, fetch, font_folder, plain_bytes

MARK = Mark("shops/shop.yaml", 3, 7)
SMALL = Kind("a note (.txt)", (".txt",), 10)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    (folder / "pictures").mkdir(parents=True)
    (folder / "pictures" / "logo.svg").write_text("<svg/>")
    (folder / "note.txt").write_text("short")
    (tmp_path / "secret.svg").write_text("<svg/>")
    (tmp_path / "lines.yaml").write_text("rows")
    return folder


def code(found: bytes | Fault) -> str:
    assert isinstance(found, Fault)
    return found.code


def test_a_file_below_the_folder_comes_through(folder: Path) -> None:
    assert fetch(folder, "pictures/logo.svg", PICTURE, MARK) == b"<svg/>"
    assert fetch(folder, "pictures/../pictures/./logo.svg", PICTURE, MARK) == b"<svg/>"


@pytest.mark.parametrize("name", ["../secret.svg", "pictures/../../secret.svg"])
def test_a_way_out_of_the_folder_is_closed(folder: Path, name: str) -> None:
    assert code(fetch(folder, name, PICTURE, MARK)) == "file-outside"


def test_data_may_lie_above_for_many_jobs_to_share(folder: Path) -> None:
    assert fetch(folder, "../lines.yaml", DATA, MARK, folder.parent) == b"rows"


def test_data_never_lie_outside_the_root(folder: Path) -> None:
    assert code(fetch(folder, "../lines.yaml", DATA, MARK)) == "file-outside"
    deep = folder / "pictures"
    assert code(fetch(deep, "../../lines.yaml", DATA, MARK, folder)) == "file-outside"
    assert code(fetch(deep, "../../../../../etc/hosts.yaml", DATA, MARK, folder)) == "file-outside"


def test_what_is_hidden_does_not_come_through(folder: Path) -> None:
    (folder / ".kept").mkdir()
    (folder / ".kept" / "lines.yaml").write_text("secret")
    (folder / ".lines.yaml").write_text("secret")

    for name in (".kept/lines.yaml", ".lines.yaml", "pictures/../.lines.yaml"):
        assert code(fetch(folder, name, DATA, MARK)) == "file-hidden"


def test_who_works_in_a_hidden_folder_reads_what_lies_there(folder: Path) -> None:
    here = folder / ".drafts"
    here.mkdir()
    (here / "lines.yaml").write_text("rows")

    assert fetch(here, "lines.yaml", DATA, MARK, folder) == b"rows"


def test_what_is_no_plain_file_is_never_opened(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    os.mkfifo(folder / "pipe.yaml")
    monkeypatch.chdir(folder)  # a socket's whole path has about a hundred characters at most
    with socket.socket(socket.AF_UNIX) as one:
        one.bind("socket.yaml")
        assert code(fetch(folder, "pipe.yaml", DATA, MARK)) == "not-a-file"
        assert code(fetch(folder, "socket.yaml", DATA, MARK)) == "not-a-file"


@pytest.mark.skipif(not Path("/proc/kmsg").exists(), reason="a file of this kernel")
def test_a_file_of_the_kernel_says_nothing_and_makes_nobody_wait() -> None:
    """`/proc/kmsg` is a regular file by its mode, and reading it waits for the next message."""
    for path in ("/proc/kmsg", "/proc/self/environ", "/proc/version"):
        assert plain_bytes(Path(path), 100) == b""
    assert plain_bytes(Path("/dev/zero"), 100) is None


@pytest.mark.parametrize(
    "name",
    [
        "/etc/hostname",
        "C:/logo.svg",
        "file:///etc/logo.svg",
        "http://127.0.0.1/logo.svg",
        "pictures\\logo.svg",
    ],
)
@pytest.mark.parametrize("kind", [PICTURE, DATA])
def test_no_absolute_path_and_no_address_comes_through(folder: Path, name: str, kind: Kind) -> None:
    assert code(fetch(folder, name, kind, MARK)) == "file-not-relative"


def test_a_link_is_not_followed_whether_file_or_folder(folder: Path) -> None:
    (folder / "link.svg").symlink_to(folder / "pictures" / "logo.svg")
    (folder / "others").symlink_to(folder.parent)
    (folder / "gone.svg").symlink_to("nowhere.svg")
    (folder / "circle.svg").symlink_to("circle.svg")

    for name in ("link.svg", "others/secret.svg", "gone.svg", "circle.svg"):
        assert code(fetch(folder, name, PICTURE, MARK)) in {"file-is-a-link", "file-unreadable"}


def test_another_ending_does_not_come_through(folder: Path) -> None:
    assert code(fetch(folder, "note.txt", PICTURE, MARK)) == "file-wrong-type"


def test_a_folder_a_missing_file_and_an_odd_name_are_reported(folder: Path) -> None:
    (folder / "folder.svg").mkdir()

    assert code(fetch(folder, "folder.svg", PICTURE, MARK)) == "not-a-file"
    found = fetch(folder, "folder.svg", PICTURE, MARK)
    assert isinstance(found, Fault)
    assert found.hint == "It is a folder: name a file in it."
    assert code(fetch(folder, "gone.svg", PICTURE, MARK)) == "file-not-found"
    assert code(fetch(folder, "a\0.svg", PICTURE, MARK)) == "file-not-found"


def test_a_name_much_like_one_that_is_there_is_answered_with_it(folder: Path) -> None:
    (folder / "lines").mkdir()
    (folder / "lines" / "medlar-m.yaml").write_text("rows: {}")
    (folder / "lines" / ".medlar_m.yaml").write_text("rows: {}")

    near = fetch(folder, "lines/medlar_m.yml", DATA, MARK)
    far = fetch(folder, "lines/sorrel.yml", DATA, MARK)

    assert isinstance(near, Fault)
    assert isinstance(far, Fault)
    assert near.hint == "Did you mean `lines/medlar-m.yaml`?"
    assert far.hint == "Files are named as seen from the job's folder."


def test_a_file_of_another_size_or_number_is_not_offered(folder: Path) -> None:
    for there in ("medlar-s.yaml", "visit-3.yaml"):
        (folder / there).write_text("rows: {}")

    for asked in ("medlar-m.yaml", "visit-4.yaml"):
        fault = fetch(folder, asked, DATA, MARK)
        assert isinstance(fault, Fault)
        assert "Did you mean" not in fault.hint


def test_a_file_too_large_is_reported_at_itself_and_not_kept(folder: Path) -> None:
    (folder / "note.txt").write_bytes(b"x" * 11)
    fault = fetch(folder, "note.txt", SMALL, MARK)

    assert code(fault) == "file-too-large"
    assert isinstance(fault, Fault)
    assert str(fault.mark) == "shops/note.txt"


def test_a_folder_of_fonts_lets_no_link_in(folder: Path) -> None:
    (folder / "fonts").mkdir()
    (folder / "fonts" / "a.ttf").write_bytes(b"font")
    assert font_folder(folder, "fonts", MARK) == (folder / "fonts").resolve()

    (folder / "fonts" / "b.ttf").symlink_to("/etc/hostname")
    (folder / "linked").symlink_to(folder / "fonts")
    for name, reported in (("fonts", "file-is-a-link"), ("linked", "file-is-a-link")):
        found = font_folder(folder, name, MARK)
        assert isinstance(found, Fault)
        assert found.code == reported
    for name in ("..", "/usr/share/fonts", "gone"):
        assert isinstance(font_folder(folder, name, MARK), Fault)
