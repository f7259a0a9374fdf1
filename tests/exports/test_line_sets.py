"""Line sets are searched by maker, model and size."""

import shutil
import unicodedata
from pathlib import Path

import pytest

from trimscribe.errors import InputError
from trimscribe.exports.files import load_file
from trimscribe.exports.line_sets import find_line_set, job_line_set

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of line sets in folders, with other files between them."""
    (tmp_path / "pomeroy" / "old").mkdir(parents=True)
    (tmp_path / ".hidden").mkdir()
    for name in ("medlar-m.yaml", "quince-s.yaml", "demo.yaml", "shop.yaml"):
        shutil.copy(EXAMPLES / name, tmp_path / "pomeroy" / name)
    shutil.copy(EXAMPLES / "medlar-m.yaml", tmp_path / ".hidden" / "medlar-m.yaml")
    text = (EXAMPLES / "medlar-m.yaml").read_text(encoding="utf-8")
    text = text.replace("size: M", "size: L")
    (tmp_path / "pomeroy" / "old" / "medlar-l.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "notes.yaml").write_text("rows: [", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    ("wanted", "called"),
    [
        ("medlar m", "Pomeroy Wings Medlar M"),
        ("M Medlar", "Pomeroy Wings Medlar M"),
        ("pomeroy medlar l", "Pomeroy Wings Medlar L"),
        ("quince", "Pomeroy Wings Quince S"),
        ("pomeroy/medlar-m.yaml", "Pomeroy Wings Medlar M"),
    ],
)
def test_words_or_a_path_find_one(folder: Path, wanted: str, called: str) -> None:
    assert find_line_set(wanted, Path()).called == called


@pytest.mark.parametrize("wanted", ["zephyr m", "ZÉPHYR", unicodedata.normalize("NFD", "zéphyr")])
def test_accents_and_capitals_do_not_count(folder: Path, wanted: str) -> None:
    text = (EXAMPLES / "medlar-m.yaml").read_text(encoding="utf-8")
    text = text.replace("model: Medlar", "model: Zéphyr")
    (folder / "zephyr.yaml").write_text(text, encoding="utf-8")

    assert find_line_set(wanted, Path()).called == "Pomeroy Wings Zéphyr M"


@pytest.mark.parametrize(
    ("wanted", "code", "reported"),
    [
        ("medlar", "several-line-sets", "pomeroy/old/medlar-l.yaml"),
        ("med", "line-set-not-found", "“med”"),
        ("medlar xl", "line-set-not-found", "“medlar xl”"),
        ("", "line-set-not-found", "“”"),
        ("none.yaml", "file-not-found", "none.yaml"),
        ("notes.yaml", "unclosed-bracket", ""),
        ("pomeroy/shop.yaml", "missing-key", ""),
    ],
)
def test_none_or_several_are_reported(folder: Path, wanted: str, code: str, reported: str) -> None:
    with pytest.raises(InputError) as caught:
        find_line_set(wanted, Path())

    fault = next(fault for fault in caught.value.faults if fault.code == code)
    assert reported in fault.message
    assert str(folder) not in fault.message + fault.hint


def test_a_job_leads_to_its_line_set(folder: Path) -> None:
    found = job_line_set(load_file(Path("pomeroy/demo.yaml")))

    assert found is not None
    assert found.called == "Pomeroy Wings Medlar M"
    assert found.lengths["brake_main"] == [2260]


@pytest.mark.parametrize(
    ("named", "code"),
    [
        ("/etc/hostname", "file-not-relative"),
        ("none.yaml", "file-not-found"),
        ("../notes.yaml", "file-outside"),
    ],
)
def test_a_job_names_its_line_set_through_the_one_door(folder: Path, named: str, code: str) -> None:
    Path("pomeroy/job.yaml").write_text(f"a: 1\nspecification: {named}\n", encoding="utf-8")

    with pytest.raises(InputError) as caught:
        job_line_set(load_file(Path("pomeroy/job.yaml")))
    assert [fault.code for fault in caught.value.faults] == [code]


def test_a_job_may_hold_its_line_set_or_have_none(folder: Path) -> None:
    lines = (folder / "pomeroy" / "medlar-m.yaml").read_text(encoding="utf-8").splitlines()
    inside = "\n".join(f"  {line}" for line in lines if not line.startswith("trimscribe"))
    Path("job.yaml").write_text(f"a: 1\nspecification:\n{inside}\n", encoding="utf-8")
    Path("bare.yaml").write_text("a: 1\n", encoding="utf-8")
    Path("bad.yaml").write_text("specification:\n  maker: X\n", encoding="utf-8")

    assert job_line_set(load_file(Path("job.yaml"))).lengths["A"][0] == 7342
    assert job_line_set(load_file(Path("bare.yaml"))) is None
    with pytest.raises(InputError) as caught:
        job_line_set(load_file(Path("bad.yaml")))
    assert {fault.code for fault in caught.value.faults} == {"missing-key"}
