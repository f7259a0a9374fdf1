"""A report claims no signature that nobody entered: not on paper, nor on the page, nor as data."""

import re
import shutil
from pathlib import Path

import pytest

from trimscribe.compose.document import compose
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry
from trimscribe.world import World

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def unsigned(tmp_path: Path) -> Path:
    """The demo with a technician and a decision, which nobody signed nor took by name."""
    for name in ("medlar-m.yaml", "quarry-hill.svg", "demo-before.csv"):
        shutil.copy(EXAMPLES / name, tmp_path)
    for name in ("demo.yaml", "shop.yaml"):
        text = (EXAMPLES / name).read_text(encoding="utf-8")
        text = re.sub(r"^(  signed_by|signatory|signature): .*\n", "", text, flags=re.MULTILINE)
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path / "demo.yaml"


def test_who_did_the_work_has_neither_signed_nor_decided(
    unsigned: Path, registry: Registry, world: World
) -> None:
    content = prepare(unsigned, registry)
    document = compose(content, registry, world)
    page, record = (
        registry.get("outputs", name).make(document).data.decode() for name in ("html", "json")
    )
    letter = document.files["letter.typ"].decode()

    assert content.statements.sentences[0].text.startswith("The workshop released this wing")
    assert 'label-over("Work done by", "Ines Corvin, line technician")' in letter
    assert "<dt>Work done by</dt><dd>Ines Corvin, line technician</dd>" in page
    for made in (letter, document.files["record.typ"].decode(), page, record):
        assert "signed by" not in made.lower()
        assert "Ines Corvin released" not in made


def test_who_signs_is_not_named_twice(registry: Registry, world: World) -> None:
    letter = compose(prepare(EXAMPLES / "demo.yaml", registry), registry, world).files["letter.typ"]

    assert b"Checked and signed by" in letter
    assert b"Work done by" not in letter


def test_a_release_against_what_comes_first_has_no_mark_of_a_pass(
    unsigned: Path, registry: Registry, world: World
) -> None:
    def mark() -> bytes:
        letter = compose(prepare(unsigned, registry), registry, world).files["letter.typ"]
        (shape,) = re.findall(rb'#decision\(\("shape": "(\w+)"', letter)
        return bytes(shape)

    text = unsigned.read_text(encoding="utf-8")
    assert mark() == b"dot"

    at = text.rindex("  tension_n: 50\n")
    other = text[:at] + "  tension_n: 40\n" + text[at + len("  tension_n: 50\n") :]
    reason = "  flight: released\n  reason: the owner measures it\n"
    unsigned.write_text(other.replace("  flight: released\n", reason), encoding="utf-8")
    assert mark() == b"half"


def test_what_shows_no_signature_says_nowhere_that_it_is_signed(
    registry: Registry, world: World
) -> None:
    document = compose(prepare(EXAMPLES / "outside.yaml", registry), registry, world)
    page = registry.get("outputs", "html").make(document).data.decode()
    letter, record = (document.files[f"{name}.typ"].decode() for name in ("letter", "record"))

    assert 'label-over("Checked by", "Cuthbert Renshaw, workshop lead")' in letter
    assert '("Checked by", "Cuthbert Renshaw, workshop lead", )' in record
    for made in (letter, record, page):
        assert "signed by" not in made.lower()
