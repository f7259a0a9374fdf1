"""Templates: structure only, no way to Python, to files or to packages, and faults with lines."""

import pytest
import typst

from trimscribe.compose.templates import Templates
from trimscribe.errors import Fault, ThemeError


def templates(**texts: str) -> Templates:
    files = {f"{name}.typ.j2": text for name, text in texts.items()}
    return Templates({"mine": files}, {"mine": "brands/mine"})


def fault(text: str, **values: object) -> Fault:
    with pytest.raises(ThemeError) as raised:
        templates(page=text).render("page.typ.j2", values)
    (found,) = raised.value.faults
    return found


def test_every_printed_value_becomes_a_literal() -> None:
    text = templates(page="#par(<< a >>)<% for x in b %><< x >>,<% endfor %>").render(
        "page.typ.j2", {"a": '"); #read("x") //', "b": [1, None]}
    )

    assert text == '#par("\\"); #read(\\"x\\") //")(1),none,'


def test_joining_or_changing_text_keeps_it_a_literal() -> None:
    text = templates(page="<< a ~ b|upper >>").render("page.typ.j2", {"a": '"#', "b": "x]"})

    assert text == '"\\"#X]"'


def test_a_name_that_is_not_there_is_reported_with_file_and_line() -> None:
    found = fault("line one\n<< colour >>\n", color="x")

    assert found.code == "template-value"
    assert "colour" in found.message
    assert found.mark is not None
    assert (found.mark.file, found.mark.line) == ("brands/mine/templates/page.typ.j2", 2)
    assert found.mark.source == "<< colour >>"


@pytest.mark.parametrize(
    ("page", "place"),
    [
        ('<% import "kit.typ.j2" as kit %><< kit.note(1) >>', "ours/templates/kit.typ.j2:3"),
        ('line one\n<% include "other.typ.j2" %>', "ours/templates/other.typ.j2:2"),
        ('<% extends "base:kit.typ.j2" %><% block a %>\n\n<< nothing >><% endblock %>', "mine"),
        ('<% extends "section.storing:storing.typ.j2" %>', "hedgerow section storing: storing"),
    ],
)
def test_a_fault_is_reported_in_the_template_that_it_is_in(page: str, place: str) -> None:
    made = Templates(
        {
            "mine": {"page.typ.j2": page},
            "base": {
                "kit.typ.j2": "<% macro note(x) %>\n\n<< x.nothing >><% endmacro %>"
                "<% block a %><% endblock %>",
                "other.typ.j2": "\n<< nothing >>",
            },
            "section.storing": {"storing.typ.j2": "\n\n\n<< nothing >>"},
        },
        {"mine": "mine", "base": "ours", "section.storing": "hedgerow section storing"},
    )
    with pytest.raises(ThemeError) as raised:
        made.render("page.typ.j2", {})

    (found,) = raised.value.faults
    assert str(found.mark).startswith(place)
    assert "<< " in found.mark.source
    assert "nothing" in found.mark.source
    assert found.message.endswith(".")


@pytest.mark.parametrize("text", ["<< t.acent >>", "<< figuers >>", "<< phrases.titel >>"])
def test_a_slip_in_a_name_is_reported_with_the_nearest(text: str) -> None:
    values = {"t": {"accent": "#123456"}, "figures": [], "phrases": {"title": "x"}}

    assert fault(text, **values).hint in {
        "Did you mean `accent`?",
        "Did you mean `figures`?",
        "Did you mean `title`?",
    }


def test_a_slip_in_the_syntax_is_reported_with_file_and_line() -> None:
    found = fault("ok\n<% for x in y %>\n")

    assert found.code == "template-syntax"
    assert found.mark is not None
    assert found.mark.file == "brands/mine/templates/page.typ.j2"


def test_a_missing_parent_is_named() -> None:
    found = fault('<% extends "base:letter.typ.j2" %>')

    assert found.code == "template-missing"
    assert "base:letter.typ.j2" in found.message


def test_a_template_that_nobody_has_is_in_no_file_and_what_was_meant_is_told() -> None:
    mine = Templates({"mine": {"page.typ.j2": ""}}, {"mine": "brands/mine"})
    with pytest.raises(ThemeError) as caught:
        mine.render("pages.typ.j2", {})
    (found,) = caught.value.faults

    assert (found.code, found.mark) == ("template-missing", None)
    assert found.hint == "Did you mean `page.typ.j2`?"


@pytest.mark.parametrize(
    ("brought", "said", "hint"),
    [
        ({"twin.typ.j2": ""}, "the section “twins” brings twin.typ.j2.", "Did you mean `twin.ty"),
        ({}, "the section “twins” brings none.", ""),
    ],
)
def test_a_template_that_a_section_does_not_bring_is_told_with_those_that_it_brings(
    brought: dict[str, str], said: str, hint: str
) -> None:
    page = '<% extends "section.twins:twins.typ.j2" %>'
    files = {"mine": {"page.typ.j2": page}, "section.twins": brought}
    with pytest.raises(ThemeError) as caught:
        Templates(files, {"mine": "brands/mine"}).render("page.typ.j2", {})
    (found,) = caught.value.faults

    assert found.message == f"There is no template “twins.typ.j2”: {said}"
    assert str(found.mark) == "brands/mine/templates/page.typ.j2"
    assert found.hint.startswith(hint)


