"""What there is to see: made when asked and changed, never taken away by a fault."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont

from trimscribe.cell import Limits, SerialWorker, once
from trimscribe.errors import InputError
from trimscribe.preview.choices import Choices
from trimscribe.preview.request import Selection
from trimscribe.preview.session import PreviewSession
from trimscribe.registry import Registry
from trimscribe.typeset.pictures import page_jpeg

pytestmark = pytest.mark.processes

ROOT = Path(__file__).parents[2]
REGISTRY = Registry.installed()
SOON = Limits(seconds=2.0, memory_mb=700.0)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "examples", tmp_path / "work")
    return tmp_path / "work" / "demo.yaml"


@pytest.fixture(scope="module")
def warm() -> Iterator[tuple[SerialWorker, SerialWorker]]:
    """The two workers of a session, which stop sooner what never ends."""
    workers = SerialWorker(SOON), SerialWorker(SOON)
    yield workers
    for worker in workers:
        worker.close()


@pytest.fixture
def session(warm: tuple[SerialWorker, SerialWorker]) -> PreviewSession:
    return PreviewSession(desk=warm[0], easel=warm[1])


def html_of(job: Path, **wish: str) -> Selection:
    return Selection(**{"job": str(job), "theme": "", "language": "", "output": "html", **wish})


def save(session: PreviewSession, job: Path, old: str, new: str) -> None:
    text = job.read_text(encoding="utf-8")
    assert old in text
    job.write_text(text.replace(old, new), encoding="utf-8")
    session.age += 1


def test_it_is_made_once_until_a_file_changes(session: PreviewSession, job: Path) -> None:
    first = session.see(html_of(job))

    assert session.see(html_of(job)) is first
    assert first.fresh
    assert [stage.name for stage in first.stages] == [
        *("read", "analyse", "assess", "narrate", "compose", "html")
    ]

    save(session, job, "Robin Hale", "Robin Hazel")
    second = session.see(html_of(job))

    assert b"Robin Hazel" in second.shot.report.data
    assert b"Robin Hale" in first.shot.report.data
    assert session.shot(first.shot.number) is first.shot


def test_a_fault_keeps_the_last_good_report_and_says_how_far_it_came(
    session: PreviewSession, job: Path
) -> None:
    good = session.see(html_of(job))
    save(session, job, "done: 2026-10-16", "done: 16.10.2026")

    bad = session.see(html_of(job))

    assert bad.shot is good.shot
    assert not bad.fresh
    assert [fault.code for fault in bad.faults] == ["not-a-date"]
    assert [stage.name for stage in bad.stages] == ["read"]


def test_one_look_never_shows_what_another_asked_for(session: PreviewSession, job: Path) -> None:
    session.see(html_of(job))
    broken = session.see(html_of(job.with_name("broken.yaml")))
    nowhere = session.see(html_of(job, theme="nowhere"))

    assert broken.shot is None
    assert nowhere.shot is None
    assert [fault.code for fault in nowhere.faults] == ["theme-unknown"]


def test_a_bug_of_a_plugin_is_reported_and_the_preview_goes_on(
    session: PreviewSession, job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    good = session.see(html_of(job))
    monkeypatch.setattr("trimscribe.preview.look.compose", lambda *given: 1 / 0)
    here = lambda _, place, name, *given, reads=(): once.call(once.Call(name, given, place))  # noqa: E731
    monkeypatch.setattr(once.SerialWorker, "call", here)
    session.age += 1

    sight = session.see(html_of(job))

    assert [fault.code for fault in sight.faults] == ["bug"]
    assert sight.shot is good.shot


LEAST = """\
trimscribe: 1
workshop: {name: Quarry Hill Canopy Works}
service: {number: QH-1, done: 2026-04-01}
wing: {maker: Pomeroy Wings, model: Damson, size: S, serial_number: DM-0001}
"""


@pytest.fixture
def least(tmp_path: Path) -> Path:
    (tmp_path / "least.yaml").write_text(LEAST)
    return tmp_path / "least.yaml"


def test_old_shots_are_let_go(session: PreviewSession, least: Path) -> None:
    choice = html_of(least, output="json")
    first = session.see(choice).shot
    for _ in range(12):
        session.age += 1
        last = session.see(choice).shot

    assert session.shot(first.number) is None
    assert session.shot(last.number) is last


def test_what_is_looked_at_again_is_still_there(session: PreviewSession, least: Path) -> None:
    choice = html_of(least, output="json")
    first = session.see(choice).shot
    for number in range(12):
        session.see(html_of(least, output="json", theme=str(least.parent / f"none-{number}")))
    for name in ("a", "b", "c", "d"):
        other = shutil.copy(least, least.with_name(f"{name}.yaml"))
        for theme in ("base", "linden", "bench"):
            session.see(html_of(other, output="json", theme=theme))
    assert session.shot(first.number) is None

    assert session.see(choice).shot is first
    assert session.shot(first.number) is first


def test_every_folder_that_counts_is_watched(session: PreviewSession, job: Path) -> None:
    theme = job.parent / "mine"
    (theme / "assets").mkdir(parents=True)
    (theme / "theme.yaml").write_text("{trimscribe: 1, name: mine, extends: ../parent}")
    parent = job.parent / "parent"
    parent.mkdir()
    (parent / "theme.yaml").write_text("{trimscribe: 1, name: parent, extends: base}")

    session.see(html_of(job, theme=str(theme)))

    watched = {path for path, _ in session.folders}
    assert {job.parent, theme, theme / "assets", parent} <= watched
    assert REGISTRY.get("themes", "base").folder.resolve() in watched
    assert REGISTRY.get("languages", "en").folder.resolve() in watched


def test_of_the_folders_above_a_shop_file_alone_counts(session: PreviewSession, job: Path) -> None:
    session.see(html_of(job))

    watched = {path for path, _ in session.folders}
    assert set(job.parent.parents) <= watched
    assert session.counts(job)
    assert session.counts(job.parent / "anything")
    assert session.counts(job.parent)
    assert session.counts(job.parent.parent / "shop.yaml")
    assert not session.counts(job.parent.parent / "notes.txt")


def test_a_font_that_was_changed_is_used(session: PreviewSession, job: Path) -> None:
    fonts = job.parent / "letters"
    fonts.mkdir()
    old = REGISTRY.get("themes", "linden").folder / "fonts" / "Vollkorn-Regular.ttf"
    shutil.copy(old, fonts / "Own.ttf")
    with (job.parent / "shop.yaml").open("a", encoding="utf-8") as shop:
        shop.write("font: Vollkorn\nfonts: letters\n")
    choice = html_of(job, output="pdf")
    first = session.see(choice)
    assert first.fresh
    assert fonts.resolve() in {path for path, _ in session.folders}

    with TTFont(old) as font:
        font["glyf"]["n"] = font["glyf"]["o"]
        font.save(fonts / "Own.ttf")
    session.age += 1
    second = session.see(choice)

    before, after = (page_jpeg(sight.shot.report.data, 1, 600) for sight in (first, second))
    assert before != after

    (fonts / "Own.ttf").write_bytes(b"no font")
    session.age += 1
    assert [fault.code for fault in session.see(choice).faults][:1] == ["font-broken"]


def test_a_folder_that_was_made_anew_is_another(session: PreviewSession, job: Path) -> None:
    (job.parent / "mine" / "assets").mkdir(parents=True)
    (job.parent / "mine" / "theme.yaml").write_text("{trimscribe: 1, name: mine, extends: base}")
    choice = html_of(job, theme=str(job.parent / "mine"))
    session.see(choice)
    before = session.folders
    (job.parent / "mine" / "assets").rename(job.parent / "old")
    (job.parent / "mine" / "assets").mkdir()
    session.age += 1

    session.see(choice)

    assert session.folders != before


def test_each_sentence_has_its_place_on_the_page_and_its_reason(
    session: PreviewSession, job: Path
) -> None:
    shot = session.see(html_of(job, output="pdf")).shot

    placed = shot.places
    assert len(placed) == len(shot.looked.sentences) > 20
    assert all(placed)
    for lines in placed:
        for place in lines:
            assert 1 <= place.page <= shot.report.pages
            assert 0 < place.left < place.left + place.width < 1
            assert 0 < place.top < place.top + place.height < 1
    assert shot.why(0).text == shot.looked.sentences[0]
    assert shot.why(-1) is None
    assert shot.why(len(shot.looked.sentences)) is None


@pytest.mark.skipif(os.name == "nt", reason="links are for administrators there")
def test_a_job_that_becomes_a_ring_of_links_is_reported_and_seen_again_when_mended(
    session: PreviewSession, job: Path
) -> None:
    text = job.read_text(encoding="utf-8")
    first = session.see(html_of(job))
    job.unlink()
    job.symlink_to(job.name)
    session.age += 1

    ring = session.see(html_of(job))
    job.unlink()
    job.write_text(text, encoding="utf-8")
    session.age += 1

    assert (ring.fresh, ring.shot) == (False, first.shot)
    assert [fault.code for fault in ring.faults] == ["file-not-found"]
    assert session.see(html_of(job)).fresh


def test_choices_are_numbers_and_names_without_folders(job: Path) -> None:
    choices = Choices.of([str(job)], "linden", REGISTRY)

    assert choices.names["job"][0] == "demo.yaml"
    assert {"outside.yaml", "inspection.yaml"} <= set(choices.names["job"])
    assert "medlar-m.yaml" not in choices.names["job"]
    assert choices.names["theme"][:2] == ("linden", "workshop’s")
    assert choices.names["output"][0] == "pdf"
    assert choices.choice({}) == Selection(str(job), "linden", "", "pdf")
    assert choices.choice({"job": "1", "theme": "1"}).theme == ""
    for wrong in ("99", "-1", "x", "", "1.0", "²"):
        assert choices.choice({"job": wrong}) is None


def test_jobs_of_the_same_name_are_told_apart(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        shutil.copy(ROOT / "examples" / "demo.yaml", tmp_path / name)

    names: Any = Choices.of([str(tmp_path)], "", REGISTRY).names["job"]

    assert names == tuple(f"{tmp_path}/{name}/demo.yaml" for name in ("a", "b"))


def test_a_folder_without_jobs_is_reported(tmp_path: Path) -> None:
    with pytest.raises(InputError):
        Choices.of([str(tmp_path)], "", REGISTRY)


def test_a_report_that_never_ends_is_stopped_named_and_seen_again_when_mended(
    session: PreviewSession, job: Path
) -> None:
    theme = job.parent / "mine"
    (theme / "templates").mkdir(parents=True)
    (theme / "theme.yaml").write_text("{trimscribe: 1, name: mine, extends: base}")
    choice = html_of(job, theme=str(theme), output="pdf")
    good = session.see(choice)
    hog = theme / "templates" / "letter.typ.j2"
    hog.write_text("<% for a in range(99999) %><% for b in range(99999) %><% endfor %><% endfor %>")
    session.age += 1

    stopped = session.see(choice)

    assert not stopped.fresh
    assert stopped.shot is good.shot
    (fault,) = stopped.faults
    assert fault.code == "job-too-slow"
    assert fault.mark.file.endswith("mine/templates/letter.typ.j2")
    assert session.counts(hog)
    assert good.shot.page(1, 300).startswith(b"\xff\xd8")  # the last good one is still drawn

    hog.unlink()
    session.age += 1
    assert session.see(choice).fresh
