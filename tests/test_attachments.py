"""What travels inside the finished PDF, read by two programs that are not ours."""

import hashlib
import io
import json
import shutil
import subprocess
from pathlib import Path

import pikepdf
import pytest

from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

pytestmark = pytest.mark.typesets

ROOT = Path(__file__).parents[1]
INPUTS = ["demo.yaml", "shop.yaml", "medlar-m.yaml", "demo-before.csv", "quarry-hill.svg"]
KINDS = {  # media type and relationship, ISO 32000-2, 7.11.4 and table 43
    "demo.yaml": ("application/yaml", "/Source"),
    "shop.yaml": ("application/yaml", "/Source"),
    "medlar-m.yaml": ("application/yaml", "/Source"),
    "demo-before.csv": ("text/csv", "/Source"),
    "quarry-hill.svg": ("image/svg+xml", "/Source"),
    "ines-corvin.svg": ("image/svg+xml", "/Source"),
    "findings.json": ("application/json", "/Data"),
    "theme.json": ("application/json", "/Supplement"),
    "manifest.json": ("application/json", "/Supplement"),
}


@pytest.fixture(scope="module")
def report() -> bytes:
    registry = Registry.installed()
    return render(prepare(ROOT / "examples" / "demo.yaml", registry), registry, World.real()).data


@pytest.fixture(scope="module")
def by_pikepdf(report: bytes) -> dict[str, bytes]:
    with pikepdf.open(io.BytesIO(report)) as pdf:
        return {n: bytes(a.get_file().read_bytes()) for n, a in pdf.attachments.items()}


def test_every_file_has_its_media_type_relationship_and_description(report: bytes) -> None:
    with pikepdf.open(io.BytesIO(report)) as pdf:
        found = {
            str(spec.UF): (str(spec.EF.F.Subtype).lstrip("/"), str(spec.AFRelationship))
            for spec in pdf.Root.AF
        }
        described = [str(spec.Desc) for spec in pdf.Root.AF]

    assert found == KINDS
    assert all(len(words) > 20 for words in described)


def test_the_inputs_are_attached_as_they_were_read(by_pikepdf: dict[str, bytes]) -> None:
    for name in INPUTS:
        assert by_pikepdf[name] == (ROOT / "examples" / name).read_bytes()


def test_the_manifest_hashes_every_other_file(by_pikepdf: dict[str, bytes]) -> None:
    manifest = json.loads(by_pikepdf["manifest.json"])

    assert {f["name"]: (f["sha256"], f["size"]) for f in manifest["files"]} == {
        name: (hashlib.sha256(data).hexdigest(), len(data))
        for name, data in by_pikepdf.items()
        if name != "manifest.json"
    }


def test_the_manifest_names_software_plugins_and_fonts(by_pikepdf: dict[str, bytes]) -> None:
    manifest = json.loads(by_pikepdf["manifest.json"])
    fonts = ROOT / "themes" / "base" / "fonts"

    assert {"trimscribe", "typst", "numpy", "Python"} <= manifest["versions"].keys()
    (package,) = [one for one in manifest["packages"] if one["name"] == "trimscribe"]
    assert package["version"] == manifest["versions"]["trimscribe"]
    kinds = {"importers/csv", "sections/record", "figures/plan_view", "themes/base", "languages/en"}
    assert kinds <= set(package["plugins"])
    assert manifest["fonts"] == {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in fonts.glob("*.otf")
    }


def test_findings_carry_every_sentence_with_its_rule(by_pikepdf: dict[str, bytes]) -> None:
    found = json.loads(by_pikepdf["findings.json"])

    assert found["findings"]["before"]["pitch"]["wing"]["value"] > 0
    assert all(said["rule"] and said["text"] for said in found["statements"])
    assert found["cautions"]


def test_the_look_is_attached_with_what_the_workshop_set(by_pikepdf: dict[str, bytes]) -> None:
    theme = json.loads(by_pikepdf["theme.json"])

    assert (theme["name"], theme["tokens"]["accent"]) == ("base", "#24566b")
    assert theme["workshop"]["name"] == "Quarry Hill Canopy Works"
    assert "base/letter.typ.j2" in theme["templates"]


@pytest.mark.skipif(not shutil.which("pdfdetach"), reason="pdfdetach (poppler-utils) is not here")
def test_poppler_unpacks_the_same_files(
    report: bytes, by_pikepdf: dict[str, bytes], tmp_path: Path
) -> None:
    (tmp_path / "report.pdf").write_bytes(report)
    (tmp_path / "out").mkdir()
    subprocess.run(
        ["pdfdetach", "-saveall", "-o", tmp_path / "out", tmp_path / "report.pdf"],
        check=True,
        capture_output=True,
    )

    assert {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir()} == by_pikepdf