# Ways out of a Jinja2 sandbox that are published in its documentation and in security advisories.
@pytest.mark.parametrize(
    "expression",
    [
        "<< ''.__class__.__mro__ >>",
        "<< cycler.__init__.__globals__ >>",
        "<< lipsum.__globals__ >>",
        "<< self.__init__.__globals__ >>",
        "<< x|attr('__class__') >>",
        "<< '#read(1)'|safe >>",
        "<< ['a']|map(attribute='__class__')|list >>",
        "<< x.append(1) >>",
        "<% set y = x.__class__ %><< y >>",
        "<< '{0.__class__}'.format(x) >>",
    ],
)
def test_no_expression_reaches_python_or_skips_the_literals(expression: str) -> None:
    try:
        text = templates(page=expression).render("page.typ.j2", {"x": []})
    except ThemeError:
        return
    assert "class" not in text.replace('"{0.__class__}"', "")
    assert not text.startswith("#")


@pytest.mark.parametrize(
    "line",
    [
        '#eval("1")',
        "#let f = eval",
        '#std.at("e")',
        "#dictionary(std)",
        "#plugin(bytes((0,)))",
        '#import "@preview/cetz:0.3.4": *',
        '#include "@preview/x:1.0.0"',
        '#import "a" + "b.typ"',
        '#import "a.typ" + x',
        "#import path: *",
        '#import ("kit.typ")',
        '#imp<% if true %>ort "@preview/x:1.0.0"<% endif %>',
        "<% macro m() %>imp<% endmacro %>#<< m() >>ort path",
        "<% set x %>ev<% endset %>#<< x >>al(1)",
        '#let u = "http://x"; #import "@preview/x:1.0.0"',
        '// */ #import "@preview/x:1.0.0"',
    ],
)
def test_a_theme_may_not_make_code_of_text_nor_load_packages(line: str) -> None:
    found = fault(f"first\n{line}\n")

    assert found.code == "template-refused"
    assert found.mark is not None
    assert found.mark.file == "brands/mine/templates/page.typ.j2"
    if "<" not in line:
        assert found.mark.line == 2


# Each would run if values were cut out by their quotes, or in a second rendering with blanks.
@pytest.mark.parametrize(
    "text",
    [
        "<% set x %><< note >><% endset %><% if x|length > 2 %>#eval(1)<% endif %>",
        "<% set x %><< note >><% endset %><% if x != '\"\"' %>#eval(1)<% endif %>",
        "<% if note %>#eval(1)<% endif %>",
        "<% if '<< note >>'|length %>#eval(1)<% endif %>",
        "<% set x %>eval(1)<% endset %><< [x] >>",
        "<% set x %>eval(1)<% endset %><< {'a': x} >>",
        "<% set x %><< 1 >><% endset %><< x[:1] >>eval(1)<< x[-1:] >>",
        "<< 'eval(1)'|e >>",
        "<% set x %>%s<% endset %>#<< x|format('eval(1)') >>",
        "<% set x %>#<% endset %><< x ~ 'eval(1)' >>",
        "<% set x %>\ue000<% endset %><< x >>",
        "\ue0007\ue001",
    ],
)
def test_code_is_refused_whatever_it_is_made_of(text: str) -> None:
    assert fault(text, note="x").code in ("template-refused", "template-value")


@pytest.mark.parametrize(
    "text",
    [
        '#f("<< evil >>")',
        "#{ /* << evil >> */ }",
        "#{ // << evil >>\n}",
        "#{ `<< evil >>` }",
        "#[ << evil >> ]",
        "$ << evil >> $",
        "<< evil >>",
        "<% set y %><< evil >><% endset %>#<< y[2:-2] >>",
        "<% set y %><< evil >><% endset %>#<< y|replace('\"', '') >>",
    ],
)
@pytest.mark.parametrize(
    "evil",
    ["eval(x)", ", eval(x), ", "*/ eval(x) /*", "` eval(x) `", "](eval(x))[", "\u2028eval(x)"],
)
def test_a_value_that_is_set_where_it_is_no_text_runs_nothing(text: str, evil: str) -> None:
    """What Typst makes of it may be an error, but never the one of the code."""
    page = templates(page=text).render("page.typ.j2", {"evil": evil})
    source = f'#let f(..x) = none\n#let x = "panic(1 + 41)"\n{page}'

    reported = ""
    try:
        typst.compile(source.encode(), format="pdf", ignore_system_fonts=True)
    except typst.TypstError as error:
        reported = str(error)
    assert "eval" not in page
    assert "panic" not in reported


def test_plain_imports_and_comments_are_let_through() -> None:
    text = '#import "kit.typ": *\n// eval is not for themes\n#include "a.typ"\n'

    assert templates(page=text).render("page.typ.j2", {}) == text


def test_what_a_job_says_is_never_taken_for_the_theme_s_own() -> None:
    text = templates(page="<< note >>").render("page.typ.j2", {"note": '#import "@x" eval plugin'})

    assert text == '"#\\u{69}mport \\"@x\\" \\u{65}val \\u{70}lugin"'  # as text it reads the same
