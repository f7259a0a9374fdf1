"""A correction is a report of its own that names, hashes and explains the one it replaces."""

import re
from pathlib import Path

import pytest

from trimscribe.model.statements import Weight
from trimscribe.pipeline import prepare, render
from trimscribe.readback.contents import read_back
from trimscribe.registry import Registry
from trimscribe.typeset.text import pdf_pages
from trimscribe.world import World

EXAMPLES = Path(__file__).parents[1] / "examples"
REGISTRY = Registry.installed()
SHA256 = "3b" * 32


@pytest.fixture
def correction(tmp_path: Path) -> Path:
    for path in EXAMPLES.iterdir():
        if path.is_file():
            (tmp_path / path.name).write_bytes(path.read_bytes())
    text = (EXAMPLES / "demo.yaml").read_text(encoding="utf-8")
    replaces = (
        f"number: QH-2026-041-A\n  replaces:\n    report: QH-2026-041\n    sha256: {SHA256}\n"
        "    change: Flying hours are 138, not 183\n    reason: Two digits were swapped."
    )
    job = tmp_path / "demo.yaml"
    job.write_text(text.replace("number: QH-2026-041", replaces, 1), encoding="utf-8")
    return job


@pytest.mark.typesets
def test_page_one_or_two_says_what_is_replaced_what_changed_and_why(correction: Path) -> None:
    """ISO/IEC 17025:2017, 7.8.8.1 to 7.8.8.3, as seen in a reproduction of the clauses."""
    report = render(prepare(correction, REGISTRY), REGISTRY, World.real())
    pages = [" ".join(page.split()) for page in pdf_pages(report.data)]

    first = " ".join(pages[:2])
    assert "This report replaces an earlier one" in first
    assert "Report QH-2026-041 is no longer valid." in first
    assert "What changed: Flying hours are 138, not 183." in first
    assert "Why: Two digits were swapped." in first
    assert re.sub(r"\s", "", "".join(pages)).count(SHA256) >= 1


def test_it_is_a_caution_so_that_no_theme_can_leave_it_out(correction: Path) -> None:
    caution = prepare(correction, REGISTRY).statements.cautions[0]

    assert (caution.topic, caution.weight) == ("replaces", Weight.WARNING)


@pytest.mark.typesets
def test_the_manifest_carries_the_chain(correction: Path) -> None:
    report = render(prepare(correction, REGISTRY), REGISTRY, World.real())
    replaces = read_back(report.data).manifest.about.replaces

    assert replaces is not None
    assert (replaces.report, replaces.sha256) == ("QH-2026-041", SHA256)
