"""What a report costs, as ratios within this one run: trust these, not milliseconds.

    python tests/benchmarks/report_cost.py [--rounds N]

Every report is of another job, the demo with its lengths shifted, because Typst remembers what it
has set. The bare compile sets the same kind of document, composed beforehand.
"""

import argparse
import gc
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from trimscribe.analyse import analyse
from trimscribe.compose import compose
from trimscribe.model.content import Content
from trimscribe.narrate import narrate
from trimscribe.pipeline import prepare
from trimscribe.read import read
from trimscribe.registry import Registry
from trimscribe.typeset.compiler import compile_pdf
from trimscribe.world import World

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
STAGES = ("read", "analyse", "narrate", "compose", "typeset")


class Clock:
    """Seconds spent, by name, one entry per round."""

    def __init__(self) -> None:
        self.spent: dict[str, list[float]] = {}

    @contextmanager
    def measure(self, name: str) -> Iterator[None]:
        start = time.perf_counter()
        yield
        self.spent.setdefault(name, []).append(time.perf_counter() - start)

    def median(self, name: str) -> float:
        return statistics.median(self.spent[name])


def variant(number: int, folder: Path) -> Path:
    """The demo job once more, with every length `number` tenths of a mm longer."""
    place = folder / str(number)
    shutil.copytree(EXAMPLES, place)
    job, lengths = place / "demo.yaml", place / "demo-before.csv"
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("QH-2026-041", f"QH-2026-{number:03}"), encoding="utf-8")
    longer = re.sub(
        r"\d+$",
        lambda length: f"{int(length[0]) + number / 10:.1f}",
        lengths.read_text(encoding="utf-8"),
        flags=re.MULTILINE,
    )
    lengths.write_text(longer, encoding="utf-8")
    return job


def whole(path: Path, registry: Registry, world: World, clock: Clock) -> None:
    """Make one report, each stage measured."""
    with clock.measure("report"):
        with clock.measure("read"):
            reading = read(path, registry)
        with clock.measure("analyse"):
            findings = analyse(reading.job, registry)
        with clock.measure("narrate"):
            statements = narrate(findings, reading.job, registry)
        with clock.measure("compose"):
            document = compose(Content(reading, findings, statements), registry, world)
        with clock.measure("typeset"):
            registry.get("outputs", "pdf").make(document)


def bare(path: Path, registry: Registry, world: World, clock: Clock) -> None:
    """Compile a document that was composed beforehand, and nothing else."""
    document = compose(prepare(path, registry), registry, world)
    files = {**document.files, "main.typ": document.main.encode()}
    files |= {f"attached/{item.name}": item.data for item in document.attachments}
    with clock.measure("bare"):
        compile_pdf(files, document.fonts, 0)


def process(*command: str) -> float:
    """Seconds that a fresh process takes."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *command], check=True, capture_output=True)
    return time.perf_counter() - start


def peak_mib() -> float | None:
    """The most memory that this process has used, where the system tells."""
    try:
        import resource
    except ImportError:  # Windows
        return None
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 2**20 if sys.platform == "darwin" else peak / 2**10


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--rounds", type=int, default=20, help="reports to measure (20)")
    rounds = parser.parse_args().rounds
    registry, world, clock = Registry.installed(), World.real(), Clock()
    with tempfile.TemporaryDirectory() as folder:
        jobs = [variant(number, Path(folder)) for number in range(2 * rounds + 2)]
        whole(jobs.pop(), registry, world, Clock())  # warms fonts, templates and imports
        bare(jobs.pop(), registry, world, Clock())
        early = peak_mib()
        while jobs:  # by turns, so that a busy moment hits both
            gc.collect()
            whole(jobs.pop(), registry, world, clock)
            bare(jobs.pop(), registry, world, clock)
        late = peak_mib()
    unit = clock.median("bare")
    print(f"A bare Typst compile of the demo's document takes {unit * 1000:.0f} ms here = 1.00")
    for name in (*STAGES, "report"):
        print(f"  {name:9}{clock.median(name) / unit:5.2f}")

    passes = statistics.median(process("-c", "pass") for _ in range(5))
    print(f"A fresh Python that does nothing takes {passes * 1000:.0f} ms here = 1.0")
    cli = ("-m", "trimscribe.cli")
    for name, command in {
        "--help": ("--help",),
        "check": ("check", str(EXAMPLES / "demo.yaml")),
    }.items():
        taken = statistics.median(process(*cli, *command) for _ in range(5))
        print(f"  {name:9}{taken / passes:5.1f}")
    if early and late:
        print(f"Memory peaks at {late:.0f} MiB; after one report it was {early:.0f} MiB")


if __name__ == "__main__":
    main()
