"""A wing to be exported, an export with its map, and what all shapes share."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from trimscribe.pipeline import prepare
from trimscribe.registry import Registry

ROOT = Path(__file__).parents[2]

Key = tuple[str, str, str, int]  # when, side, group, point


@dataclass(frozen=True)
class Wing:
    """Lengths in mm by when, side, group and point; specified lengths by group."""

    lengths: Mapping[Key, float]
    specified: Mapping[str, list[float]]

    def value(self, when: str, side: str, group: str, point: int) -> Decimal | None:
        length = self.lengths.get((when, side, group, point))
        return None if length is None else Decimal(str(length))

    def lines(self) -> list[tuple[str, int]]:
        return [(g, n + 1) for g, lengths in self.specified.items() for n in range(len(lengths))]

    def only(self, when: str) -> dict[Key, float]:
        return {key: value for key, value in self.lengths.items() if key[0] == when}


@dataclass(frozen=True)
class Export:
    """A file, the map that reads it, and what it holds: measurings by name."""

    name: str
    data: bytes
    map: str
    measurings: tuple[str, ...] = ("before",)


def demo_wing() -> Wing:
    """The wing of the demo, its lengths with quarters of a millimetre, so that decimals count."""
    job = prepare(ROOT / "examples" / "demo.yaml", Registry.installed()).reading.job
    lengths = {}
    for when in ("before", "after"):
        for number, ((side, point), length) in enumerate(getattr(job, when).lengths_mm.items()):
            lengths[when, side.value, point.group, point.number] = length + number % 4 / 4
    specified = {group.name: list(group.lengths_mm) for group in job.specification.groups}
    return Wing(lengths, specified)


SHORT = {"stabilo": "S", "brake": "F", "brake_main": "Main"}
SIDES = ("left", "right")
WORDS = """\
trimscribe: 1
words:
  row: {stabilo: S, brake: F, brake_main: Main%s}
  side: {left: [L, li], right: [R, re]}
"""


def short(group: str) -> str:
    return SHORT.get(group, group)


def words(wing: Wing) -> str:
    """The head of a map; rows whose names are more than letters are words of their own."""
    odd = [g for g in wing.specified if not g.isalpha() and g not in SHORT]
    return WORDS % "".join(f", {json.dumps(g)}: []" for g in odd)


def label(group: str, point: int) -> str:
    return short(group) if group == "brake_main" else f"{short(group)}{point}"


def written(value: Decimal | None, mark: str = ".", thousands: str = "") -> str:
    if value is None:
        return ""
    whole, _, decimals = f"{value.normalize():f}".partition(".")
    if thousands and len(whole) > 3:
        whole = whole[:-3] + thousands + whole[-3:]
    return whole + (mark + decimals if decimals else "")


def number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def text(rows: list[list[str]], delimiter: str = ",", end: str = "\n") -> str:
    return "".join(delimiter.join(row) + end for row in rows)
