"""What comes through the door: files below their folder, of their kind and size, and no link."""

from pathlib import Path

import pytest

from trimscribe.errors import Fault, Mark
from trimscribe.resources import DATA, PICTURE, Kind, fetch, font_folder

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
    assert fetch(folder, "../lines.yaml", DATA, MARK) == b"rows"


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


def test_a_folder_a_missing_file_and_an_odd_name_are_told(folder: Path) -> None:
    (folder / "folder.svg").mkdir()

    assert code(fetch(folder, "folder.svg", PICTURE, MARK)) == "not-a-file"
    assert code(fetch(folder, "gone.svg", PICTURE, MARK)) == "file-not-found"
    assert code(fetch(folder, "a\0.svg", PICTURE, MARK)) == "file-not-found"


def test_a_file_too_large_is_told_at_itself_and_not_kept(folder: Path) -> None:
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
    for name, told in (("fonts", "file-is-a-link"), ("linked", "file-is-a-link")):
        found = font_folder(folder, name, MARK)
        assert isinstance(found, Fault)
        assert found.code == told
    for name in ("..", "/usr/share/fonts", "gone"):
        assert isinstance(font_folder(folder, name, MARK), Fault)
