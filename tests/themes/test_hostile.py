"""No theme takes from a report what keeps pilots safe, whatever it tries."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from trimscribe.errors import Fault, ThemeError, TypesetError
from trimscribe.model.document import Content
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
REGISTRY = Registry.installed()
WORLD = World({"trimscribe": "1.2.3"})
Try = Callable[..., list[str]]
Refused = Callable[..., Sequence[Fault]]


@pytest.fixture(scope="module")
def content() -> Content:
    return prepare(ROOT / "examples" / "outside.yaml", REGISTRY)


@pytest.fixture
def refused(tmp_path: Path, content: Content) -> Refused:
    """Render with a theme of these templates; its faults, none when it passes."""

    def refused(theme: str = "", **templates: str) -> Sequence[Fault]:
        (tmp_path / "templates").mkdir()
        (tmp_path / "theme.yaml").write_text(
            f"trimscribe: 1\nname: hostile\nextends: base\n{theme}", encoding="utf-8"
        )
        for name, text in templates.items():
            path = tmp_path / "templates" / f"{name}.typ.j2"
            path.write_text(text, encoding="utf-8")
        try:
            render(content, REGISTRY, WORLD, theme=str(tmp_path))
        except (ThemeError, TypesetError) as error:
            return error.faults
        return ()

    return refused


@pytest.fixture
def attempt(refused: Refused) -> Try:
    """The codes of these faults."""
    return lambda *theme, **templates: [fault.code for fault in refused(*theme, **templates)]


def cautions(before: str, after: str = "") -> str:
    """The base theme's cautions with something around them."""
    return (
        '<% extends "base:cautions.typ.j2" %>\n<% block cautions %>\n'
        f"{before}\n<< super() >>\n{after}\n<% endblock %>"
    )


def test_a_theme_that_only_restyles_and_moves_is_let_through(attempt: Try) -> None:
    moved = "sections: [cautions, record, letter, lines]\n"
    boxed = cautions('#block(fill: rgb("#23282d"), inset: 1em, {\nset text(fill: white)', "})")
    text = boxed.replace(
        "<< super() >>", "<% for c in cautions %>\npar(<< c.title ~ ' ' ~ c.text >>)\n<% endfor %>"
    )

    assert attempt(moved, cautions=text) == []


def test_leaving_the_cautions_out_is_refused(attempt: Try) -> None:
    assert attempt("sections: [letter, lines, changes, checks, record]\n") == [
        "theme-lacks-section"
    ]


def test_emptying_the_cautions_is_refused(attempt: Try) -> None:
    reported = attempt(cautions='#import "kit.typ": *\n')

    assert set(reported) == {"required-text-missing"}
    assert len(reported) >= 12  # title and text of each


def test_dropping_all_but_the_first_caution_is_refused(attempt: Try) -> None:
    template = '#import "kit.typ": *\n#par(<< cautions[0].title ~ " " ~ cautions[0].text >>)'

    assert "required-text-missing" in attempt(cautions=template)


HIDDEN = [
    "#show text: set text(size: 2pt)",
    "#set text(fill: white)",
    "#show par: set text(fill: ink.background)",
    "#show: body => scale(30%, reflow: true, body)",
    "#show: body => scale(x: 20%, body)",
    "#show: body => move(dx: 30cm, body)",
    "#show: body => rotate(180deg, body)",
    "#show: body => block(fill: ink.text, body)",
    "#show: body => pdf.artifact(body)",
    "#set text(tracking: -0.4em)",
    '#set text(fill: rgb("#00000018"))',
    "#show: body => box(width: 4pt, height: 4pt, clip: true, body)",  # laid over what follows it
]


def test_each_way_of_hiding_a_caution_is_refused(refused: Refused, content: Content) -> None:
    """All cautions but one in one report, each hidden in its own way."""
    said = content.statements.cautions
    ways = dict(zip(HIDDEN, said, strict=False))
    line = "#par(<< cautions[{0}].title ~ ' ' ~ cautions[{0}].text >>)"
    parts = [f"#[\n{way}\n{line.format(n)}\n]" for n, way in enumerate(ways)]
    rest = [line.format(n) for n in range(len(ways), len(said))]
    faults = refused(cautions="\n".join(['#import "kit.typ": *', *rest, *parts]))

    assert len(ways) == len(HIDDEN)
    assert {fault.code for fault in faults} <= {"required-text-unreadable", "required-text-missing"}
    told = " ".join(fault.message for fault in faults)
    assert [way for way, caution in ways.items() if caution.text not in told] == []
    assert not any(caution.text in told for caution in said[len(ways) :])


