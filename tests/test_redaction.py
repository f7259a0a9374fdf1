"""A copy for sharing: the same service, and nothing of its pilot anywhere in the file."""

import io
import re
import unicodedata
import zipfile
from pathlib import Path

import pikepdf
import pytest

from trimscribe.errors import Fault, InputError, Severity
from trimscribe.model.proof import Standing
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.typeset.text import pdf_pages
from trimscribe.verification.check import check
from trimscribe.world import World

EXAMPLES = Path(__file__).parents[1] / "examples"
REGISTRY = Registry.installed()
CONTACT = "name: Robin Hale\n  contact: +44 1632  960 001"
PERSONAL = ("Robin", "Hale", "hangs back on launch", "92 kg")


def laid_out(folder: Path) -> Path:
    """The demo with the pilot's name in free texts as well."""
    for path in EXAMPLES.iterdir():
        if path.is_file():
            (folder / path.name).write_bytes(path.read_bytes())
    text = (EXAMPLES / "demo.yaml").read_text(encoding="utf-8")
    text = text.replace("The pilot finds the wing slow.", "Robin Hale finds the wing slow.")
    text = text.replace("The wing is clean", "Dear ROBIN, the wing of hale is clean")
    (folder / "demo.yaml").write_text(text, encoding="utf-8")
    return folder / "demo.yaml"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return laid_out(tmp_path)


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    job = laid_out(tmp_path_factory.mktemp("shared"))
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


@pytest.mark.slow
def test_nothing_about_the_pilot_stands_anywhere(copy: bytes, job: Path) -> None:
    whole = render(prepare(job, REGISTRY), REGISTRY, World.real()).data
    in_whole, in_copy = everything(whole).casefold(), everything(copy).casefold()

    assert [word for word in PERSONAL if word.casefold() not in in_whole] == []
    assert [word for word in PERSONAL if word.casefold() in in_copy] == []


@pytest.mark.typesets
def test_the_service_is_the_same_and_the_copy_says_what_it_is(copy: bytes) -> None:
    text = " ".join(" ".join(pdf_pages(copy)).split())

    assert "QH-2026-041" in text
    assert "[pilot] finds the wing slow." in text
    assert "the entries about the pilot were left out" in text
    assert "everything" not in text[: text.index("the entries about the pilot")][-200:]


def test_numbers_are_those_of_the_whole_report(job: Path) -> None:
    assert prepare(job, REGISTRY, redact=True).findings == prepare(job, REGISTRY).findings


@pytest.mark.typesets
def test_the_copy_proves_itself(copy: bytes) -> None:
    assert check(copy, REGISTRY, World.real()).standing is Standing.IDENTICAL


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("shop.yaml", "Old Pump House", "c/o robin  hale"),
        ("shop.yaml", "Old Pump House", "Hale, Robin"),
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

    assert refused(job) == {file}


@pytest.mark.typesets
def test_free_texts_of_every_kind_lose_the_name(job: Path) -> None:
    text = job.read_text(encoding="utf-8")
    said = (
        "  condition: as Robin left it\n  replaces: {report: QH-1, sha256: "
        + "3b" * 32
        + ", change: the hours of Hale, reason: Robin Hale wrote them wrong}\n  received:"
    )
    text = text.replace("  received:", said, 1) + "\nconfirmed: {before.left.B5: Robin saw it}\n"
    job.write_text(text, encoding="utf-8")

    inside = everything(render(prepare(job, REGISTRY, redact=True), REGISTRY, World.real()).data)

    assert "[pilot] saw it" in inside
    assert not re.search("robin|hale", inside, re.IGNORECASE)


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("Łucja Ångström", "Lucja Angstrom"),
        ("Lucja Angstrom", "ŁUCJA Ångström"),
        ("Łucja Ångström", unicodedata.normalize("NFD", "Łucja Ångström")),
        ("Søren Voß", "Soren Voss"),
    ],
)
def test_a_name_is_found_however_its_letters_are_written(
    job: Path, name: str, written: str
) -> None:
    text = job.read_text(encoding="utf-8").replace("name: Robin Hale", f"name: {name}")
    said = f"Grüße {written}, {written.split()[0]}, ähnlich. The wing is clean"
    text = text.replace("Dear ROBIN, the wing of hale is clean", said)
    text = text.replace("Robin Hale", "A pilot")
    job.write_text(text, encoding="utf-8")

    notes = prepare(job, REGISTRY, redact=True).reading.job.notes

    assert "Grüße [pilot], [pilot], ähnlich." in " ".join(notes.split())
    shop = job.parent / "shop.yaml"
    address = shop.read_text(encoding="utf-8").replace("Old Pump House", f"c/o {written}")
    shop.write_text(address, encoding="utf-8")
    assert refused(job) == {"shop.yaml"}


@pytest.mark.typesets
def test_a_job_that_is_called_after_the_pilot_is_called_otherwise_in_the_copy(job: Path) -> None:
    named = job.rename(job.with_name("robin-hale.yaml"))

    inside = everything(render(prepare(named, REGISTRY, redact=True), REGISTRY, World.real()).data)

    assert "redacted.json" in inside
    assert "robin" not in inside.casefold()


def test_a_file_that_is_called_after_the_pilot_is_refused(job: Path) -> None:
    (job.parent / "demo-before.csv").rename(job.parent / "Hale_Robin.csv")
    text = job.read_text(encoding="utf-8").replace("demo-before.csv", "Hale_Robin.csv")
    job.write_text(text, encoding="utf-8")

    assert refused(job) == {"demo.yaml", "Hale_Robin.csv"}


