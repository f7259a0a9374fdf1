"""One invented wing over five years, as jobs made of the demo, and a shelf of their reports."""

import csv
import io
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from trimscribe.archive.look import earlier_services
from trimscribe.archive.shelf import Shelf
from trimscribe.model.document import Content
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
REGISTRY = Registry.installed()
# When it was, hours flown, how much shorter all lines came in than they had left, and the cloth.
YEARS = (
    ("2023-05-10", 20, 1.0, (190, 180, 185, 200)),
    ("2024-04-02", 55, 3.0, (160, 150, 155, 170)),
    ("2025-04-20", 96, 4.0, (130, 118, 122, 160)),
)


def write_job(
    folder: Path, done: str, hours: int, shorter_mm: float, cloth: tuple[int, ...]
) -> Path:
    """A service of the demo's wing; the lines leave as the demo's do, and come in shorter."""
    for name in ("shop.yaml", "medlar-m.yaml", "quarry-hill.svg", "ines-corvin.svg"):
        (folder / name).write_bytes((EXAMPLES / name).read_bytes())
    text = (EXAMPLES / "demo.yaml").read_text(encoding="utf-8")
    number = f"QH-{done[:4]}-007"
    for pattern, value in (
        (r"QH-2026-041", number),
        (r"received: \S+", f"received: {done}"),
        (r"done: \S+", f"done: {done}"),
        (r"date: 2028-10-16", f"date: {int(done[:4]) + 2}-04-01"),
        (r"date: 2026-10-1\d", f"date: {done}"),
        (r"hours: 138", f"hours: {hours}"),
        (r"demo-before\.csv", "before.csv"),
        # All its lines seem to have moved, and not only those that were worked on.
        (r"flight: released", "flight: not decided"),
    ):
        text = re.sub(pattern, value, text)
    for old, new in zip((96, 81, 88, 140), cloth, strict=True):
        text = text.replace(f"value: {old}}}", f"value: {new}}}")
    after = _after(text)
    rows = [[s, r, p, mm - shorter_mm * (1.5 if r == "C" else 1.0)] for (s, r, p), mm in after]
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([["side", "row", "point", "length_mm"], *rows])
    (folder / "before.csv").write_text(out.getvalue(), encoding="utf-8")
    job = folder / f"{number}.yaml"
    job.write_text(text, encoding="utf-8")
    return job


def _after(text: str) -> list[tuple[tuple[str, str, int], float]]:
    found, side = [], ""
    for line in text[text.index("\nafter:") :].splitlines():
        if place := re.fullmatch(r"  (left|right):", line):
            side = place[1]
        elif lengths := re.fullmatch(r"    ([A-Z]|stabilo|brake): \[(.*)\]", line):
            values = [float(mm) for mm in lengths[2].split(",")]
            found += [((side, lengths[1], n), mm) for n, mm in enumerate(values, 1)]
        elif line and not line.startswith((" ", "after", "#")):
            break
    return found


def made(job: Path, shelf: Shelf) -> Content:
    return prepare(
        job,
        REGISTRY,
        find_earlier_services=lambda known: earlier_services(shelf.kept("MD-00731"), known),
    )


def kept(job: Path, shelf: Shelf) -> None:
    """Make the report with what the shelf knows so far, and put it there."""
    shelf.put(render(made(job, shelf), REGISTRY, World.real()))


@pytest.fixture(scope="session")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """The three services before the demo."""
    folder = tmp_path_factory.mktemp("wing")
    shelf = Shelf(folder / "shelf")
    for year in YEARS:
        place = folder / year[0]
        place.mkdir()
        kept(write_job(place, *year), shelf)
    return shelf


@pytest.fixture
def service(tmp_path: Path) -> Callable[..., Path]:
    """A further service of the wing, as a job in a folder of its own."""
    return lambda *year: write_job(tmp_path, *year)


@pytest.fixture(scope="session")
def demo(shelf: Shelf) -> Content:
    """The demo, looked at with the three services before it."""
    return made(EXAMPLES / "demo.yaml", shelf)
