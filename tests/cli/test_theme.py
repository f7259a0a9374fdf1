"""The commands for themes: what holds and who said it, a start, a check."""

import json
from pathlib import Path
from typing import Any

import pytest

from trimscribe.registry import installed

JOB = """\
trimscribe: 1
workshop: shop.yaml
report: {paper: us-letter}
service: {number: QH-1, done: 2026-04-01}
wing: {maker: Pomeroy Wings, model: Damson, size: S, serial_number: DM-0001}
"""
SHOP = 'trimscribe: 1\nname: Quarry Hill\ntheme: ./coast\naccent: "#24566b"\npaper: a4\n'
COAST = 'trimscribe: 1\nname: coast\nextends: ./house\ntokens: {wash: "#e0e6ea"}\n'
HOUSE = 'trimscribe: 1\nname: house\nextends: base\ntokens: {wash: "#ffffff", size_pt: 10}\n'


@pytest.fixture
def branded(folder: Path) -> Path:
    """A job, its shop file, the shop's theme, and that theme's parent."""
    (folder / "coast" / "house").mkdir(parents=True)
    for name, text in {
        "branded.yaml": JOB,
        "shop.yaml": SHOP,
        "coast/theme.yaml": COAST,
        "coast/house/theme.yaml": HOUSE,
    }.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.mark.usefixtures("branded")
def test_the_job_goes_before_the_shop_the_shop_before_the_theme_and_base_comes_last(
    run: Any,
) -> None:
    done = run("theme", "show", "branded.yaml", "--json")
    reported = {s["name"]: s for s in json.loads(done.stdout)["settings"]}

    found = {name: (reported[name]["source"], reported[name]["value"]) for name in reported}
    assert found["paper"] == ("job", "us-letter")
    assert found["accent"] == ("shop", "#24566b")
    assert found["wash"] == ("theme", "#e0e6ea")
    assert found["size_pt"] == ("parent", "10")
    assert found["text"] == ("base", "#23282d")
    assert found["speed_unit"] == ("language", "as usual")
    assert (reported["wash"]["theme"], reported["wash"]["file"]) == ("coast", "coast/theme.yaml")
    assert (reported["size_pt"]["file"], reported["size_pt"]["line"]) == (
        "coast/./house/theme.yaml",
        4,
    )
    assert (reported["accent"]["file"], reported["accent"]["line"]) == ("shop.yaml", 4)


@pytest.mark.usefixtures("branded")
def test_every_token_is_shown_with_its_place(run: Any) -> None:
    done = run("theme", "show", "branded.yaml")
    lines = done.stdout.splitlines()

    assert done.exit_code == 0
    assert lines[0].split() == ["part", "value", "set", "by", "where"]
    (wash,) = [line for line in lines if line.startswith("wash ")]
    assert wash.split() == ["wash", "#e0e6ea", "theme", "coast", "coast/theme.yaml:4:16"]


@pytest.mark.usefixtures("branded")
def test_a_shop_file_and_a_theme_of_the_caller_s_choice_go_first(run: Any, folder: Path) -> None:
    (folder / "other.yaml").write_text('trimscribe: 1\nname: Other\naccent: "#7a1f4b"\n')
    done = run(
        "theme", "show", "branded.yaml", "--shop", "other.yaml", "--theme", "bench", "--json"
    )
    reported = {s["name"]: s for s in json.loads(done.stdout)["settings"]}

    assert (reported["accent"]["value"], reported["accent"]["file"]) == ("#7a1f4b", "other.yaml")
    assert (reported["font"]["source"], reported["font"]["theme"]) == ("theme", "bench")


def test_a_theme_is_shown_without_a_job(run: Any) -> None:
    done = run("theme", "show", "--theme", "linden")

    assert done.exit_code == 0
    assert "linden/theme.yaml" in done.stdout
    assert "speed_unit" not in done.stdout


