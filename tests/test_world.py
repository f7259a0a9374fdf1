"""Two builds of one version are told apart, so that a report is never called altered for one."""

from pathlib import Path

import pytest

from trimscribe.world import World, build_of


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A package with a file of code and one of words, where Python finds it."""
    folder = tmp_path / "coast_words"
    (folder / "de").mkdir(parents=True)
    (folder / "__init__.py").write_text("")
    (folder / "de" / "phrases.yaml").write_text("found: gefunden\n")
    monkeypatch.syspath_prepend(tmp_path)
    build_of.cache_clear()
    return folder


def build(module: str = "coast_words", number: str = "1.2") -> str:
    build_of.cache_clear()
    return build_of(module, number)


def test_a_change_of_any_file_is_another_build_and_taking_it_back_the_same(package: Path) -> None:
    first, words = build(), package / "de" / "phrases.yaml"
    before = words.read_bytes()

    words.write_bytes(before + b"\n")
    changed = build()
    words.write_bytes(before)

    assert first.startswith("1.2+")
    assert changed.startswith("1.2+")
    assert changed != first
    assert build() == first


def test_a_name_counts_and_what_is_hidden_or_compiled_does_not(package: Path) -> None:
    first = build()
    (package / "__pycache__").mkdir()
    (package / "__pycache__" / "x.pyc").write_bytes(b"compiled")
    (package / ".phrases.swp").write_bytes(b"an editor's")
    assert build() == first

    (package / "de").rename(package / "at")
    assert build() != first


def test_a_file_that_cannot_be_read_is_left_to_who_loads_it(package: Path) -> None:
    (package / "gone.yaml").symlink_to(package / "nowhere")

    assert build().startswith("1.2+")
    assert build("no_such_module_here").startswith("1.2+")


def test_a_module_that_is_one_file_counts(tmp_path: Path, package: Path) -> None:
    del package
    (tmp_path / "coast_alone.py").write_text("N = 1\n")
    first = build("coast_alone")
    (tmp_path / "coast_alone.py").write_text("N = 2\n")

    assert build("coast_alone") != first


def test_a_version_that_has_a_local_part_keeps_it(package: Path) -> None:
    del package
    assert build(number="1.2+shop").startswith("1.2+shop.")


def test_the_world_names_our_own_build() -> None:
    assert World.real().versions["trimscribe"].partition("+")[2]
