"""A small wing, two rows of three points, and ways to spoil its files."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from trimscribe.errors import Fault, InputError, Mark
from trimscribe.exports.importers.csv import importer
from trimscribe.model.job import Reading
from trimscribe.read import read

JOB = """\
trimscribe: 1
workshop: shop.yaml
service: {number: QH-1, received: 2026-03-02, done: 2026-03-06}
pilot: {name: Robin Hale, all_up_weight_kg: 92}
wing: {maker: Pomeroy Wings, model: Sorrel, size: S, serial_number: SO-5, year: 2021,
  weight_min_kg: 70, weight_max_kg: 95}
specification: sorrel-s.yaml
before:
  date: 2026-03-03
  tension_n: 50
  file: before.csv
  risers: {left: {A: {trim_mm: 520}}, right: {A: {trim_mm: 521}}}
after:
  date: 2026-03-05
  tension_n: 50
  left: {A: [7001, 6902, 6803], B: [7101, 7002, 6903], brake: [7500, 7400], brake_main: 2200}
  right: {A: [7000, ~, 6800], B: [7100, 7000, 6900], brake: [7500, 7400], brake_main: 2201}
loops: {main maillon: {single loop: 8, double loop: 17}}
adjustments:
  - {line: b1, side: both, loop_before: double loop, loop_after: single loop}
  - {line: brake_main, side: left, change_mm: -20}
cloth: {porosity: {unit: s, readings: [{place: centre, value: 90}]}}
strength: [{line: A1, load_n: 900, required_n: 800, broke: false}]
inspection: [{part: seams, condition: good}]
"""
SHOP = """\
trimscribe: 1
name: Quarry Hill Canopy Works
accent: "#24566b"
"""
SPECIFICATION = """\
trimscribe: 1
maker: Pomeroy Wings
model: Sorrel
size: S
source: Pomeroy Wings, Sorrel line lengths
tension_n: 50
rows:
  A: {lengths_mm: [7000, 6900, 6800], chord_m: 0.2}
  B: {lengths_mm: [7100, 7000, 6900], chord_m: [0.9, 0.8, 0.7]}
brake: {fan_mm: [7500, 7400], main_mm: 2200, trailing_edge_m: 2.4}
cascade:
  a1: {am1: [A1, A2], am2: [A3]}
  b1: [B1, B2, B3]
  kl1: [brake1, brake2]
risers: {A: {trim_mm: 520}, B: {trim_mm: 520}}
tolerances: {default_mm: 10, rows: {A: 8}, brake_mm: 25, source: Sorrel manual}
"""
CSV = """\
side,row,point,length_mm
left,A,1,6998
left,A,2,6899
left,A,3,6798
left,B,1,7090
left,B,2,6991
left,B,3,6890
left,brake,1,7521
left,brake,2,7420
left,brake_main,1,2220
right,A,1,7003
right,A,2,
right,A,3,6801
right,B,1,7092
right,B,2,6990
right,B,3,6888
right,brake,1,7502
right,brake,2,7401
right,brake_main,1,2202
"""


class Importers:
    """Stands for the registry: `read` asks it for importers only."""

    def all(self, kind: str) -> Iterator[Any]:
        assert kind == "importers"
        return iter([importer])


@dataclass
class Bench:
    """A folder with the four files of one job; `spoil` changes one, `read` reads them all."""

    folder: Path
    texts: dict[str, str] = field(
        default_factory=lambda: {
            "job.yaml": JOB,
            "shop.yaml": SHOP,
            "sorrel-s.yaml": SPECIFICATION,
            "before.csv": CSV,
        }
    )

    def spoil(self, file: str, old: str, new: str) -> "Bench":
        assert self.texts[file].count(old) == 1, f"{old!r} must stand once in {file}"
        self.texts[file] = self.texts[file].replace(old, new)
        return self

    def read(self, job: str = "job.yaml") -> Reading:
        for name, text in self.texts.items():
            (self.folder / name).write_text(text, encoding="utf-8", newline="")
        return read(Path(job), Importers())  # only `all` is asked

    def faults(self) -> tuple[Fault, ...]:
        """All faults, whether errors or warnings."""
        try:
            return self.read().warnings
        except InputError as error:
            return error.faults


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    monkeypatch.chdir(tmp_path)
    return Bench(tmp_path)


@pytest.fixture
def read_example() -> Callable[[Path], Reading]:
    return lambda path: read(path, Importers())  # only `all` is asked


@pytest.fixture
def underlined() -> Callable[[Mark | None], str]:
    """The text that a mark points at."""

    def text(mark: Mark | None) -> str:
        assert mark is not None
        return mark.source[mark.column - 1 : mark.column - 1 + mark.width]

    return text