def test_painting_over_the_cautions_is_refused(attempt: Try) -> None:
    over = "#place(dy: -10cm, rect(width: 100%, height: 10cm, fill: white))"

    assert "required-text-unreadable" in attempt(cautions=cautions("", over))


def test_covering_every_page_is_refused(attempt: Try) -> None:
    main = (
        '<% extends "base:main.typ.j2" %>\n<% block style %>\n<< super() >>\n'
        "#set page(foreground: rect(width: 100%, height: 100%, fill: white))\n<% endblock %>"
    )

    assert set(attempt(main=main)) == {"required-text-unreadable"}


def test_a_dark_page_behind_dark_text_is_refused(attempt: Try) -> None:
    main = (
        '<% extends "base:main.typ.j2" %>\n<% block style %>\n<< super() >>\n'
        '#set page(fill: gradient.linear(black, rgb("#223344")))\n<% endblock %>'
    )

    assert set(attempt(main=main)) == {"required-text-unreadable"}


def test_colours_that_vanish_in_the_page_are_refused_when_the_theme_is_read(attempt: Try) -> None:
    assert set(attempt('tokens: {text: "#f0f0f0", quiet: "#fafafa"}\n')) == {"contrast-too-low"}


def test_a_verdict_in_the_theme_s_own_words_is_refused(attempt: Try) -> None:
    words = "wording: {en: {verdict_fail: within limits, not_assessed: fine}}\n"

    assert attempt(words) == ["wording-not-free"] * 2


def test_a_verdict_set_apart_from_what_it_judges_is_refused(attempt: Try) -> None:
    letter = (
        '<% extends "base:letter.typ.j2" %>\n<% block verdicts %>\n'
        "<% for v in verdicts %>#par(<< v.label >>)<% endfor %>\n#par[All is fine.]\n"
        "<% for v in verdicts %>#par(<< v.words >>)<% endfor %>\n<% endblock %>"
    )

    assert "required-text-missing" in attempt(letter=letter)


def test_a_record_without_its_tables_is_refused(attempt: Try) -> None:
    record = '#import "kit.typ": *\n#heading(level: 1, << title >>)\n#say(<< scope|join(" ") >>)'
    reported = attempt(record=record)

    assert set(reported) == {"required-text-missing"}
    assert len(reported) > 50  # every line of the wing, method, tolerance …


def test_a_letter_without_the_sentence_that_grounds_the_wing_is_refused(attempt: Try) -> None:
    letter = (
        '<% extends "base:letter.typ.j2" %>\n'
        "<% block headline %>#heading(level: 1)[Well done]<% endblock %>"
    )

    assert "required-text-missing" in attempt(letter=letter)


def test_reading_what_lies_outside_is_refused(attempt: Try) -> None:
    assert attempt(cautions=cautions('#read("/etc/hostname")')) == ["does-not-set"]


ENTRIES = {
    "Title": 'title: "Fit to fly"',
    "Author": 'author: "the maker"',
    "Keywords": 'keywords: ("fit to fly",)',
    "Subject": 'description: "Fit to fly"',
    "CreationDate": "date: datetime(year: 2035, month: 1, day: 1)",
}


def test_what_the_file_says_of_itself_is_not_the_themes(refused: Refused) -> None:
    # Also by another name, which no list of forbidden words would find.
    own = "sections: [letter, cautions, record, thanks]\n"
    entries = ", ".join(ENTRIES.values())
    faults = refused(own, thanks=f"#let it = document\n#set it({entries})\nThank you.")

    assert {fault.message.split()[-1] for fault in faults} == {f"{name}." for name in ENTRIES}
    assert [fault.code for fault in faults] == ["metadata-replaced"] * len(ENTRIES)


@pytest.mark.parametrize("frame", ["main", "kit"])
def test_what_is_around_the_sections_is_none(attempt: Try, frame: str) -> None:
    found = attempt(f"sections: [letter, cautions, record, {frame}]\n")

    assert found == ["section-unknown"]
