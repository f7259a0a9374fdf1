"""How many invented exports are imported right after `--propose`, and how many are wrong unsaid.

    python tests/benchmarks/export_rates.py [-v]

Each file of the bench goes the way of a person: a map is proposed, questions are answered as
somebody would who knows the workshop, and the export is read by the map. What comes out is
compared with what the file was made of.
"""

import argparse
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import bench_grids
import bench_lists
import bench_odd
from bench_random import random_export
from bench_wing import CASES, Made

from trimscribe.errors import InputError, any_error
from trimscribe.exports.export import read_export
from trimscribe.exports.guessing.propose import propose
from trimscribe.exports.line_sets import line_set
from trimscribe.registry import Registry

__all__ = ["OUTCOMES", "outcome", "outcomes"]

OUTCOMES = (
    "right", "right once answered", "incomplete and said", "asked", "stopped", "refused",
    "silently wrong",
)  # fmt: skip
_FILES = (bench_lists, bench_grids, bench_odd)


def outcome(made: Made, folder: Path, registry: Registry) -> tuple[str, str]:
    """What becomes of one file, and a word about it."""
    path, map_path = folder / made.name, folder / "map.yaml"
    path.write_bytes(made.data)
    wanted = line_set(made.wing.path)
    proposal = propose(registry, path, wanted)
    answers: dict[str, str] = {}
    for _ in range(8):
        open_ones = getattr(proposal, "questions", ())
        known = {one.id: made.answers[one.kind] for one in open_ones if one.kind in made.answers}
        if not known:
            break
        answers |= known
        proposal = propose(registry, path, wanted, answers=answers)
    if proposal.text is None and not made.truth:
        return "right", "rightly refused"
    if proposal.text is None:
        return "refused", "; ".join(fault.message for fault in proposal.faults)
    if open_ones := getattr(proposal, "questions", ()):
        return "asked", "; ".join(f"{one.id}: {one.asks}" for one in open_ones)
    map_path.write_text(proposal.text, encoding="utf-8")
    try:
        export = read_export(registry, path, map_path, wanted, "")
    except InputError as error:
        return "stopped", str(error)
    if any_error(export.faults):
        return "stopped", "; ".join(fault.message for fault in export.faults[:4])
    values = {tuple(value.path): float(value.value) for value in export.imported.values}
    wrong = {key for key, mm in values.items() if abs(made.truth.get(key, -1) - mm) > 0.051}
    lacking = set(made.truth) - set(values)
    word = f"{len(values)} values, {len(wrong)} wrong, {len(lacking)} lacking"
    if wrong:
        return "silently wrong", f"{word}, such as {min(wrong)}"
    if lacking:
        said = {".".join(map(str, key)) for key in lacking} <= set(export.missing)
        said = said or bool(getattr(proposal, "left_out", ()))
        return ("incomplete and said" if said else "silently wrong"), word
    return ("right once answered" if answers else "right"), ", ".join(answers)


def random_outcomes(count: int) -> Iterator[tuple[str, str, str]]:
    """Files put together by chance, each by its number."""
    registry = Registry.installed()
    for seed in range(count):
        with tempfile.TemporaryDirectory() as folder:
            yield f"by chance {seed}", *outcome(random_export(seed), Path(folder), registry)


def outcomes() -> Iterator[tuple[str, str, str]]:
    """Every file of the bench with what becomes of it."""
    registry = Registry.installed()
    for name, make in CASES.items():
        with tempfile.TemporaryDirectory() as folder:
            try:
                yield name, *outcome(make(), Path(folder), registry)
            except InputError as error:
                yield name, "refused", str(error)


def main() -> None:
    """Print a line for each file, if wished, and the shares."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("-v", action="store_true", help="a line for each file")
    parser.add_argument(
        "--random", type=int, default=0, help="as many files put together by chance"
    )
    wished = parser.parse_args()
    counted: Counter[str] = Counter()
    files = random_outcomes(wished.random) if wished.random else outcomes()
    for name, result, word in files:
        counted[result] += 1
        if wished.v or result == "silently wrong":
            print(f"{result:22} {name}: {word}")
    for result in OUTCOMES:
        print(f"{result}: {counted[result]} of {counted.total()}")


if __name__ == "__main__":
    main()
