"""Every output says the same: statements, cautions, whose wing it is, and the manifest's hash."""

import io
import json
import re
from collections.abc import Callable
from dataclasses import replace

import pypdfium2
import pytest
from PIL import Image

from trimscribe.model.document import Document
from trimscribe.outputs.page import text_of
from trimscribe.registry import Registry

pytestmark = pytest.mark.typesets

DocumentOf = Callable[..., Document]
THEMES = ["base", "linden", "bench"]
# Two jobs in every theme; others, of which each says something else, in one.
JOBS = [
    *[("demo", theme) for theme in THEMES],
    *[pytest.param("outside", theme, marks=pytest.mark.thorough) for theme in THEMES],
    pytest.param("inspection", "linden", marks=pytest.mark.thorough),
    pytest.param("cloth-only", "bench", marks=pytest.mark.thorough),
    pytest.param("missing-data", "base", marks=pytest.mark.thorough),
    pytest.param("long-words", "linden", marks=pytest.mark.thorough),
]


def squeezed(text: str) -> str:
    """Without blanks, and without hyphens, which a line's end may add or take."""
    return re.sub(r"[\s\u00ad\u200b\u2010\ufffe\x02-]", "", text)


def pdf_text(data: bytes) -> str:
    pdf = pypdfium2.PdfDocument(data)
    text = "".join(page.get_textpage().get_text_range() for page in pdf)
    pdf.close()
    return text


def json_text(data: bytes) -> str:
    def said(value: object) -> str:
        if isinstance(value, dict):
            return " ".join(map(said, value.values()))
        if isinstance(value, list):
            return " ".join(map(said, value))
        return str(value)

    return said(json.loads(data))


def png_text(data: bytes) -> str:
    return Image.open(io.BytesIO(data)).text["Description"]


@pytest.mark.parametrize(("job", "theme"), JOBS)
def test_all_outputs_say_the_same(
    job: str, theme: str, document_of: DocumentOf, registry: Registry
) -> None:
    document = document_of(job, theme)
    shown = document.shown
    said, of = shown.content.statements, shown.content.reading.job
    wanted = [
        *(statement.text for statement in said.sentences),
        *(part for caution in said.cautions for part in (caution.title, caution.text)),
        *(part for verdict in said.verdicts for part in (verdict.label, verdict.words)),
        *(of.service.number, of.wing.serial_number, of.workshop.name, of.wing.model),
        shown.hashes["manifest.json"],  # it holds those of all other files
        said.labels["not_covered"],
    ]

    made = {name: registry.get("outputs", name).make(document).data for name in NAMES}
    texts = {name: squeezed(NAMES[name](data)) for name, data in made.items()}

    assert len(said.cautions) >= 5
    assert len(shown.hashes) >= 2
    assert all(squeezed(one) in texts["json"] for one in shown.hashes.values())
    missing = [
        (name, text) for text in wanted for name in texts if squeezed(text) not in texts[name]
    ]
    assert missing == []


NAMES = {
    "pdf": pdf_text,
    "html": lambda data: text_of(data.decode()),
    "json": json_text,
    "png": png_text,
}


@pytest.mark.parametrize("name", ["html", "json", "png"])
def test_the_same_document_gives_the_same_bytes(
    name: str, document_of: DocumentOf, registry: Registry
) -> None:
    output = registry.get("outputs", name)

    first = output.make(document_of("demo"))

    assert output.make(document_of("demo")) == first
    assert first.suffix == f".{name}"


def test_the_picture_is_page_one_and_sharp_enough_for_a_phone(
    document_of: DocumentOf, registry: Registry
) -> None:
    document = document_of("demo")
    picture = registry.get("outputs", "png").make(document).data
    pdf = pypdfium2.PdfDocument(registry.get("outputs", "pdf").make(document).data)
    width, height = pdf[0].get_size()
    pdf.close()

    assert picture.startswith(b"\x89PNG\r\n\x1a\n")
    size = [int.from_bytes(picture[at : at + 4], "big") for at in (16, 20)]
    assert size == pytest.approx([width / 72 * 150, height / 72 * 150], abs=2)
    assert len(picture) < 1_000_000


def test_a_document_is_set_once_for_all_outputs(
    document_of: DocumentOf, registry: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    from trimscribe.typeset import pdf

    times = []
    compile_pdf = pdf.compile_pdf
    monkeypatch.setattr(pdf, "compile_pdf", lambda *a: times.append(1) or compile_pdf(*a))
    document = replace(document_of("inspection", "bench"))  # fits as it was designed

    first = registry.get("outputs", "pdf").make(document)
    registry.get("outputs", "png").make(document)

    assert registry.get("outputs", "pdf").make(document) is first
    assert len(times) == 1
