"""A theme's own words: other headings, texts for its own parts, and no way to reword a verdict."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from trimscribe.compose.document import compose
from trimscribe.compose.wording import FREE_LABELS
from trimscribe.errors import Fault, ThemeError
from trimscribe.model.document import Content, Document
from trimscribe.registry import Registry
from trimscribe.world import World

Themed = Callable[..., Document]
CARE = (
    '#import "kit.typ": *\n#heading(level: 2, << phrases.care_title >>)\n#say(<< phrases.care >>)'
)


@pytest.fixture
def themed(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    content_of: Callable[[str], Content],
    registry: Registry,
    world: World,
) -> Themed:
    """Compose the demo in a theme of its own."""
    monkeypatch.chdir(tmp_path)

    def themed(theme: str, **templates: str) -> Document:
        (tmp_path / "mine" / "templates").mkdir(parents=True, exist_ok=True)
        head = "trimscribe: 1\nname: mine\nextends: base\n"
        (tmp_path / "mine" / "theme.yaml").write_text(head + theme, encoding="utf-8")
        for name, text in templates.items():
            (tmp_path / "mine" / "templates" / f"{name}.typ.j2").write_text(text)
        return compose(content_of("demo"), registry, world, "./mine")

    return themed


def refused(themed: Themed, theme: str, **templates: str) -> Fault:
    with pytest.raises(ThemeError) as raised:
        themed(theme, **templates)
    (fault,) = raised.value.faults
    return fault


def test_a_heading_is_worded_as_the_theme_wants(themed: Themed) -> None:
    document = themed("wording: {en: {before_you_fly: Before your next flight}}\n")

    assert b'"Before your next flight"' in document.files["letter.typ"]
    assert b'"Before you fly"' not in document.files["letter.typ"]


def test_a_language_without_words_yet_changes_nothing(themed: Themed) -> None:
    document = themed("wording: {en: ~}\nphrases: {en: ~}\n")

    assert b'"Before you fly"' in document.files["letter.typ"]


def test_words_in_another_language_change_nothing(themed: Themed) -> None:
    document = themed("wording: {de: {before_you_fly: Vor dem Flug}}\n")

    assert b'"Before you fly"' in document.files["letter.typ"]


@pytest.mark.parametrize(
    "label", ["verdict_fail", "words_not_assessed", "not_covered", "left", "nose_up_by", "before"]
)
def test_what_means_the_same_everywhere_cannot_be_reworded(themed: Themed, label: str) -> None:
    fault = refused(themed, f"wording:\n  en:\n    {label}: something else\n")

    assert fault.code == "wording-not-free"
    assert fault.mark is not None
    assert (fault.mark.file, fault.mark.line) == ("mine/theme.yaml", 6)


def test_a_heading_cannot_be_worded_away(themed: Themed) -> None:
    assert refused(themed, "wording: {en: {cautions: ''}}\n").code == "missing-value"


def test_a_slip_in_a_heading_s_name_is_reported_with_the_nearest(themed: Themed) -> None:
    assert "before_you_fly" in refused(themed, "wording: {en: {before_yu_fly: x}}\n").hint


@pytest.mark.parametrize("text", ["Page", "Page {page}", "Page {page} of {all}"])
def test_a_heading_keeps_the_names_that_are_filled_in(themed: Themed, text: str) -> None:
    fault = refused(themed, f"wording: {{en: {{page_of: '{text}'}}}}\n")

    assert fault.code == "wording-does-not-fit"
    assert "{page} and {pages}" in fault.message


def test_the_free_headings_are_labels_that_there_are(content_of: Callable[[str], Content]) -> None:
    assert set(FREE_LABELS) <= set(content_of("demo").statements.labels)


def test_a_part_of_a_theme_s_own_is_a_template_and_its_texts(themed: Themed) -> None:
    document = themed(
        "sections: [letter, cautions, care, record]\n"
        "phrases: {en: {care_title: Care, care: 'Keep your {model} dry, {pilot}.'}}\n",
        care=CARE,
    )

    assert '#{ import "care.typ": part; part(as-designed) }' in document.main
    assert b'"Keep your Medlar dry, Robin Hale."' in document.files["care.typ"]


def test_a_part_that_nobody_makes_is_reported_with_the_nearest_name(themed: Themed) -> None:
    fault = refused(themed, "sections: [letter, cautions, record, chekcs]\n")

    assert (fault.code, fault.hint) == ("section-unknown", "Did you mean `checks`?")
    assert fault.mark is not None
    assert fault.mark.line == 4


def test_a_part_cannot_stand_twice(themed: Themed) -> None:
    assert refused(themed, "sections: [letter, cautions, record, letter]\n").code == "section-twice"


def test_a_text_that_names_what_a_report_does_not_have_is_reported(themed: Themed) -> None:
    theme = "sections: [letter, cautions, care, record]\nphrases: {en: {care: 'Dear {pilto}'}}\n"
    fault = refused(themed, theme, care=CARE)

    assert (fault.code, fault.hint) == ("phrase-names-nothing", "Did you mean `pilot`?")


def test_a_text_in_one_language_alone_does_not_slip_into_another(
    themed: Themed, content_of: Callable[[str], Content], registry: Registry, world: World
) -> None:
    fault = refused(themed, "phrases: {de: {care: Gut trocknen.}}\n")

    assert fault.code == "phrase-not-translated"
    assert "“en”" in fault.message


def test_a_text_that_a_template_shows_and_nobody_wrote_is_reported_at_the_template(
    themed: Themed,
) -> None:
    theme = "sections: [letter, cautions, care, record]\nphrases: {en: {care_title: Care}}\n"
    fault = refused(themed, theme, care=CARE)

    assert fault.code == "template-value"
    assert fault.mark is not None
    assert (fault.mark.file, fault.mark.line) == ("mine/templates/care.typ.j2", 3)


def test_text_of_a_theme_is_never_markup(themed: Themed) -> None:
    theme = (
        "sections: [letter, cautions, care, record]\n"
        "phrases: {en: {care_title: '#read(\"x\")', care: '$x$ *bold* \\ \"{workshop}\"'}}\n"
    )
    source = themed(theme, care=CARE).files["care.typ"].decode()

    assert '#heading(level: 2, "#read(\\"x\\")")' in source


def test_what_a_part_s_plugin_requires_must_be_shown(
    content_of: Callable[[str], Content], registry: Registry, world: World
) -> None:
    content = content_of("demo")
    job = content.reading.job
    shop = replace(job.workshop, terms="We answer for two years.\n\nParts are kept.")
    changed = replace(content.reading, job=replace(job, workshop=shop))
    document = compose(replace(content, reading=changed), registry, world)

    assert {"We answer for two years.", "Parts are kept."} <= set(document.required)
    assert "terms.typ" in document.files