@pytest.mark.typesets
def test_a_new_theme_is_complete_commented_and_sound(run: Any, folder: Path) -> None:
    made = run("theme", "new", "Coast Blue!")

    assert made.exit_code == 0
    assert sorted(made.stdout.splitlines()) == [
        "Coast Blue!/templates/letter.html.j2",
        "Coast Blue!/templates/letter.typ.j2",
        "Coast Blue!/templates/thanks.html.j2",
        "Coast Blue!/templates/thanks.typ.j2",
        "Coast Blue!/theme.yaml",
    ]
    text = (folder / "Coast Blue!" / "theme.yaml").read_text()
    assert "name: coast-blue\n" in text
    assert text.count("#") > 8
    checked = run("theme", "check", "./Coast Blue!", "--strict", "--json")
    reported = json.loads(checked.stdout)
    # Its texts are in English: for a language that somebody has installed they are not there yet.
    others = {*installed().names("languages")} - {"en"}
    assert reported["trail"] == ["coast-blue", "base"]
    assert {fault["code"] for fault in reported["faults"]} == (
        {"phrase-not-translated"} if others else set()
    )
    assert (checked.exit_code == 0) == (not others)


@pytest.mark.typesets
def test_a_new_theme_renders_at_once(run: Any, folder: Path) -> None:
    run("theme", "new", "mine")
    done = run("report", "fine.yaml", "--theme", "./mine")

    assert done.exit_code == 0
    assert (folder / done.stdout.strip()).read_bytes().startswith(b"%PDF")


def test_a_new_theme_never_overwrites_anything(run: Any, folder: Path) -> None:
    (folder / "mine").mkdir()
    (folder / "mine" / "notes.txt").write_text("ours")
    done = run("theme", "new", "mine")

    assert done.exit_code == 6
    assert "folder-in-use" in done.stderr
    assert [p.name for p in (folder / "mine").iterdir()] == ["notes.txt"]
    assert run("theme", "new", "fine.yaml").exit_code == 6


@pytest.mark.typesets
def test_a_check_tells_place_trail_and_advice(run: Any, folder: Path) -> None:
    (folder / "mine").mkdir()
    (folder / "mine" / "theme.yaml").write_text(
        "trimscribe: 1\nname: mine\nextends: linden\ntokens:\n  acent: '#123456'\n"
    )
    wrong = run("theme", "check", "./mine")
    assert wrong.exit_code == 3
    assert "mine/theme.yaml:5:3: unknown-key" in wrong.stderr
    assert "accent" in wrong.stderr

    (folder / "mine" / "theme.yaml").write_text(
        "trimscribe: 1\nname: mine\nextends: linden\ntokens:\n  text: '#aaaaaa'\n"
    )
    pale = run("theme", "check", "./mine")
    assert pale.exit_code == 3
    assert "mine/theme.yaml:5:9: contrast-too-low" in pale.stderr
    assert "mine → linden → base" in pale.stderr


@pytest.mark.typesets
def test_a_check_looks_at_finished_pages(run: Any, folder: Path) -> None:
    (folder / "mine" / "templates").mkdir(parents=True)
    (folder / "mine" / "theme.yaml").write_text("trimscribe: 1\nname: mine\nextends: base\n")
    (folder / "mine" / "templates" / "terms.typ.j2").write_text(
        '#import "kit.typ": *\n#move(dx: 16cm, box(width: 9cm, << paragraphs|join(" ") >>))'
    )
    done = run("theme", "check", "./mine", "--json")
    reported = json.loads(done.stdout)

    assert done.exit_code == reported["exit_code"] == 3
    assert {fault["code"] for fault in reported["faults"]} & {
        "text-off-the-page",
        "required-text-unreadable",
    }


@pytest.mark.typesets
def test_warnings_alone_fail_a_strict_check(run: Any, folder: Path) -> None:
    (folder / "mine" / "assets").mkdir(parents=True)
    (folder / "mine" / "theme.yaml").write_text("trimscribe: 1\nname: mine\nextends: base\n")
    (folder / "mine" / "assets" / "a.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg"/>')

    assert run("theme", "check", "./mine").exit_code == 0
    strict = run("theme", "check", "./mine", "--strict", "--json")
    assert strict.exit_code == 1
    assert json.loads(strict.stdout)["trail"] == ["mine", "base"]
