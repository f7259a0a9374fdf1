"""The preview as people use it, in a real browser: it follows, it tells, it never mixes."""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from trimscribe.registry import Registry

CHOOSE = """
    const select = document.getElementById(arguments[0]);
    select.value = [...select.options].find((option) => option.text === arguments[1]).value;
    select.dispatchEvent(new Event("change"));
"""
SETTLED = "const d = document.body.dataset; return d.marked && d.marked === d.shot"
SEEN = "return [document.body.dataset.shot, document.body.dataset.age]"


def choose(browser: Any, kind: str, name: str) -> None:
    before = browser.ask("return document.body.dataset.shot")
    browser.ask(CHOOSE, kind, name)
    browser.wait("return document.body.dataset.shot !== arguments[0]", before)
    browser.wait(SETTLED)


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_it_shows_the_report_and_follows_its_job(page: Any, browser: Any, folder: Path) -> None:
    preview = page("demo.yaml")
    assert browser.ask("return document.querySelectorAll('.sheet img').length") >= 4
    shot = browser.ask(SEEN)[0]

    change(folder / "demo.yaml", "name: Robin Hale", "name: Robin Hazel")

    browser.wait("return document.body.dataset.shot !== arguments[0]", shot)
    seen = browser.ask(SEEN)[0]
    report = preview.read(f"shots/{seen}/report")
    assert report.startswith(b"%PDF")
    assert (
        browser.ask("return document.querySelector('.sheet img').src")
        .split("?")[0]
        .endswith(f"shots/{seen}/page/1")
    )


def test_a_fault_stands_beside_the_last_good_report(page: Any, browser: Any, folder: Path) -> None:
    page("demo.yaml")
    shot = browser.ask(SEEN)[0]

    change(folder / "demo.yaml", "done: 2026-10-16", "done: 16.10.2026")

    fault = browser.wait("return document.querySelector('.fault')?.innerText")
    assert "not-a-date" in fault
    assert "demo.yaml:" in fault
    assert "done: 16.10.2026" in fault
    assert browser.ask("return document.querySelector('.fault mark').textContent") == "16.10.2026"
    assert browser.ask(SEEN)[0] == shot
    assert browser.ask("return document.querySelector('.sheet img').naturalWidth") > 600
    assert "last good report" in browser.ask("return document.getElementById('state').innerText")
    assert browser.violations() == []

    change(folder / "demo.yaml", "done: 16.10.2026", "done: 2026-10-16")

    browser.wait("return document.getElementById('status').className === 'fresh'")
    assert browser.ask("return document.querySelector('.fault')") is None


def test_a_report_that_was_never_good_says_so(page: Any, browser: Any) -> None:
    page("demo.yaml")
    browser.ask(CHOOSE, "job", "broken.yaml")

    browser.wait("return document.querySelectorAll('.fault').length > 5")

    assert "no report yet" in browser.ask("return document.getElementById('report').innerText")
    assert browser.violations() == []


def test_a_sentence_tells_its_rule_and_numbers(page: Any, browser: Any) -> None:
    page("demo.yaml")
    browser.ask(
        "document.querySelector('.sentence[aria-label*=\"rear lines were short\"]').click()"
    )

    reported = browser.wait("return document.querySelector('.why')?.innerText")

    assert "found_up" in reported
    assert "narrate/rules.yaml:" in reported
    assert "found_pitch_deg" in reported
    assert "0.630123" in reported
    assert "demo-before.csv:" in reported
    assert browser.violations() == []


def test_each_sentence_can_be_asked_on_the_phone_page_too(page: Any, browser: Any) -> None:
    page("demo.yaml")
    choose(browser, "output", "html")
    asked = browser.ask(
        """
        const inside = document.querySelector("iframe").contentDocument;
        const spans = [...inside.querySelectorAll("[role=button]")];
        spans.find((span) => span.textContent.startsWith("We let out six lines")).click();
        return spans.length;
        """
    )

    reported = browser.wait("return document.querySelector('.why')?.innerText")

    assert asked >= 20
    assert "We let out six lines" in reported


def test_all_can_be_reached_and_done_with_the_keyboard(page: Any, browser: Any) -> None:
    from selenium.webdriver import ActionChains
    from selenium.webdriver.common.keys import Keys

    page("demo.yaml")
    reached = []
    for _ in range(9):
        ActionChains(browser.driver).send_keys(Keys.TAB).perform()
        reached.append(
            browser.ask("const e = document.activeElement; return e.id || e.className || e.tagName")
        )
    # A browser may let the keyboard reach what scrolls before what lies in it.
    assert reached[:7] == ["skip", "job", "theme", "language", "output", "times", "file"]
    assert "sentence" in reached[7:]

    ActionChains(browser.driver).send_keys(Keys.ENTER).perform()
    browser.wait("return document.activeElement.id === 'side'")
    ActionChains(browser.driver).send_keys(Keys.ESCAPE).perform()

    assert browser.wait("return document.querySelector('.why') === null")
    assert browser.ask("return document.activeElement.className").startswith("sentence")


