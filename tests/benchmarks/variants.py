"""The demo job as often as one likes, each time with other measurements."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def variants(folder: Path, count: int) -> Iterator[Path]:
    """Write `count` jobs below `folder`, which share the line set and the workshop.

    Each has its own number, and lengths that differ from those of every other by tenths of a mm,
    so that nothing which was made for one can be used again for another.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for shared in ("medlar-m.yaml", "shop.yaml", *(path.name for path in EXAMPLES.glob("*.svg"))):
        shutil.copy(EXAMPLES / shared, folder)
    text = (EXAMPLES / "demo.yaml").read_text(encoding="utf-8")
    lengths = (EXAMPLES / "demo-before.csv").read_text(encoding="utf-8")
    for number in range(count):
        job, table = folder / f"{number:05}.yaml", f"{number:05}.csv"
        job.write_text(
            text.replace("QH-2026-041", f"QH-2026-{number:05}").replace("demo-before.csv", table),
            encoding="utf-8",
        )
        (folder / table).write_text(_shifted(lengths, number), encoding="utf-8")
        yield job


def _shifted(lengths: str, number: int) -> str:
    """Every length longer by a pattern of its own, at most 3.1 mm."""
    seen = iter(range(10_000))

    def longer(length: re.Match[str]) -> str:
        tenths = (number * 7 + next(seen) * (number % 13 + 1)) % 32
        return f"{int(length[0]) + tenths / 10:.1f}"

    return re.sub(r"\d+$", longer, lengths, flags=re.MULTILINE)