@pytest.mark.parametrize("cell", ["Robin Hale", "HALE, Robin", "+44 1632 960 001"])
def test_a_workbook_that_names_the_pilot_in_a_cell_is_refused(job: Path, cell: str) -> None:
    """The cells of a workbook are packed: a search of its bytes does not find them."""
    folder = job.parent / "exports"
    folder.mkdir()
    for path in (EXAMPLES / "exports").iterdir():
        (folder / path.name).write_bytes(path.read_bytes())
    export, text = folder / "job.yaml", (folder / "job.yaml").read_text(encoding="utf-8")
    export.write_text(text.replace("name: Robin Hale", CONTACT), encoding="utf-8")
    assert prepare(export, REGISTRY, redact=True).reading.job.redacted
    say_in_a_cell(folder / "laser-bench.xlsx", cell)

    assert refused(export) == {"laser-bench.xlsx"}


def say_in_a_cell(workbook: Path, words: str) -> None:
    """Put words in the place of the workbook's heading."""
    with zipfile.ZipFile(workbook) as packed:
        parts = {part.filename: packed.read(part) for part in packed.infolist()}
    strings = parts["xl/sharedStrings.xml"]
    assert b"Laser bench, lengths in m" in strings
    parts["xl/sharedStrings.xml"] = strings.replace(b"Laser bench, lengths in m", words.encode())
    with zipfile.ZipFile(workbook, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in parts.items():
            packed.writestr(name, data)
    assert words.encode() not in workbook.read_bytes()


def refused(job: Path) -> set[str]:
    """The files in which the pilot is still."""
    with pytest.raises(InputError) as caught:
        prepare(job, REGISTRY, redact=True)

    assert {fault.code for fault in caught.value.faults} == {"pilot-still-named"}
    return {fault.mark.file for fault in caught.value.faults}


def test_a_job_without_a_pilot_can_be_shared_too(job: Path) -> None:
    text = job.read_text(encoding="utf-8")
    start = text.index("pilot:\n")
    job.write_text(text[:start] + text[text.index("wing:\n", start) :], encoding="utf-8")

    assert prepare(job, REGISTRY, redact=True).reading.job.redacted


def test_pictures_in_which_nobody_looked_for_the_name_are_listed(job: Path) -> None:
    """Letters may be dots or outlines there, which only a person reads."""
    faults = listed(job, redact=True)

    assert [fault.mark.file for fault in faults if fault.mark] == [
        *("quarry-hill.svg", "ines-corvin.svg")
    ]
    assert {fault.severity for fault in faults} == {Severity.WARNING}
    assert "“quarry-hill.svg” was not searched" in faults[0].message
    assert listed(job, redact=False) == []

    shop = job.parent / "shop.yaml"
    lines = shop.read_text(encoding="utf-8").splitlines(keepends=True)
    bare = [line for line in lines if not line.startswith(("logo:", "signature:"))]
    assert len(bare) == len(lines) - 2
    shop.write_text("".join(bare), encoding="utf-8")
    assert listed(job, redact=True) == []


def listed(job: Path, *, redact: bool) -> list[Fault]:
    """What is said of pictures when the job is read."""
    warnings = prepare(job, REGISTRY, redact=redact).warnings
    return [fault for fault in warnings if fault.code == "picture-not-searched"]


RULE = """
rules:
  dear:
    place: found
    when: "true"
    text: Dear {{ "Ha" ~ "le" }}, thank you.
"""


def test_a_rule_that_puts_the_name_together_is_refused(job: Path) -> None:
    shop = job.parent / "shop.yaml"
    text = shop.read_text(encoding="utf-8")
    shop.write_text(text + RULE, encoding="utf-8")

    with pytest.raises(InputError) as refused:
        prepare(job, REGISTRY, redact=True)
    (fault,) = refused.value.faults
    prepare(job, REGISTRY)  # nobody minds in the whole report

    assert fault.code == "pilot-still-named"
    assert "Dear Hale, thank you." in fault.message
    assert fault.mark is not None
    assert (fault.mark.file, fault.mark.line) == ("shop.yaml", text.count("\n") + 3)


@pytest.mark.parametrize(
    ("named", "reported"), [("folder", "theme is called"), ("section", "section is called")]
)
def test_a_theme_that_is_called_by_the_pilot_is_refused(
    job: Path, named: str, reported: str
) -> None:
    theme = job.parent / ("hale" if named == "folder" else "mine")
    (theme / "templates").mkdir(parents=True)
    (theme / "templates" / "hale.typ.j2").write_text("", encoding="utf-8")
    own = ", hale" if named == "section" else ""
    text = f"extends: base\nsections: [letter, cautions, record{own}]\n"
    (theme / "theme.yaml").write_text(
        f"trimscribe: 1\nname: {theme.name}\n{text}", encoding="utf-8"
    )
    content = prepare(job, REGISTRY, redact=True)

    with pytest.raises(InputError) as refused:
        render(content, REGISTRY, World.real(), theme=str(theme))

    assert {fault.code for fault in refused.value.faults} == {"pilot-still-named"}
    assert any(reported in fault.message for fault in refused.value.faults)


@pytest.mark.parametrize("name", ["Inter Kit", "Record Style"])
@pytest.mark.typesets
def test_a_pilot_who_is_called_as_a_part_of_ours_is_no_leak(job: Path, name: str) -> None:
    text = job.read_text(encoding="utf-8").replace("Robin Hale", name)
    job.write_text(text.replace("ROBIN", "pilot").replace("hale", "hers"), encoding="utf-8")
    content = prepare(job, REGISTRY, redact=True)

    assert render(content, REGISTRY, World.real()).pages > 0
