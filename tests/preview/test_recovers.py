"""Whatever is broken, moved or taken away is reported on the page until it is mended."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

FRESH = "return document.getElementById('status').className === 'fresh'"
SHOT = "return document.body.dataset.shot"
ANOTHER = f"{SHOT} !== arguments[0]"
CODES = "return [...document.querySelectorAll('.fault.error .code')].map((e) => e.innerText)"


@pytest.fixture
def reported(browser: Any) -> Callable[[str], str]:
    """Wait for a fault with this code and return what is said of it."""

    def wait(code: str) -> str:
        browser.wait(f"return ({CODES.removeprefix('return ')}).includes(arguments[0])", code)
        return str(browser.ask("return document.querySelector('.faults').innerText"))

    return wait


def broken(path: Path, old: str, new: str) -> str:
    """Break a file; returns its text as it was."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return text


FAULTS = [
    ("work/mine/theme.yaml", "#7a3b1d", "#7a3b", "wrong-form", 'accent: "#7a3b"'),
    ("work/shop.yaml", "name: Q", "nam: Q", "unknown-key", "nam: Quarry Hill"),
    ("work/medlar-m.yaml", "rows:", "rowz:", "unknown-key", "rowz:"),
    (
        *("packages/bench_words/labels.yaml", "found: Found", "found: F {nope}"),
        *("unknown-name", "found: F {nope}"),
    ),
    (
        *("packages/bench_words/phrases.yaml", "phrases:", "phrases: ["),
        *("unclosed-bracket", "phrases: ["),
    ),
]


def test_a_fault_in_any_file_is_reported_with_its_line(
    page: Any, browser: Any, home: Path, reported: Any
) -> None:
    page("demo.yaml")
    browser.ask(
        "const select = document.getElementById('language');"
        "select.value = [...select.options].findIndex((option) => option.text === 'cy');"
        "select.dispatchEvent(new Event('change'));"
    )
    browser.wait(ANOTHER, browser.ask(SHOT))
    for file, old, new, code, line in FAULTS:
        shot = browser.ask(SHOT)

        text = broken(home / file, old, new)

        assert line in reported(code), file
        assert Path(file).name in reported(code)
        assert browser.ask(SHOT) == shot, file
        (home / file).write_text(text, encoding="utf-8")
        browser.wait(FRESH)


def test_a_job_that_is_gone_is_reported_and_comes_back(
    page: Any, browser: Any, folder: Path, reported: Any
) -> None:
    page("demo.yaml")
    shot = browser.ask(SHOT)

    (folder / "demo.yaml").rename(folder / "renamed.yaml")

    assert "demo.yaml" in reported("file-not-found")
    assert browser.ask(SHOT) == shot
    (folder / "renamed.yaml").rename(folder / "demo.yaml")
    browser.wait(FRESH)
    assert browser.ask(SHOT) != shot


def test_a_theme_that_was_away_is_followed_again(
    page: Any, browser: Any, folder: Path, reported: Any
) -> None:
    page("demo.yaml")
    (folder / "mine").rename(folder / "away")
    reported("theme-missing")
    (folder / "away").rename(folder / "mine")
    browser.wait(FRESH)
    shot = browser.ask(SHOT)

    broken(folder / "mine" / "theme.yaml", "#7a3b1d", "#1d3b7a")

    browser.wait(ANOTHER, shot)


def test_a_shop_file_above_the_job_is_found_when_it_is_written(
    browser: Any, folder: Path, start: Any, reported: Any
) -> None:
    jobs = folder / "far" / "below"
    jobs.mkdir(parents=True)
    for name in ("demo.yaml", "medlar-m.yaml", "demo-before.csv"):
        text = (folder / name).read_text(encoding="utf-8").replace("workshop: shop.yaml\n", "")
        (jobs / name).write_text(text, encoding="utf-8")
    (folder / "shop.yaml").rename(folder / "shop-away.yaml")
    browser.open(start("far/below/demo.yaml").address, 1280, 900)
    reported("missing-key")

    (folder / "shop-away.yaml").rename(folder / "shop.yaml")

    browser.wait(FRESH)


def test_new_errors_are_seen_first_whatever_else_is_open(
    page: Any, browser: Any, folder: Path, reported: Any
) -> None:
    page("demo.yaml")
    browser.ask("document.querySelector('.sentence').click()")
    browser.wait("return document.querySelector('.why')")
    browser.ask("document.getElementById('side').scrollTop = 9999")

    broken(folder / "demo.yaml", "done: 2026-10-16", "done: 16.10.2026")

    reported("not-a-date")
    top, bottom = browser.ask(
        "const box = document.querySelector('.fault').getBoundingClientRect();"
        "return [box.top, box.bottom];"
    )
    assert 0 < top < bottom < 900
    assert browser.ask("return document.querySelector('.why') !== null")


def test_the_bar_is_one_row_also_when_something_is_wrong(
    page: Any, browser: Any, folder: Path, reported: Any
) -> None:
    page("demo.yaml", width=1440)
    broken(folder / "demo.yaml", "done: 2026-10-16", "done: 16.10.2026")
    reported("not-a-date")

    for width in (1440, 1280, 1024, 820):
        browser.turn(width, 900)
        assert browser.ask("return document.querySelector('.bar').offsetHeight") < 60, width
        assert browser.ask("return document.documentElement.scrollWidth") == width
