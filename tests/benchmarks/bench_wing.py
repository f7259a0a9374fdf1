"""An invented wing as it was measured, and what an invented export holds of it."""

import csv
import io
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from trimscribe.exports.line_sets import line_set

ROOT = Path(__file__).parents[2]
sys.path.append(str(ROOT / "tests" / "exports"))  # for the writers of spreadsheets

Key = tuple[str, str, str, int]  # when, side, group, point
SIDES = ("left", "right")
Grid = list[list[object]]


@dataclass(frozen=True)
class Wing:
    """Specified lengths in mm by group, and a measured length for every line."""

    path: Path
    specified: Mapping[str, Sequence[float]]

    def lines(self, *groups: str) -> list[tuple[str, int]]:
        """Every line of these groups, or of all."""
        return [
            (group, point)
            for group, row in self.specified.items()
            if not groups or group in groups
            for point in range(1, len(row) + 1)
        ]

    def at(self, when: str, side: str, group: str, point: int) -> float:
        """A measured length in mm; no two lines of a row deviate alike."""
        spread = (7 * point + 3 * len(group) + ord(group[0]) + 5 * (side == "right")) % 11
        wear = -6 if when == "before" else 1
        trend = {"A": -4, "C": 5, "D": 6, "brake": 3}.get(group, 0) if when == "before" else 0
        return float(self.specified[group][point - 1] + wear + trend + spread - 5)

    def spec(self, group: str, point: int) -> float:
        """The specified length in mm."""
        return float(self.specified[group][point - 1])

    def truth(self, whens: Sequence[str], sides: Sequence[str], lines: Sequence[tuple[str, int]]):
        """What an export of these lines holds."""
        return {
            (when, side, *line): self.at(when, side, *line)
            for when in whens
            for side in sides
            for line in lines
        }


def wing(name: str) -> Wing:
    """One of the example line sets, measured."""
    path = ROOT / "examples" / f"{name}.yaml"
    found = line_set(path)
    return Wing(
        path, {group: [float(mm or 0) for mm in row] for group, row in found.lengths.items()}
    )


@dataclass(frozen=True)
class Made:
    """A file, what it holds, and what a person who knows the workshop would answer.

    `answers` are by the kind of question; a kind that is not there would be left open.
    """

    name: str
    data: bytes
    truth: Mapping[Key, float]
    wing: Wing
    language: str = "en"
    answers: Mapping[str, str] = field(default_factory=dict)


CASES: dict[str, Callable[[], Made]] = {}


def case(make: Callable[[], Made]) -> Callable[[], Made]:
    """Enter a file into the bench by the name of its function."""
    CASES[make.__name__] = make
    return make


def table(rows: Grid, delimiter: str = ",", encoding: str = "utf-8", mark: str = ".") -> bytes:
    """A text file; numbers with this decimal mark."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\r\n")
    for row in rows:
        writer.writerow([_text(one, mark) for one in row])
    return out.getvalue().encode(encoding)


def _text(value: object, mark: str) -> object:
    if value is None:
        return ""
    if isinstance(value, float):
        whole = f"{value:.3f}".rstrip("0").rstrip(".")
        return whole.replace(".", mark)
    return value
