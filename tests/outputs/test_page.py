"""The page for the phone: complete, alone, and safe whatever a job or a theme holds."""

import functools
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from trimscribe.compose.document import compose
from trimscribe.compose.themes import resolve
from trimscribe.errors import ThemeError, TypesetError
from trimscribe.model.document import Content, Document
from trimscribe.outputs.html import output
from trimscribe.outputs.page import read_page, text_of
from trimscribe.pipeline import prepare, understand
from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "examples" / "demo.yaml"
BASE = ROOT / "themes" / "base" / "templates"
WORLD = World({"trimscribe": "1.2.3"})


@functools.cache
def demo() -> Content:
    return prepare(DEMO, Registry.installed())


@functools.cache
def least() -> Content:
    """The least that a job may hold: its page has all that a theme could get at."""
    return prepare(ROOT / "tests" / "jobs" / "sparse.yaml", Registry.installed())


@functools.cache
def composed() -> Document:
    return compose(least(), Registry.installed(), WORLD)


def themed(folder: Path, registry: Registry, **templates: str) -> Document:
    """A job in a theme that changes some templates of the page, composed for paper only once."""
    (folder / "templates").mkdir()
    (folder / "theme.yaml").write_text("{trimscribe: 1, name: coast, extends: base}")
    for name, text in templates.items():
        (folder / "templates" / f"{name}.html.j2").write_text(text)
    document = composed()
    look = resolve(str(folder), least().reading.job.workshop, registry)
    studio = replace(document.shown.studio, look=look)
    return replace(document, shown=replace(document.shown, studio=studio))


def reported(document: Document) -> list[tuple[str, str]]:
    with pytest.raises(TypesetError) as raised:
        output.make(document)
    return [(fault.code, fault.message) for fault in raised.value.faults]


def test_it_is_one_file_that_fetches_and_runs_nothing(document_of: Callable[..., Document]) -> None:
    page = output.make(document_of("demo")).data.decode()

    assert "<script" not in page
    assert "Content-Security-Policy\" content=\"default-src 'none';" in page
    addresses = re.findall(r'(?:src|href)="([^"]*)"|url\(([^)]*)\)', page)
    assert len(addresses) > 1
    assert {(address or inner)[:5] for address, inner in addresses} == {"data:"}


def test_text_of_a_job_never_becomes_markup(registry: Registry) -> None:
    evil = '<script>alert(1)</script> & "quoted" <img src=x onerror=alert(1)> </style>'
    content = demo()
    job = content.reading.job
    job = replace(
        job,
        notes=evil,
        wing=replace(job.wing, model=evil),
        pilot=replace(job.pilot, name=evil),
        workshop=replace(job.workshop, name=evil, terms=evil, cautions=(evil,)),
        service=replace(job.service, reason=evil, number=evil),
    )
    content = understand(replace(content.reading, job=job), registry)

    page = output.make(compose(content, registry, WORLD)).data.decode()

    assert "<script" not in page
    assert "<img src=x" not in page
    assert page.count("</style>") == 2
    assert text_of(page).count(evil) >= 4


def test_signs_that_nobody_sees_are_left_out(registry: Registry) -> None:
    content = demo()
    notes = "one\u202etwo\x07three"
    job = replace(content.reading.job, notes=notes)
    content = understand(replace(content.reading, job=job), registry)

    # Drawn with a font that has none of them, a report of paper stops: only the gate is looked at.
    page = compose(content, registry, WORLD).shown.studio.page(
        "terms.html.j2", {"title": notes, "paragraphs": []}
    )

    assert "onetwothree" in page


EVERY = "<% for part in parts %><< part >><% endfor %>"


def with_main(main: str) -> str:
    """The base theme's page with another middle."""
    page = (BASE / "page.html.j2").read_text(encoding="utf-8")
    start, end = page.index("<main>"), page.index("</main>") + len("</main>")
    return page[:start] + main + page[end:]


@pytest.mark.thorough
@pytest.mark.parametrize(
    "main",
    [
        "<main></main>",
        f"<main>{EVERY.replace('in parts', 'in parts[2:]')}</main>",
        f"<main>{EVERY.replace('part >>', 'part|upper >>')}</main>",
        f"<main><section>{EVERY}</section></main>",
        f"<main><table><tr><td>{EVERY}</td></tr></table></main>",
        f"<main>{EVERY}{EVERY}</main>",
        f"<main><p class='trimscribe-cautions'>All is well.</p>{EVERY}</main>",
    ],
)
def test_a_theme_that_touches_the_cautions_makes_no_page(
    main: str, tmp_path: Path, registry: Registry
) -> None:
    found = reported(themed(tmp_path, registry, page=with_main(main)))

    assert ("page-refused", "The cautions are not in their place.") in found


@pytest.mark.thorough
def test_a_theme_that_keeps_everything_from_being_read_aloud_makes_no_page(
    tmp_path: Path, registry: Registry
) -> None:
    page = with_main(f"<main aria-hidden='true'>{EVERY}</main>")

    assert {code for code, _ in reported(themed(tmp_path, registry, page=page))} == {
        "required-text-missing"
    }


