"""A workshop's own pictures, colours and fonts in its reports."""

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from trimscribe.compose.document import compose
from trimscribe.compose.themes import resolve
from trimscribe.errors import Mark, ThemeError
from trimscribe.model.document import Content, Document
from trimscribe.model.workshop import InputFile, Person, Workshop
from trimscribe.registry import Registry
from trimscribe.themes import linden
from trimscribe.world import World

LOGO = InputFile("brand/our logo.SVG", b"<svg/>", "image/svg+xml")
SIGNATURE = InputFile("hand.png", b"png", "image/png")
Made = Callable[..., Document]


@pytest.fixture
def made(content_of: Callable[[str], Content], registry: Registry, world: World) -> Made:
    """Compose the demo for a workshop with some things of its own."""

    def made(**own: Any) -> Document:
        content = content_of("demo")
        job = content.reading.job
        plain = Workshop("Quarry Hill Canopy Works", theme="base")
        workshop = replace(plain, **own)
        reading = replace(content.reading, job=replace(job, workshop=workshop))
        return compose(replace(content, reading=reading), registry, world)

    return made


def test_a_logo_stands_in_the_letterhead_with_words_for_who_cannot_see_it(made: Made) -> None:
    document = made(logo=LOGO)

    assert document.files["pictures/logo.svg"] == b"<svg/>"
    letter = document.files["letter.typ"].decode()
    assert 'emblem("/pictures/logo.svg", "Logo of Quarry Hill Canopy Works")' in letter
    assert "our logo" not in letter


def test_a_signature_is_shown_where_its_own_writer_signs_and_nowhere_else(made: Made) -> None:
    ines, robin = Person("Ines Corvin"), Person("Robin Hale")  # the demo is signed by Ines

    own = made(signature=SIGNATURE, signatory=ines).files["letter.typ"]
    assert b"/pictures/signature.png" in own
    assert b"Signature of Ines Corvin" in own
    for other in ({"signatory": robin}, {"signatory": None}):
        assert b"signature.png" not in made(signature=SIGNATURE, **other).files["letter.typ"]


def test_the_foot_of_the_page_and_the_terms_are_the_workshop_s(made: Made) -> None:
    document = made(footer="Old Pump House", terms="Pay soon.")

    assert '"Old Pump House"' in document.main
    assert b'"Pay soon."' in document.files["terms.typ"]
    assert "terms.typ" not in made().files


def test_colours_of_the_brand_go_into_the_tokens_and_are_held_to_be_readable(made: Made) -> None:
    assert b'"quiet": rgb("#444a50")' in made(neutral="#444a50").files["kit.typ"]

    with pytest.raises(ThemeError) as raised:
        made(neutral="#c0c4c8")
    assert [f.code for f in raised.value.faults] == ["contrast-too-low"]


def test_a_fault_of_the_brand_is_reported_in_the_shop_file() -> None:
    mark = Mark("examples/shop.yaml", 7, 9, source='accent: "#ffe000"')
    with pytest.raises(ThemeError) as raised:
        resolve(
            "base",
            Workshop("x", accent="#ffe000"),
            Registry.installed(),
            {("workshop", "accent"): mark},
        )

    assert raised.value.faults[0].mark == mark


def test_a_font_of_the_workshop_s_own_is_used_for_text_and_drawings(
    made: Made, tmp_path: Path
) -> None:
    shutil.copy(linden.folder / "fonts" / "Vollkorn-Regular.ttf", tmp_path)
    document = made(font="Vollkorn", fonts=tmp_path)

    assert '#set text(font: "Vollkorn"' in document.main
    assert b"Vollkorn" in document.files["figures/side_view.svg"]
    assert document.fonts[0].path == tmp_path


def test_a_font_that_is_no_font_is_reported(made: Made, tmp_path: Path) -> None:
    (tmp_path / "a.ttf").write_bytes(b"no font at all")
    with pytest.raises(ThemeError) as raised:
        made(fonts=tmp_path)

    assert raised.value.faults[0].code == "font-broken"
    assert "a.ttf" in raised.value.faults[0].message
