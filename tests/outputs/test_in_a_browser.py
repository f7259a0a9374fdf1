"""The page as people meet it: on a phone and on a desk, by day and in the dark, on paper."""

import base64
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from trimscribe.model.document import Document
from trimscribe.outputs.html import output

Page = Callable[..., str]
LOOKED_AT = "return [innerWidth, matchMedia('(prefers-color-scheme: dark)').matches]"
WIDTHS = [(360, False), (360, True), (1024, True), (1024, False)]
LOOKED_OVER = [(360, False), (1024, True)]
INKS = """
const clear = "rgba(0, 0, 0, 0)";
const behind = (element) => {
    const own = getComputedStyle(element).backgroundColor;
    return own === clear && element.parentElement ? behind(element.parentElement) : own;
};
return [...document.querySelectorAll("body, body *")].map((element) => {
    const look = getComputedStyle(element);
    return [element.tagName, look.color, behind(element), look.fill, look.opacity].join(" ");
});
"""


@pytest.fixture(scope="module")
def made() -> dict[tuple[str, str], bytes]:
    """Pages by job and theme, made once."""
    return {}


@pytest.fixture
def page(
    tmp_path: Path, document_of: Callable[..., Document], made: dict[tuple[str, str], bytes]
) -> Page:
    """Write a page and return its address."""

    def write(job: str, theme: str = "") -> str:
        if (job, theme) not in made:
            made[job, theme] = output.make(document_of(job, theme)).data
        path = tmp_path / f"{job}.html"
        path.write_bytes(made[job, theme])
        return path.as_uri()

    return write


@pytest.mark.parametrize("theme", ["base", "linden", "bench"])
def test_nobody_is_shut_out(theme: str, page: Page, browser: Any) -> None:
    """Contrast is looked over once by day and once in the dark: inks are those at any width."""
    inks: dict[bool, list[str]] = {}
    browser.open(page("demo", theme), WIDTHS[0][0])
    for width, dark in WIDTHS:
        browser.turn(width, dark=dark)
        assert browser.ask(LOOKED_AT) == [width, dark]
        assert inks.setdefault(dark, browser.ask(INKS)) == browser.ask(INKS), (width, dark)
        if (width, dark) in LOOKED_OVER:
            assert browser.violations() == [], (width, dark)
    assert inks[False] != inks[True]


def test_a_fault_that_shuts_people_out_is_found(tmp_path: Path, browser: Any) -> None:
    (tmp_path / "bad.html").write_text("<title>x</title><p style='color: #bbb'>pale</p><img src=x>")

    browser.open((tmp_path / "bad.html").as_uri(), 360)

    reported = " ".join(browser.violations())
    assert "color-contrast" in reported
    assert "image-alt" in reported


@pytest.mark.parametrize("job", ["outside", "long-words", "many-points", "cloth-only"])
def test_every_kind_of_job_fits_a_phone(job: str, page: Page, browser: Any) -> None:
    browser.open(page(job), 360)

    assert browser.ask("return document.documentElement.scrollWidth") == 360
    assert browser.violations() == []


def test_the_workshop_s_name_is_never_broken_within_a_word_that_fits(
    page: Page, browser: Any
) -> None:
    broken = """
        const name = document.querySelector(".letterhead .name");
        const words = ["Gleitschirmwerkstatt", "Gleitschirmreparaturen"];
        name.textContent = words.join(" ");
        return words.filter((word) => {
            const range = document.createRange();
            const start = name.textContent.indexOf(word);
            range.setStart(name.firstChild, start);
            range.setEnd(name.firstChild, start + word.length);
            return range.getClientRects().length > 1;
        });
    """
    browser.open(page("demo"), 360)

    for width in range(340, 480, 10):
        browser.turn(width, dark=False)
        assert browser.ask(broken) == [], width


@pytest.mark.parametrize("theme", ["base", "linden", "bench"])
@pytest.mark.parametrize("job", ["demo", "two-row", "outside"])
def test_every_verdict_lies_within_a_phone_and_no_words_of_a_drawing_meet(
    job: str, theme: str, page: Page, browser: Any
) -> None:
    browser.open(page(job, theme), 360)

    verdicts, meeting = browser.ask(
        """
        const box = (element) => element.getBoundingClientRect();
        const over = (one, two, from, to) =>
            Math.min(box(one)[to], box(two)[to]) - Math.max(box(one)[from], box(two)[from]);
        const pairs = [...document.querySelectorAll("figure svg")].flatMap((drawing) => {
            const texts = [...drawing.querySelectorAll("text")];
            return texts.flatMap((one, number) => texts.slice(number + 1).map((two) => [one, two]));
        });
        return [
            [...document.querySelectorAll("td.verdict")].map((cell) => box(cell).right),
            pairs
                .filter((pair) => over(...pair, "left", "right") > 1)
                .filter((pair) => over(...pair, "top", "bottom") > 3)
                .map((pair) => pair.map((text) => text.textContent)),
        ];
        """
    )

    assert len(verdicts) > 5
    assert max(verdicts) <= 360
    assert meeting == []