def test_a_theme_has_no_cautions_of_its_own(tmp_path: Path, registry: Registry) -> None:
    document = themed(tmp_path, registry, cautions="<p>All is well.</p>")

    assert "All is well." not in output.make(document).data.decode()


def test_a_theme_that_leaves_out_a_sentence_makes_no_page(
    tmp_path: Path, registry: Registry
) -> None:
    found = reported(themed(tmp_path, registry, letter="<p></p>"))

    assert {code for code, _ in found} == {"required-text-missing"}


@pytest.mark.parametrize(
    "style",
    [
        ".cautions { display: none }",
        ".cautions { DISPLAY : none !important }",
        ".cautions { disp\\6c ay: none }",
        "@media (min-width: 1px) { .cautions { visibility: hidden } }",
        ".cautions { & p { opacity: 0 } }",
        ".cautions { color: #fff }",
        ".cautions { color: var(--background) }",
        ".cautions { background: var(--text) }",
        ".cautions { background: url(//example.org/x.png) }",
        ".cautions { font-size: 1px }",
        ".cautions { font-size: 0 }",
        ".cautions { font-size: calc(0px) }",
        ".cautions { font-size: clamp(1px, 1vw, 2px) }",
        ".cautions { line-height: 0 }",
        ".cautions { letter-spacing: -1em }",
        ".cautions { word-spacing: -9em }",
        ".cautions { max-height: 1px; overflow: auto }",
        ".cautions { width: 1px; overflow: auto }",
        ".cautions { overflow-y: hidden }",
        ".cautions { contain: size }",
        ".cautions { color-scheme: dark }",
        ".cautions { text-shadow: 0 0 9px black }",
        ".cautions { direction: rtl; unicode-bidi: bidi-override }",
        ".cautions::after { content: 'never mind' }",
        ".cautions { -webkit-text-fill-color: transparent }",
        ".drawing, .cautions { height: 1px }",
        ".cautions { font: 3px Inter }",
        ".cautions { height: 0; overflow: hidden }",
        # Every size of a value counts, and no function hides one.
        ".cautions { font-size: min(16px, 0px) }",
        ".cautions { font-size: clamp(16px, 0px, 0px) }",
        ".cautions { font-size: calc(1rem * 0) }",
        ".cautions { font-size: 1e-9rem }",
        ".cautions { font: 1rem/0.01 Inter }",
        ".cautions { font: 1rem / 0.01 Inter }",
        ".cautions { font: calc(1rem * 0) Inter }",
        ".cautions { font-family: Wingdings }",
        ".cautions { width: min(20rem, 0px) }",
        ".cautions { width: min-content }",
        ".cautions { line-height: 999 }",
        # Sizes that add up in what is in one another.
        "* { font-size: 0.9em }",
        "* { font-size: 90% }",
        "* { font-size: smaller }",
        "* { width: 50% }",
        # Far away, or held where nobody can scroll to.
        ".cautions { letter-spacing: 500em }",
        ".cautions { padding-left: 100000px }",
        ".cautions { margin-top: 9999rem }",
        ".cautions { text-indent: -999em }",
        ".cautions { vertical-align: -99em }",
        ".cautions { display: flex; justify-content: flex-end; white-space: nowrap }",
        ".cautions { float: right }",
        ".cautions { order: 99 }",
        ".cautions { columns: 99 }",
        ".cautions { inset: 0 }",
        ".cautions { translate: 999rem }",
        ".cautions { zoom: 0.01 }",
        ".cautions { scale: 0 }",
        ".cautions { rotate: 90deg }",
        ".cautions { writing-mode: vertical-rl }",
        # Laid over each other, squeezed, cut.
        ".cautions p { grid-area: 1/1 }",
        ".cautions { display: grid; grid-template-rows: 0 0 }",
        ".cautions { display: grid; grid-template-columns: 0 }",
        ".cautions { flex: 0 0 0 }",
        ".cautions { flex-wrap: nowrap }",
        ".letter { border-image: linear-gradient(red, red) 1 / 0 / 99rem }",
        ".letter { box-shadow: 0 0 0 99rem white }",
        ".letter { outline: 99rem solid }",
        ".cautions { aspect-ratio: 99; overflow-x: auto }",
        ".cautions { table-layout: fixed }",
        ".cautions { -webkit-line-clamp: 1 }",
        ".cautions { box-sizing: border-box; border-left: 99px solid; overflow-x: auto }",
        ".cautions { clip: rect(0, 0, 0, 0) }",
        ".cautions { mask: none }",
        ".cautions { z-index: -1 }",
        # Not drawn at all, pale, or struck out.
        ".cautions { display: table-column }",
        ".cautions { content-visibility: hidden }",
        ".cautions { filter: opacity(0) }",
        ".cautions { mix-blend-mode: screen }",
        ".cautions { color: color-mix(in srgb, var(--text), transparent) }",
        ".cautions { color: var(--x, transparent) }",
        ".cautions { text-decoration: line-through }",
        ".cautions { text-decoration-thickness: 2em }",
        ".cautions { -webkit-text-stroke: 9px }",
        ".cautions { animation: x 1s }",
        ".cautions { all: unset }",
        ".cautions { size: 0 }",
        "@keyframes x { to { opacity: 0 } }",
        "@layer x { .cautions { color: var(--text) } }",
        "@page { margin: 99cm }",
        "@supports (color: red) { .cautions { height: 0 } }",
        "@media print { @media all { .cautions { height: 0 } } }",
        # What only looks like a rule about pictures.
        ".myimg { height: 0 }",
        "#a\\ img { height: 0 }",
        ".cautions, img { height: 0 }",
        ":is(p, img) { height: 0 }",
        ".mark { height: 0 }",
        ".cautions { position: absolute; left: -9999px }",
        ".cautions { transform: scale(0) }",
        ".cautions { margin-left: -200vw }",
        ".cautions { clip-path: inset(100%) }",
        ":root { --text: #fff }",
        "@import 'far.css';",
        "@font-face { font-family: x; src: url(x.woff) }",
        "}",
    ],
)
@pytest.mark.thorough
def test_a_style_that_could_hide_is_refused(style: str, tmp_path: Path, registry: Registry) -> None:
    base = (BASE / "style.html.j2").read_text()
    found = reported(themed(tmp_path, registry, style=f"{base}{style}\n"))

    assert {code for code, _ in found} == {"style-refused"}


