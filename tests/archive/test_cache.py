"""Finished reports that are taken again instead of made again."""

import datetime as dt
import os
import shutil
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from trimscribe.archive import Cache
from trimscribe.compose import compose
from trimscribe.errors import Fault
from trimscribe.model.document import Attachment, Document, FontFolder
from trimscribe.model.report import Report
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).parents[2]


@pytest.fixture
def document(tmp_path: Path) -> Document:
    fonts = tmp_path / "fonts"
    fonts.mkdir()
    (fonts / "a.ttf").write_bytes(b"font")
    attached = (Attachment("a.yaml", b"job", "application/yaml", "The job", "source"),)
    day = dt.date(2026, 4, 1)
    paper = None  # nothing else is looked at
    found = (FontFolder(fonts, (("a.ttf", 4, 0),)),)
    return Document("main", {"a.typ": b"a"}, found, "Title", "en", day, ("x",), paper, attached)


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "cache", "software")


REPORT = Report(data=b"%PDF the report", suffix=".pdf", media_type="application/pdf", pages=3)
# Each of these makes another report.
CHANGES: dict[str, Callable[[Document], Document]] = {
    "main": lambda d: replace(d, main="main "),
    "file": lambda d: replace(d, files={"a.typ": b"b"}),
    "name of a file": lambda d: replace(d, files={"b.typ": b"a"}),
    "title": lambda d: replace(d, title="Title "),
    "language": lambda d: replace(d, language="de"),
    "date": lambda d: replace(d, date=dt.date(2026, 4, 2)),
    "required": lambda d: replace(d, required=("x", "y")),
    "attachment": lambda d: replace(d, attachments=(replace(d.attachments[0], data=b"other"),)),
    "its name": lambda d: replace(d, attachments=(replace(d.attachments[0], name="b.yaml"),)),
    "no attachment": lambda d: replace(d, attachments=()),
    "no fonts": lambda d: replace(d, fonts=()),
}


@pytest.mark.parametrize("name", CHANGES)
def test_whatever_changes_the_report_changes_the_key(
    cache: Cache, document: Document, name: str
) -> None:
    assert cache.key(CHANGES[name](document)) != cache.key(document) == cache.key(replace(document))


def test_a_changed_font_and_other_software_change_the_key(
    cache: Cache, document: Document, tmp_path: Path
) -> None:
    before = cache.key(document)
    (document.fonts[0].path / "a.ttf").write_bytes(b"other")

    assert len({before, cache.key(document), Cache(tmp_path, "other").key(document)}) == 3


def test_parts_that_are_cut_elsewhere_do_not_look_the_same(
    cache: Cache, document: Document
) -> None:
    one = replace(document, files={"ab": b"c"}, required=("a", "bc"))
    two = replace(document, files={"a": b"bc"}, required=("ab", "c"))

    assert cache.key(one) != cache.key(two)


def test_a_report_comes_back_as_it_was(cache: Cache) -> None:
    assert cache.get("key") is None
    cache.put("key", REPORT)

    assert cache.get("key") == REPORT
    assert cache.get("other") is None


def test_a_report_with_warnings_is_not_kept_so_that_they_are_reported_each_time(
    cache: Cache,
) -> None:
    cache.put("key", replace(REPORT, warnings=(Fault("w", "A warning."),)))

    assert cache.get("key") is None


@pytest.mark.parametrize("suffix", [".pdf", ".json"])
@pytest.mark.parametrize("damage", [b"", b"torn", None])
def test_what_is_torn_or_gone_is_not_there(
    cache: Cache, tmp_path: Path, suffix: str, damage: bytes | None
) -> None:
    cache.put("key", REPORT)
    path = tmp_path / "cache" / f"key{suffix}"
    path.unlink() if damage is None else path.write_bytes(damage)

    assert cache.get("key") is None
    cache.put("key", REPORT)
    assert cache.get("key") == REPORT


def test_a_folder_that_cannot_be_written_hinders_nobody(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    cache = Cache(tmp_path / "file" / "cache", "software")
    cache.put("key", REPORT)

    assert cache.get("key") is None


def test_what_was_not_used_for_longest_goes_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trimscribe.archive.cache._LOOK_EVERY", 1)
    cache = Cache(tmp_path, "software", most_bytes=5_000)
    for number in range(4):
        cache.put(f"{number}", replace(REPORT, data=b"%d" % number * 1_000))
        for path in tmp_path.glob(f"{number}.*"):
            os.utime(path, (number, number))
    cache.get("0")  # used again
    cache.put("4", replace(REPORT, data=b"4" * 1_500))

    assert [n for n in "01234" if cache.get(n)] == ["0", "3", "4"]
    assert sum(path.stat().st_size for path in tmp_path.iterdir()) <= 5_000
    assert {path.suffix for path in tmp_path.iterdir()} <= {".pdf", ".json"}


def test_many_at_once_share_a_folder_that_is_too_small_for_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trimscribe.archive.cache._LOOK_EVERY", 1)

    def work(me: int) -> set[bytes]:
        cache, seen = Cache(tmp_path, "software", most_bytes=20_000), set()
        for number in range(60):
            key = f"{number % 15}"
            cache.put(key, replace(REPORT, data=key.encode() * 2_000))
            if found := cache.get(key):
                seen.add(found.data[:2] if number % 15 > 9 else found.data[:1])
                assert found.data == key.encode() * 2_000
        return seen

    with ThreadPoolExecutor(6) as threads:
        assert all(threads.map(work, range(6)))
    assert not [path for path in tmp_path.iterdir() if path.suffix == ".part"]


@pytest.mark.typesets
def test_reports_with_and_without_a_cache_are_the_same_bytes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    registry, world = Registry.installed(), World.real()
    cache = Cache(tmp_path / "cache", "software")
    shutil.copytree(ROOT / "examples", tmp_path / "jobs")
    content = prepare(tmp_path / "jobs" / "demo.yaml", registry)
    without = render(content, registry, world)
    filled = render(content, registry, world, cache=cache)
    monkeypatch.setattr("trimscribe.typeset.pdf.compile_pdf", None)  # nothing is set again
    taken = render(content, registry, world, cache=cache)

    assert without == filled == taken
    assert cache.key(compose(content, registry, world)) in {
        path.stem for path in (tmp_path / "cache").iterdir()
    }