@pytest.mark.parametrize("theme", ["base", "linden", "bench"])
@pytest.mark.parametrize("job", ["demo", "inspection", "outside", "planned-done", "many-points"])
def test_no_table_of_a_page_scrolls_on_a_phone_and_no_cell_is_cut(
    job: str, theme: str, page: Page, browser: Any
) -> None:
    browser.open(page(job, theme), 360)

    whole, scrolling, cut, covered = browser.ask(
        """
        const box = (element) => element.getBoundingClientRect();
        const text = (element) => {
            const range = document.createRange();
            range.selectNodeContents(element);
            return range.getBoundingClientRect();
        };
        const cells = [...document.querySelectorAll("tbody th, tbody td")];
        const over = (one, two) =>
            Math.min(one.right, two.right) - Math.max(one.left, two.left) > 1 &&
            Math.min(one.bottom, two.bottom) - Math.max(one.top, two.top) > 3;
        const rows = [...document.querySelectorAll("tbody tr")].map((row) => [...row.children]);
        return [
            document.documentElement.scrollWidth,
            [...document.querySelectorAll(".scroll")]
                .filter((one) => one.scrollWidth > one.clientWidth)
                .map((one) => one.getAttribute("aria-label")),
            cells
                .filter((cell) => text(cell).right > box(cell).right + 1 || text(cell).right > 360)
                .map((cell) => cell.textContent),
            rows.flatMap((row) =>
                row.slice(1).filter((cell, at) => over(text(row[at]), text(cell)))
            ).map((cell) => cell.textContent),
        ];
        """
    )

    assert whole == 360
    assert (scrolling, cut, covered) == ([], [], [])


def test_a_table_on_a_phone_says_beside_each_cell_what_it_is(page: Page, browser: Any) -> None:
    browser.open(page("demo"), 360)

    labels = browser.ask(
        """
        const label = (cell) => getComputedStyle(cell, "::before").content.replaceAll('"', "");
        const cells = (row) => [...row.children].map(label);
        return [...document.querySelectorAll("table.stacked")].map(
            (table) => cells(table.querySelector("tbody tr"))
        );
        """
    )
    browser.open(page("demo"), 1024)
    wide = browser.ask(
        """
        return [...document.querySelectorAll("table.stacked td")].every(
            (cell) => getComputedStyle(cell, "::before").content === "none"
        );
        """
    )

    assert ["Line", "Side", "Change", "Expected, mm", "Measured, mm", "Agrees"] in labels
    assert ["none", "Specified", "Left", *["none"] * 3, "Right", *["none"] * 3] in labels
    assert wide


def test_no_text_is_too_small_for_a_phone(page: Page, browser: Any) -> None:
    browser.open(page("demo"), 360)

    smallest, in_drawings = browser.ask(
        """
        const size = (element) => parseFloat(getComputedStyle(element).fontSize);
        const scale = (text) => text.getScreenCTM().a;
        const texts = [...document.querySelectorAll("main *, footer *")]
            .filter((e) => !e.closest("svg") && e.textContent.trim());
        const drawn = [...document.querySelectorAll("svg text")];
        return [Math.min(...texts.map(size)), Math.min(...drawn.map((t) => size(t) * scale(t)))];
        """
    )

    assert smallest >= 13
    assert in_drawings >= 8.5


# The tightest that is let through, and all that is, of every element at once.
TIGHT = """
* { font: 0.8rem/1 serif; letter-spacing: 0; flex: 0 1 6rem; flex-wrap: wrap; }
body, main { display: flex; }
section { display: flex; max-width: 6rem; overflow-x: auto; }
p { overflow-x: auto; min-width: 0; white-space: nowrap; box-sizing: border-box; }
p { border: 9px solid; padding: 4.9rem; }
h2 { min-width: 19rem; }
html { font-size: 0.8rem; }
"""
WIDE = """
html, body, main, section, h2, p, strong, .trimscribe-cautions, .trimscribe-cautions * {
  width: 99rem !important; min-width: 19rem !important; max-width: 99rem !important;
  padding: 4rem !important; margin: 4rem !important; border: 9px solid var(--accent) !important;
  white-space: nowrap !important; font: 4rem/2 serif !important; display: grid !important;
  letter-spacing: 0.3em !important; text-transform: uppercase !important; overflow-x: auto;
  grid-template-columns: 99rem 99rem 99rem !important; color: var(--accent) !important;
  background: var(--wash) !important; list-style: square !important; align-content: end !important;
}
.trimscribe-cautions p::first-letter { font-size: 0.8rem !important; }
.trimscribe-cautions p::first-line { font-size: 0.8rem !important; color: var(--quiet) !important; }
img, svg { width: 999px !important; height: 999px !important; }
"""


