"""The items of a report by ISO/IEC 17025:2017, 7.8.2.1, 7.8.6.2 and 7.8.8, and where each is.

Source: the clauses as seen in reproductions. Items that cannot apply say why.
"""

from pathlib import Path

import pytest

from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.typeset.text import pdf_pages
from trimscribe.world import World

EXAMPLES = Path(__file__).parents[2] / "examples"
MORE = """
confirmed: {before.left.B5: measured twice}
decision_rule: {guarded: 2}
"""
CHANGES = {
    "  received: 2026-10-12\n": (
        "  received: 2026-10-12\n  issued: 2026-10-17\n  place: Hall 2, Netherby airfield\n"
        "  condition: complete and dry\n"
        "  replaces: {report: QH-2026-040, change: serial number corrected,\n"
        f"    reason: misread, sha256: {'5e' * 32}}}\n"
    ),
    "  name: Robin Hale\n": "  name: Robin Hale\n  contact: robin@hale.example\n",
    "after:\n  date: 2026-10-16\n": (
        "after:\n  date: 2026-10-16\n  deviations: tips measured from the floor\n"
    ),
    "    volume_l: 0.40\n": "    volume_l: 0.40\n    pressure_pa: 2000\n"
    "    done_by: Netherby Cloth Lab\n",
}

# Item: what of the demo's page must be found for it; None with the reason why it cannot apply.
ITEMS: dict[str, tuple[str, ...] | str] = {
    "a title": ("Record", "Service QH-2026-041"),
    "b laboratory and address": ("Quarry Hill Canopy Works, Old Pump House, Quarry Hill",),
    "c where it was done": ("Done at", "Hall 2, Netherby airfield"),
    "d unique identification, every page, clear end": (
        "QH-2026-041", "page 1 of", "End of the report",
    ),
    "e customer": ("Robin Hale, robin@hale.example",),
    "f method": ("laser distance meter, line by line, from the maillon",
                 "timed suction at the top surface", "0.4 L, 50 cm², 2000 Pa"),
    "g item and its condition": ("MD-00731", "Medlar M", "complete and dry"),
    "h date received": ("Received 12 October 2026",),
    "i dates done": ("13 October 2026", "16 October 2026"),
    "j date issued": ("Date of the report 17 October 2026",),
    "k sampling": "Every line of the specification is measured or listed as not measured.",
    "l results relate only to the item": ("The results hold for this wing",),
    "m results with units": ("Lengths in mm", "96 s", "held 900 N"),
    "n additions to or deviations from the method": ("tips measured from the floor",),
    "o who authorises": ("Checked and signed by Ines Corvin",),
    "p results from others": ("Results from others Porosity: Netherby Cloth Lab",),
    "7.8.3.1c measurement uncertainty": (
        "Uncertainty of a deviation 2.3 to 2.7 mm (k = 1) from reading",
        "Uncertainty of brakes a brake line 2.5 to 2.7 mm, the mean of a brake 1.9 mm (k = 1); "
        "each with 1.50 mm that one measuring errs by as a whole",
    ),
    "7.8.6.2 results covered, specification met, decision rule": (
        "Verdicts cover each line, brake, measured free travel, riser length, cloth reading",
        "Pomeroy Wings, Medlar line lengths, revision 3",
        "Decision rule: guarded acceptance", "up to about 2.3 %",
    ),
    "7.8.8 amended report": ("Replaces report QH-2026-040: serial number corrected",),
}  # fmt: skip


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The text of the demo's report with everything filled in."""
    folder = tmp_path_factory.mktemp("job")
    for file in EXAMPLES.iterdir():
        if file.is_file():
            (folder / file.name).write_bytes(file.read_bytes())
    job = folder / "demo.yaml"
    text = job.read_text(encoding="utf-8")
    for old, new in CHANGES.items():
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    job.write_text(text + MORE, encoding="utf-8")
    registry = Registry.installed()
    content = prepare(job, registry)
    pages = pdf_pages(render(content, registry, World.real()).data)
    return " ".join(" ".join(pages).split())


@pytest.mark.parametrize("item", ITEMS)
@pytest.mark.typesets
def test_each_item_stands_in_the_report(item: str, printed: str) -> None:
    wanted = ITEMS[item]
    if isinstance(wanted, str):
        assert wanted.endswith(".")  # why it cannot apply
        return
    for text in wanted:
        assert text in printed


def test_each_item_of_the_clause_is_listed() -> None:
    assert {item[0] for item in ITEMS if item[1] == " "} == set("abcdefghijklmnop")


@pytest.mark.typesets
def test_what_was_not_stated_is_said_to_be_so() -> None:
    registry = Registry.installed()
    content = prepare(EXAMPLES / "two-row.yaml", registry)
    text = " ".join(" ".join(pdf_pages(render(content, registry, World.real()).data)).split())

    assert "Condition when it came in none stated" in text
    assert "Changes to the method none stated" in text
    assert "Done at the workshop" in text