def test_theme_language_output_and_job_can_be_switched(page: Any, browser: Any) -> None:
    page("demo.yaml")
    offered = browser.ask(
        """
        return [...document.querySelectorAll("select")].map(
            (select) => [...select.options].map((option) => option.text));
        """
    )
    installed = Registry.installed()
    assert "outside.yaml" in offered[0]
    assert offered[1] == ["./mine", "workshop’s", *installed.names("themes")]
    assert offered[2] == ["workshop’s", *sorted(["cy", *installed.names("languages")])]
    assert set(offered[3]) >= {"pdf", "html", "json", "png"}

    choose(browser, "theme", "linden")
    choose(browser, "language", "cy")
    choose(browser, "output", "json")
    assert '"language": "cy"' in browser.ask("return document.querySelector('pre').textContent")
    choose(browser, "output", "png")
    assert browser.ask("return document.querySelector('.sheet img').naturalWidth") > 1000
    choose(browser, "job", "outside.yaml")
    choose(browser, "output", "pdf")
    assert "outside" in browser.ask("return document.querySelector('#job').selectedOptions[0].text")


def test_nobody_is_shut_out(page: Any, browser: Any) -> None:
    page("demo.yaml", width=1280)
    browser.ask("document.getElementById('times').click()")

    for width, dark in ((1280, False), (1024, True), (820, False)):
        browser.turn(width, 900, dark=dark)
        assert browser.violations() == [], (width, dark)
        assert browser.ask("return document.documentElement.scrollWidth") == width
        assert "compose" in browser.ask("return document.querySelector('.times').innerText")


def test_fifty_quick_saves_end_in_the_last_one_and_never_mix(
    page: Any, browser: Any, folder: Path
) -> None:
    preview = page("demo.yaml")
    # Whatever the page shows at any moment is of one report: its pages and its place for sentences.
    browser.ask(
        """
        window.mixed = [];
        new MutationObserver(() => {
            const shots = new Set([...document.querySelectorAll(".sheet img")]
                .map((image) => image.dataset.address.split("/")[1]));
            if (shots.size > 1) window.mixed.push([...shots]);
        }).observe(document.body, {subtree: true, childList: true, attributes: true});
        """
    )
    last = "QH-2026-041"
    for save in range(50):
        change(folder / "demo.yaml", f"number: {last}", f"number: QH-SAVE-{save}")
        last = f"QH-SAVE-{save}"
        time.sleep(0.02)

    browser.wait("return document.title.startsWith(`Service ${arguments[0]}:`)", last)
    time.sleep(1)

    assert browser.ask("return window.mixed") == []
    assert browser.ask("return document.title").startswith(f"Service {last}:")
    shot = browser.ask(SEEN)[0]
    choice = "sight?job=0&theme=0&language=0&output=0"
    assert preview.ask(choice)["shot"]["number"] == shot
    assert preview.ask(choice)["fresh"]


def waits(browser: Any, touch: Callable[[], Any]) -> tuple[float, float]:
    """Milliseconds from a save to the eye, and those that the report itself took."""
    browser.ask(
        """
        window.seen = {};
        new MutationObserver(() => {
            const shot = document.body.dataset.shot;
            requestAnimationFrame(() => { window.seen[shot] ??= Date.now(); });
        }).observe(document.body, {attributes: true, attributeFilter: ["data-shot"]});
        """
    )
    shot = browser.ask(SEEN)[0]
    saved = time.time() * 1000
    touch()
    browser.wait("return document.body.dataset.shot !== arguments[0]", shot)
    browser.wait(SETTLED)
    time.sleep(0.1)  # whatever is made once more
    first = min(browser.ask("return Object.values(window.seen)"))
    render = float(browser.ask("return parseFloat(document.getElementById('times').innerText)"))
    return first - saved, render


def test_a_change_of_any_file_is_seen_after_a_render(
    page: Any, browser: Any, folder: Path, words: Path
) -> None:
    page("demo.yaml")
    choose(browser, "language", "cy")
    labels = words / "labels.yaml"
    original = labels.read_text(encoding="utf-8")
    theme = '{trimscribe: 1, name: mine, extends: base, tokens: {accent: "#7a3b11"}}\n'
    wave = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 6">'
        '<rect width="60" height="6" fill="#000001"/></svg>'
    )
    touches: dict[str, Callable[[], Any]] = {
        "job": lambda: _append(folder / "demo.yaml", "# more\n"),
        "theme": lambda: (folder / "mine" / "theme.yaml").write_text(theme),
        "asset": lambda: (folder / "mine" / "assets" / "wave.svg").write_text(wave),
        "phrase": lambda: labels.write_text(
            original.replace("found: Found", "found: Found so"), encoding="utf-8"
        ),
    }
    # How quickly depends on what else the machine does, so it is only printed.
    seen = {what: waits(browser, touch) for what, touch in touches.items()}
    print({what: f"{delay / render:.2f}" for what, (delay, render) in seen.items()})

    assert all(delay > 0.0 and render > 0.0 for delay, render in seen.values())


def _append(path: Path, text: str) -> None:
    with path.open("a", encoding="utf-8") as file:
        file.write(text)
