"""The finished file, read with pikepdf: archival, accessible, complete."""

import functools
import hashlib
import io
import itertools
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

pytestmark = pytest.mark.typesets

ROOT = Path(__file__).parents[1]
JOBS = ["examples/demo.yaml", "examples/outside.yaml", "tests/jobs/long-words.yaml"]


@functools.cache
def made(job: str) -> bytes:
    registry = Registry.installed()
    return render(prepare(ROOT / job, registry), registry, World.real()).data


@pytest.fixture(params=JOBS)
def pdf(request: pytest.FixtureRequest) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(io.BytesIO(made(request.param))) as pdf:
        yield pdf


def elements(node: Any) -> Iterator[Any]:
    """The structure tree below a node (ISO 32000-1, 14.7)."""
    below = node.get("/K")
    for child in below if isinstance(below, pikepdf.Array) else [below]:
        if isinstance(child, pikepdf.Dictionary) and "/S" in child:
            yield child
            yield from elements(child)


def test_it_says_it_is_pdf_a_3a_and_pdf_ua_1(pdf: pikepdf.Pdf) -> None:
    """Identification schemas: ISO 19005-3:2012, 6.6.4; ISO 14289-1:2014, 5."""
    with pdf.open_metadata() as data:
        assert (data["pdfaid:part"], data["pdfaid:conformance"]) == ("3", "A")
        assert data["pdfuaid:part"] == "1"


def test_it_has_an_output_intent_and_no_encryption(pdf: pikepdf.Pdf) -> None:
    """ISO 19005-3:2012, 6.2.3 and 6.1.3."""
    (intent,) = pdf.Root.OutputIntents
    assert intent.S == "/GTS_PDFA1"
    assert not pdf.is_encrypted


def test_title_language_and_tags_are_set(pdf: pikepdf.Pdf) -> None:
    """ISO 14289-1:2014, 7.1, 7.2: a title that is shown, a language, a tagged structure."""
    assert pdf.Root.MarkInfo.Marked
    assert pdf.Root.ViewerPreferences.DisplayDocTitle
    assert str(pdf.Root.Lang).startswith("en")
    with pdf.open_metadata() as data:
        assert "Service" in data["dc:title"]


def test_every_drawing_says_what_it_shows(pdf: pikepdf.Pdf) -> None:
    """ISO 14289-1:2014, 7.3: a figure has an alternate description."""
    figures = [e for e in elements(pdf.Root.StructTreeRoot) if e.S == "/Figure"]

    assert len(figures) >= 2
    assert all(len(str(figure.Alt)) > 20 for figure in figures)


def test_tables_have_headers_and_headings_go_down_one_at_a_time(pdf: pikepdf.Pdf) -> None:
    """ISO 14289-1:2014, 7.4.2 and 7.5."""
    tags = [str(e.S) for e in elements(pdf.Root.StructTreeRoot)]
    levels = [int(tag[2]) for tag in tags if re.fullmatch(r"/H[1-6]", tag)]

    assert "/TH" in tags
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels))


def test_only_shipped_fonts_are_used_and_all_are_embedded(pdf: pikepdf.Pdf) -> None:
    fonts = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and "/BaseFont" in o]
    descriptors = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and "/FontName" in o]

    assert fonts
    assert all(re.search(r"\+Inter", str(font.BaseFont)) for font in fonts)
    assert all("/FontFile3" in d or "/FontFile2" in d for d in descriptors)


def test_it_is_dated_by_the_service() -> None:
    with pikepdf.open(io.BytesIO(made("examples/demo.yaml"))) as pdf:
        assert str(pdf.docinfo["/CreationDate"]).startswith("D:20261016")


def test_the_job_travels_inside_and_the_record_prints_what_vouches_for_it() -> None:
    """The manifest holds every fingerprint; the page prints that of the manifest."""
    from trimscribe.typeset.text import pdf_pages

    data = (ROOT / "examples" / "demo.yaml").read_bytes()
    with pikepdf.open(io.BytesIO(made("examples/demo.yaml"))) as pdf:
        attached = pdf.attachments["demo.yaml"]
        assert attached.get_file().read_bytes() == data
        manifest = pdf.attachments["manifest.json"].get_file().read_bytes()
        count = len(pdf.attachments)
        assert {str(f.AFRelationship) for f in pdf.Root.AF} == {"/Source", "/Data", "/Supplement"}
    fingerprints = {one["name"]: one["sha256"] for one in json.loads(manifest)["files"]}
    assert fingerprints["demo.yaml"] == hashlib.sha256(data).hexdigest()
    text = re.sub(r"\s", "", "".join(pdf_pages(made("examples/demo.yaml"))))
    assert hashlib.sha256(manifest).hexdigest() in text
    assert f"{count}files." in text
