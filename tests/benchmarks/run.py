"""What reports cost, as ratios within this one run: trust these, not milliseconds.

    python tests/benchmarks/run.py [--rounds N] [--reports N] [--skip NAME ...] [--json FILE]

Prints `name: value` lines and writes them to FILE as JSON. Whatever is compared does its work by
turns, so that a busy moment of the machine hits all alike, and each time on another job, because
Typst remembers what it has set. Peers that are not installed are left out, and that is said.
"""

import argparse
import json
import os
import platform
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import cold
import many
import warm
from peers import missing

ROOT = Path(__file__).resolve().parents[2]
SOFTWARE = ("trimscribe", "typst", "matplotlib", "weasyprint", "reportlab", "svglib")
Values = Iterator[tuple[str, float | str]]


def main() -> None:
    """Measure, print and write."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--rounds", type=int, default=15, help="turns of each comparison (15)")
    parser.add_argument("--reports", type=int, default=1000, help="reports for memory (1000)")
    parser.add_argument("--skip", action="append", default=[], choices=["warm", "cold", "many"])
    parser.add_argument("--json", type=Path, default=ROOT / "build" / "benchmarks.json")
    wished = parser.parse_args()
    measured: dict[str, float | str] = {}
    with tempfile.TemporaryDirectory() as folder:
        parts: Mapping[str, Callable[[Path], Values]] = {
            "machine": machine,
            "warm": lambda path: warm.measure(path, wished.rounds),
            "cold": lambda path: cold.measure(path, max(wished.rounds // 3, 3)),
            "many": lambda path: many.measure(path, wished.reports),
        }
        for part in [name for name in parts if name not in wished.skip]:
            for name, value in parts[part](Path(folder, part)):
                measured[name] = round(value, 3) if isinstance(value, float) else value
                print(f"{name}: {measured[name]}", flush=True)
    wished.json.parent.mkdir(parents=True, exist_ok=True)
    wished.json.write_text(json.dumps(measured, indent=2) + "\n", encoding="utf-8")


def machine(_: Path) -> Values:
    """What the figures were measured on, and with which versions."""
    yield "python", platform.python_version()
    yield "system", f"{platform.system()} {platform.machine()}, {os.cpu_count()} cores"
    for name in SOFTWARE:
        try:
            yield name, version(name)
        except PackageNotFoundError:
            yield name, "not installed"
    for peer in missing():
        yield f"left_out_{peer}", "install trimscribe[bench] to compare with it"


if __name__ == "__main__":
    sys.exit(main())
