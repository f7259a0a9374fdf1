"""The composed document: golden sources, what it must say, what it carries."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from pytest_regressions.file_regression import FileRegressionFixture

from trimscribe.compose.document import compose
from trimscribe.errors import ThemeError
from trimscribe.model.document import Content, Document
from trimscribe.model.workshop import InputFile
from trimscribe.registry import Registry
from trimscribe.world import World

ContentOf = Callable[[str], Content]


@pytest.fixture
def document_of(content_of: ContentOf, registry: Registry, world: World) -> Callable[..., Document]:
    return lambda name, theme="": compose(content_of(name), registry, world, theme)


# Read the difference before you accept it: pytest --force-regen.
@pytest.mark.parametrize("name", ["demo", "outside", "inspection", "cloth-only"])
def test_typst_source(
    document_of: Callable[..., Document], name: str, file_regression: FileRegressionFixture
) -> None:
    document = document_of(name)
    files = {"main.typ": document.main} | {
        name: data.decode() for name, data in document.files.items() if name.endswith(".typ")
    }
    text = "\n".join(f"// ── {name}\n{source}" for name, source in files.items())
    for attachment in document.attachments:  # their fingerprints are in the record
        text = text.replace(hashlib.sha256(attachment.data).hexdigest(), "…")
    file_regression.check(text, extension=".typ", encoding="utf-8")


def test_every_sentence_caution_and_verdict_is_required(
    document_of: Callable[..., Document], content_of: ContentOf
) -> None:
    document, statements = document_of("outside"), content_of("outside").statements

    wanted = {s.text for s in (*statements.sentences, *statements.cautions)}
    wanted |= {c.title for c in statements.cautions}
    wanted |= {f"{v.label} {v.words}" for v in statements.verdicts}
    assert wanted <= set(document.required)
    assert len(statements.cautions) >= 7


def test_the_job_its_files_and_the_findings_are_attached_whole(
    document_of: Callable[..., Document], content_of: ContentOf
) -> None:
    document, reading = document_of("demo"), content_of("demo").reading
    attached = {a.name: a for a in document.attachments}

    assert [a.name for a in document.attachments] == [
        "demo.yaml",
        "shop.yaml",
        "quarry-hill.svg",
        "ines-corvin.svg",
        "medlar-m.yaml",
        "demo-before.csv",
        "findings.json",
        "theme.json",
        "manifest.json",
    ]
    assert [attached[Path(f.name).name].data for f in reading.files] == [
        f.data for f in reading.files
    ]
    assert yaml.safe_load(attached["demo.yaml"].data)["service"]["number"] == "QH-2026-041"
    findings = json.loads(attached["findings.json"].data)
    assert findings["findings"]["before"]["pitch"]["wing"]["value"] > 0
    assert findings["statements"][0]["rule"]


def test_files_of_the_same_name_keep_apart(
    content_of: ContentOf, registry: Registry, world: World
) -> None:
    content = content_of("demo")
    names = ("a/wing.yaml", "b/wing.yaml", "b/Wing.YAML", "findings.json", "../a/wing.yaml")
    files = tuple(InputFile(name, b"x", "application/yaml") for name in names)
    document = compose(
        replace(content, reading=replace(content.reading, files=files)), registry, world
    )

    assert [a.name for a in document.attachments] == [
        "wing.yaml",
        "b-wing.yaml",
        "2-Wing.YAML",
        "2-findings.json",
        "a-wing.yaml",
        "findings.json",
        "theme.json",
        "manifest.json",
    ]


def test_the_document_is_dated_by_the_service_not_by_the_clock(
    document_of: Callable[..., Document], content_of: ContentOf
) -> None:
    assert document_of("demo").date == content_of("demo").reading.job.service.done


@pytest.mark.parametrize("sign", ["林", "\U000f0000", "\u0378"])  # one for private use, one of none
def test_a_sign_that_no_font_has_is_reported_with_its_place_in_the_job(
    content_of: ContentOf, registry: Registry, world: World, sign: str
) -> None:
    content = content_of("demo")
    job = content.reading.job
    named = replace(job, pilot=replace(job.pilot, name=f"{sign} Hale"))
    reading = replace(content.reading, job=named, marks={**content.reading.marks})
    with pytest.raises(ThemeError) as raised:
        compose(replace(content, reading=reading), registry, world)

    (fault,) = raised.value.faults
    assert fault.code == "no-glyph"
    assert f"“{sign}” (U+{ord(sign):04X})" in fault.message


@pytest.mark.typesets
def test_a_theme_may_leave_out_a_section_and_what_is_said_there(
    content_of: ContentOf, registry: Registry, world: World, tmp_path: Path
) -> None:
    (tmp_path / "theme.yaml").write_text(
        "{trimscribe: 1, name: short, extends: base, sections: [letter, cautions, record]}"
    )
    report = registry.get("outputs", "pdf").make(
        compose(content_of("demo"), registry, world, str(tmp_path))
    )

    assert report.pages < 5
