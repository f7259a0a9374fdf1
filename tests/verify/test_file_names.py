"""Files may be called in any script: the report is proven, kept and shared like any other."""

import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest

from trimscribe.archive.look import earlier_services
from trimscribe.archive.shelf import Shelf
from trimscribe.model.proof import Proof, Standing
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

SMALL = Path(__file__).parent / "small"
REGISTRY = Registry.installed()
NAMES = {
    "Latin": "Jörg Müller",
    "Greek": "Ωμέγα έκθεση",
    "Polish": "Łucja Żółć",
    "decomposed": unicodedata.normalize("NFD", "Jörg é"),
}

Prove = Callable[..., Proof]


@pytest.fixture(params=NAMES.values(), ids=NAMES)
def job(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """The demo; the job, its measurements and the workshop's logo are called so."""
    for file in ("medlar-m.yaml", "ines-corvin.svg"):
        (tmp_path / file).write_bytes((SMALL / file).read_bytes())
    name = request.param
    for file, called, old, new in (
        ("demo.yaml", f"{name}.yaml", "demo-before.csv", f"before {name}.csv"),
        ("shop.yaml", "shop.yaml", "quarry-hill.svg", f"Logo {name}.svg"),
        ("demo-before.csv", f"before {name}.csv", "", ""),
        ("quarry-hill.svg", f"Logo {name}.svg", "", ""),
    ):
        text = (SMALL / file).read_text(encoding="utf-8")
        assert old in text
        (tmp_path / called).write_text(text.replace(old, new), encoding="utf-8")
    return tmp_path / f"{name}.yaml"


def test_a_report_of_such_files_proves_itself_and_is_kept(job: Path, prove: Prove) -> None:
    shelf = Shelf(job.parent / "shelf")
    kept = shelf.put(render(prepare(job, REGISTRY), REGISTRY, World.real()))
    text = job.read_text(encoding="utf-8").replace("QH-2026-041", "QH-2027-001")
    job.write_text(text.replace("done: 2026-10-16", "done: 2027-10-16"), encoding="utf-8")

    later = prepare(
        job,
        REGISTRY,
        find_earlier_services=lambda wing: earlier_services(shelf.kept("MD-00731"), wing),
    )
    second = render(later, REGISTRY, World.real()).data

    assert prove(kept.path.read_bytes()).standing is Standing.IDENTICAL
    assert later.history
    assert [service.service for service in later.history.services] == ["QH-2026-041", "QH-2027-001"]
    assert prove(second).standing is Standing.IDENTICAL


def test_a_redacted_copy_of_such_files_proves_itself(job: Path, prove: Prove) -> None:
    copy = render(prepare(job, REGISTRY, redact=True), REGISTRY, World.real()).data

    assert prove(copy).standing is Standing.IDENTICAL