@pytest.mark.parametrize(
    "markup",
    [
        "<script>alert(1)</script>",
        "<iframe src='https://example.org'></iframe>",
        "<form action='https://example.org'><input></form>",
        "<a href='https://example.org'>x</a>",
        "<a href='javascript:alert(1)'>x</a>",
        "<img src='https://example.org/x.png' alt=''>",
        "<img src='data:text/html;base64,' alt=''>",
        "<p onclick='alert(1)'>x</p>",
        "<p hidden>x</p>",
        "<p style='color: red'>x</p>",
        "<link rel='stylesheet' href='x.css'>",
        "<base href='https://example.org'>",
        "<meta http-equiv='refresh' content='0; url=https://example.org'>",
        "<details><summary>x</summary></details>",
        "<template>x</template>",
        "<dialog>x</dialog>",
        "<svg><foreignObject></foreignObject></svg>",
        "<svg><use xlink:href='https://example.org/x.svg#y'/></svg>",
        "<svg style='position: fixed'></svg>",
        "<svg overflow='visible'></svg>",
        "<svg transform='scale(99)'></svg>",
        "<svg onload='x()'></svg>",
        "<svg><g onclick='x()'></g></svg>",
        "<svg><p></p><rect style='position: fixed'></rect></svg>",
        "<svg></p><rect style='position: fixed'></rect></svg>",
        "<rect style='position: fixed'></rect>",
        "<body text='#fff'></body>",
        "<table bgcolor='#000'></table>",
        "<table><tr><td width='1'>x</td></tr></table>",
        "<p dir='rtl'>x</p>",
        "<section role='img' aria-label='x'>x</section>",
        "<meta name='viewport' content='width=99999'>",
        "<style/><p>x</p>",
        "<title/>x",
        "<!-- x -- >",
        "<!DOCTYPE html [<p>]>",
        "<?x?>",
        "<![CDATA[x]]>",
        "<p>x",
        "<i><b>x</i></b>",
        "<style>.cautions { color: var(--text) }",
        "\u202ex",
    ],
)
def test_a_page_holds_nothing_that_runs_or_fetches_or_hides(
    markup: str, tmp_path: Path, registry: Registry
) -> None:
    found = reported(themed(tmp_path, registry, record=markup))

    assert "page-refused" in {code for code, _ in found}


def test_a_page_without_its_head_is_refused(tmp_path: Path, registry: Registry) -> None:
    frame = (BASE / "page.html.j2").read_text().replace("<head>", "<head >")

    assert reported(themed(tmp_path, registry, page=frame))[0][0] == "page-refused"


def test_a_slip_in_a_template_is_reported_with_its_line(tmp_path: Path, registry: Registry) -> None:
    document = themed(tmp_path, registry, record="<p>\n<< figures >>\n</p>")
    with pytest.raises(ThemeError) as raised:
        output.make(document)

    (fault,) = raised.value.faults
    assert fault.code == "template-value"
    assert str(fault.mark).endswith("/templates/record.html.j2:2")


def test_what_is_fine_is_not_refused() -> None:
    page = (
        "<html><head><style>.x\nimg, figure > svg.y { height: 2px } p { max-width: 20rem; "
        "color: var(--quiet); font: italic 600 0.8rem / 1.4 'A b', serif; margin: 0 AUTO }"
        "@media (min-width: 9rem) { b { padding: .5rem 4em 2px 0 } }</style></head>"
        "<body><p>one <b>two</b><br>three</p><svg viewBox='0 0 1 1'><g/></svg></body></html>"
    )

    assert read_page(page, ("one two", "three")) == ()
    assert [f.code for f in read_page(page, ("four",))] == ["required-text-missing"]
