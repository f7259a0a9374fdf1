"""A copy for sharing: the same service, and nothing of its pilot anywhere in the file."""

import io
import re
from pathlib import Path

import pikepdf
import pytest

from trimscribe.errors import InputError
from trimscribe.model.proof import Standing
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.typeset.text import pdf_pages
from trimscribe.verify import check
from trimscribe.world import World

EXAMPLES = Path(__file__).parents[1] / "examples"
REGISTRY = Registry.installed()
PERSONAL = ("Robin", "Hale", "hangs back on launch", "92 kg")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The demo with the pilot's name in free texts as well."""
    for path in EXAMPLES.iterdir():
        if path.is_file():
            (tmp_path / path.name).write_bytes(path.read_bytes())
    text = (EXAMPLES / "demo.yaml").read_text(encoding="utf-8")
    text = text.replace("The pilot finds the wing slow.", "Robin Hale finds the wing slow.")
    text = text.replace("The wing is clean", "Dear ROBIN, the wing of hale is clean")
    (tmp_path / "demo.yaml").write_text(text, encoding="utf-8")
    return tmp_path / "demo.yaml"


@pytest.fixture
def copy(job: Path) -> bytes:
    return render(prepare(job, REGISTRY, redact=True), REGISTRY, World.real()).data


def everything(data: bytes) -> str:
    """Every stream of the file unpacked, every text and every attached file."""
    parts = list(pdf_pages(data))
    with pikepdf.open(io.BytesIO(data)) as pdf:
        for found in pdf.objects:
            if isinstance(found, pikepdf.Stream):
                parts.append(found.read_bytes().decode("utf-8", "replace"))
            if isinstance(found, pikepdf.Dictionary | pikepdf.Stream):
                parts += [str(v) for _, v in found.items() if isinstance(v, pikepdf.String)]
    return re.sub(r"\s+", " ", "\n".join(parts))


@pytest.mark.parametrize("word", PERSONAL)
def test_nothing_about_the_pilot_stands_anywhere(copy: bytes, job: Path, word: str) -> None:
    whole = render(prepare(job, REGISTRY), REGISTRY, World.real()).data

    assert word.casefold() in everything(whole).casefold()
    assert word.casefold() not in everything(copy).casefold()


def test_the_service_is_the_same_and_the_copy_says_what_it_is(copy: bytes) -> None:
    text = " ".join(" ".join(pdf_pages(copy)).split())

    assert "QH-2026-041" in text
    assert "[pilot] finds the wing slow." in text
    assert "everything about the pilot was left out" in text


def test_numbers_are_those_of_the_whole_report(job: Path) -> None:
    assert prepare(job, REGISTRY, redact=True).findings == prepare(job, REGISTRY).findings


def test_the_copy_proves_itself(copy: bytes) -> None:
    assert check(copy, REGISTRY, World.real()).standing is Standing.IDENTICAL


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("shop.yaml", "Old Pump House", "c/o robin  hale"),
        ("demo.yaml", "technician: {name: Ines Corvin", "technician: {name: Robin Hale"),
    ],
)
def test_a_copy_that_would_still_name_the_pilot_is_refused(
    job: Path, file: str, old: str, new: str
) -> None:
    path = job.parent / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")

    with pytest.raises(InputError) as caught:
        prepare(job, REGISTRY, redact=True)

    (fault,) = caught.value.faults
    assert fault.code == "pilot-still-named"
    assert fault.mark is not None
    assert Path(fault.mark.file).stem == Path(file).stem


def test_a_job_without_a_pilot_can_be_shared_too(job: Path) -> None:
    text = job.read_text(encoding="utf-8")
    start = text.index("pilot:\n")
    job.write_text(text[:start] + text[text.index("wing:\n", start) :], encoding="utf-8")

    assert prepare(job, REGISTRY, redact=True).reading.job.redacted