@pytest.mark.parametrize(
    ("style", "width"),
    [("", 320), (TIGHT, 320), (WIDE, 320), ("", 360), (TIGHT, 360), (WIDE, 360), (TIGHT, 1024)],
)
def test_no_style_that_is_let_through_reaches_the_cautions(
    style: str, width: int, tmp_path: Path, page: Page, browser: Any
) -> None:
    (tmp_path / "bold" / "templates").mkdir(parents=True)
    (tmp_path / "bold" / "theme.yaml").write_text("{trimscribe: 1, name: bold, extends: base}")
    (tmp_path / "bold" / "templates" / "style.html.j2").write_text(
        '<% extends "base:style.html.j2" %><% block font %>serif; } <# ends the rule #>'
        + style
        + "p { margin: 0<% endblock %>"
    )
    browser.open(page("outside", str(tmp_path / "bold")), width)

    frame, texts, inked = browser.ask(
        """
        const frame = document.querySelector(".trimscribe-cautions");
        const box = (element) => element.getBoundingClientRect();
        const look = (element) => getComputedStyle(element);
        const words = [...frame.querySelectorAll("h2, p, strong")];
        let opaque = true;
        for (let e = frame; e; e = e.parentElement)
            opaque &&= look(e).opacity === "1" && look(e).visibility === "visible";
        // What is seen in the middle of each paragraph's first word, wherever one scrolls to.
        const seen = words.every((e) => {
            e.scrollIntoView({block: "center"});
            const range = document.createRange();
            range.selectNodeContents(e);
            const [first] = range.getClientRects();
            const found = document.elementFromPoint(first.left + 2, first.top + first.height / 2);
            return frame.contains(found);
        });
        return [
            [box(frame).left, box(frame).right, box(frame).width, opaque && seen],
            words.map((e) => [box(e).left, box(e).right, box(e).height,
                              parseFloat(look(e).fontSize), e.scrollWidth - e.clientWidth]),
            words.map((e) => [look(e).color, look(frame).backgroundColor, look(e).fontStyle,
                              look(e).textTransform, look(e).whiteSpace]),
        ];
        """
    )
    left, right, wide, seen = frame

    assert seen
    assert left >= 0
    assert right <= width
    assert wide >= 280
    assert len(texts) > 9
    for start, end, height, size, beyond in texts:
        assert start >= left
        assert end <= right
        assert height > 15
        assert size >= 14
        assert beyond <= 0
    assert {tuple(ink) for ink in inked} == {
        ("rgb(35, 40, 45)", "rgb(255, 255, 255)", "normal", "none", "normal")
    }
    assert browser.ask("return scrollX") == 0


def test_nothing_is_asked_of_the_network_and_nothing_goes_wrong(page: Page, browser: Any) -> None:
    browser.open(page("demo"), 360)

    fetched = browser.ask("return performance.getEntriesByType('resource').map((e) => e.name)")

    assert [name for name in fetched if not name.startswith("data:")] == []
    assert browser.ask("return [...document.images].every((image) => image.naturalWidth > 0)")


def test_in_the_dark_pictures_keep_their_paper_and_drawings_take_light_ink(
    page: Page, browser: Any
) -> None:
    inks = []
    for dark in (False, True):
        browser.open(page("demo"), 360, dark=dark)
        inks.append(
            browser.ask(
                """
                const ink = (selector, kind) =>
                    getComputedStyle(document.querySelector(selector))[kind];
                return [ink("html", "backgroundColor"), ink("figure svg text", "fill")];
                """
            )
        )
    day, night = inks

    assert day[0] == "rgb(255, 255, 255)"
    assert max(map(int, night[0][4:-1].split(","))) < 40
    assert day[1] != night[1]
    assert browser.ask("return getComputedStyle(document.images[0]).backgroundColor") == day[0]


def test_it_prints_on_white_with_all_it_says(page: Page, browser: Any) -> None:
    browser.open(page("demo"), 1024, dark=True)

    printed = browser.tell("Page.printToPDF", paperWidth=8.27, paperHeight=11.69)
    pdf = pypdfium2.PdfDocument(io.BytesIO(base64.b64decode(printed["data"])))
    text = " ".join(sheet.get_textpage().get_text_range() for sheet in pdf)
    corner = pdf[0].render(scale=0.2).to_pil().convert("RGB").getpixel((2, 2))
    pages = len(pdf)
    pdf.close()

    assert "End of the report" in text
    assert "Ground first." in text
    assert corner == (255, 255, 255)
    assert 3 <= pages <= 12
