"""The workshop: which shop file holds, and what the pictures and fonts in it may be."""

from pathlib import Path

import pytest

from trimscribe.errors import InputError
from trimscribe.model.job import Reading
from trimscribe.model.workshop import Person
from trimscribe.read import read
from trimscribe.registry import Registry

J, S = "job.yaml", "shop.yaml"
LOGO = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0h9v9z"/></svg>'


def shop(name: str, more: str = "") -> str:
    return f"trimscribe: 1\nname: {name}\n{more}"


@pytest.fixture
def alone(bench):
    """A job in a folder of its own that does not say its workshop."""
    bench.spoil(J, "workshop: shop.yaml\n", "")
    bench.texts.pop(S)
    (bench.folder / "2026").mkdir()
    bench.texts = {f"2026/{name}": text for name, text in bench.texts.items()}
    return bench


def test_the_nearest_shop_file_holds_beside_the_job_or_above_it(alone) -> None:
    alone.texts[S] = shop("Above")
    reading = alone.read("2026/job.yaml")

    assert reading.job.workshop.name == "Above"
    assert reading.marks["workshop", "name"].file == "2026/../shop.yaml"
    assert [f.name for f in reading.files][:2] == ["job.yaml", "../shop.yaml"]

    alone.texts["2026/shop.yaml"] = shop("Beside")
    assert alone.read("2026/job.yaml").job.workshop.name == "Beside"


def test_without_any_shop_file_the_missing_workshop_is_reported(alone) -> None:
    with pytest.raises(InputError) as raised:
        alone.read("2026/job.yaml")

    (fault,) = [f for f in raised.value.faults if f.code == "missing-key"]
    assert "workshop" in fault.message
    assert "shop.yaml" in fault.hint


def chosen(bench, path: str) -> Reading:
    bench.read()  # writes the files
    return read(Path(J), Registry.installed(), path)


def test_a_shop_file_chosen_by_the_caller_goes_before_the_job_s(bench) -> None:
    (bench.folder / "other").mkdir()
    (bench.folder / "other" / "s.yaml").write_text(shop("Chosen"), encoding="utf-8")

    assert chosen(bench, "other/s.yaml").job.workshop.name == "Chosen"
    with pytest.raises(InputError) as raised:
        chosen(bench, "gone.yaml")
    assert "file-not-found" in {f.code for f in raised.value.faults}


def test_what_the_job_says_of_its_own_report_goes_before_the_shop_file(bench) -> None:
    bench.texts[S] += "paper: a4\nspeed_unit: kn\nlanguage: en\n"
    bench.spoil(J, "workshop: shop.yaml", "workshop: shop.yaml\nreport: {paper: us-letter}")
    found = bench.read().job.workshop

    assert (found.paper, found.writing.speed_unit) == ("us-letter", "kn")


def test_pictures_are_named_from_the_shop_file_s_folder(alone) -> None:
    (alone.folder / "brand").mkdir()
    (alone.folder / "brand" / "logo.svg").write_text(LOGO)
    alone.texts[S] = shop("Above", "logo: brand/logo.svg\n")
    logo = alone.read("2026/job.yaml").job.workshop.logo

    assert logo is not None
    assert (logo.name, logo.data) == ("brand/logo.svg", LOGO.encode())


@pytest.mark.parametrize(
    ("name", "content", "code"),
    [
        ("gone.svg", "", "file-not-found"),
        ("../logo.svg", LOGO, "file-outside"),
        ("/etc/logo.svg", "", "file-not-relative"),
        ("logo.jpg", "x", "file-wrong-type"),
        ("logo.svg", LOGO.replace("<path", "<script/><path"), "picture-not-closed"),
        ("logo.png", "no picture", "picture-broken"),
    ],
)
def test_a_bad_picture_is_reported_where_it_is_named(
    bench, underlined, name: str, content: str, code: str
) -> None:
    if content:
        (bench.folder / name).write_text(content)
    bench.texts[S] += f"logo: {name}\n"

    (fault,) = [f for f in bench.faults() if f.severity == "error"]
    assert (fault.code, underlined(fault.mark)) == (code, name)


def test_a_theme_s_folder_is_named_from_the_file_that_names_it(alone) -> None:
    (alone.folder / "coast").mkdir()
    alone.texts[S] = shop("Above", "theme: ./coast\n")
    assert alone.read("2026/job.yaml").job.workshop.theme == "2026/../coast"

    alone.texts[S] = shop("Above", "theme: linden\n")
    assert alone.read("2026/job.yaml").job.workshop.theme == "linden"


def test_nobody_signs_but_by_the_job_and_the_shop_only_adds_what_qualifies_them(bench) -> None:
    bench.texts[S] += "signatory: {name: Ines Corvin, qualification: line technician}\n"
    assert bench.read().job.service.signed_by is None

    bench.spoil(J, "done: 2026-03-06}", "done: 2026-03-06, signed_by: {name: Robin Hale}}")
    assert bench.read().job.service.signed_by == Person("Robin Hale")

    bench.spoil(J, "Robin Hale}}", "Ines Corvin}}")
    assert bench.read().job.service.signed_by == Person("Ines Corvin", "line technician")


def test_fonts_are_a_folder_below_the_shop_file_s(bench) -> None:
    bench.texts[S] += "fonts: fonts\n"
    assert "file-not-found" in [f.code for f in bench.faults()]

    (bench.folder / "fonts").mkdir()
    (bench.folder / "fonts" / "a.ttf").write_bytes(b"font")
    assert bench.read().job.workshop.fonts == (bench.folder / "fonts").resolve()


@pytest.mark.parametrize(
    "written", ["{qualification: line technician}", "{}", "[Ines]", "Ines", "{name: ~}"]
)
def test_a_signatory_without_a_name_is_a_fault_like_any_other(bench, written: str) -> None:
    bench.texts[S] += f"signatory: {written}\n"

    (fault,) = [f for f in bench.faults() if f.severity == "error"]
    assert fault.code in {"missing-key", "missing-value", "not-a-mapping"}
