"""Numbers at the edge of what a schema allows, and beyond: a fault with its place, or a result.

Numbers of the examples' jobs and line sets are set to such edges one at a time, and the job is
read, analysed and put into words. Whatever comes of it, it is never an error of the program.
"""

import copy
import functools
import itertools
import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from trials import trials

from trimscribe.errors import TrimscribeError
from trimscribe.exports.mapping.load import load_map
from trimscribe.pipeline import outputs, prepare
from trimscribe.registry import Registry
from trimscribe.world import World

EXAMPLES = Path(__file__).parents[1] / "examples"
REGISTRY, WORLD = Registry.installed(), World.real()
EDGES = (1e-320, -1e-320, 1e-300, 1e-7, 1e-6, 0, -0.0, 1, 99_999.9, 1e5, 1e8, 1e300, -1e300)
LENGTHS = {"lengths_mm", "stabilo_mm", "fan_mm", "main_mm"}  # keys of line sets

Place = tuple[str | int, ...]


def numbers(data: Any, place: Place = ()) -> Iterator[Place]:
    """Where numbers are; of a list the first two, since the others are alike."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from numbers(value, (*place, key))
    elif isinstance(data, list):
        for index, value in enumerate(data[:2]):
            yield from numbers(value, (*place, index))
    elif isinstance(data, int | float) and not isinstance(data, bool):
        yield place


def changed(data: Any, place: Place, value: Any) -> Any:
    """The same data with another value at a place; what lies beside the way there is shared."""
    if not place:
        return value
    made = copy.copy(data)
    made[place[0]] = changed(data[place[0]], place[1:], value)
    return made


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("edges") / "examples"
    shutil.copytree(EXAMPLES, folder)
    return folder


def attempted(bench: Path, job: Any, line_set: Any = None, wanted: tuple[str, ...] = ()) -> str:
    """The codes that such a job gives, or nothing."""
    if line_set is not None:
        (bench / "edge-lines.yaml").write_text(json.dumps(line_set, default=str))
        job = {**job, "specification": "edge-lines.yaml"}
    (bench / "edge.yaml").write_text(json.dumps(job, default=str))
    try:
        content = prepare(bench / "edge.yaml", REGISTRY)
        if wanted:
            outputs(content, REGISTRY, WORLD, wanted)
    except TrimscribeError as error:
        faults = error.faults
    else:
        return ""
    assert all(fault.mark for fault in faults), faults
    return " ".join(fault.code for fault in faults)


@functools.cache
def loaded(name: str) -> Any:
    return yaml.load((EXAMPLES / name).read_text(encoding="utf-8"), yaml.CSafeLoader)


def kind(place: Place) -> tuple[str, ...]:
    """What a number is, whichever measuring, side, row or item of a list it is of."""
    alike = {"left": "side", "right": "side", **dict.fromkeys("ABCDE", "row")}
    alike |= dict.fromkeys(("before", "after"), "measuring")
    return tuple("item" if isinstance(step, int) else alike.get(step, step) for step in place)


def jobs() -> Iterator[tuple[str, Any, Any]]:
    """Each job with its line set, which is nothing where the job holds it."""
    for name in ("demo.yaml", "four-row.yaml", "outside.yaml", "inspection.yaml"):
        job = loaded(name)
        lines = job.get("specification")
        yield name, job, loaded(lines) if isinstance(lines, str) else None


def dealt() -> dict[tuple[str, str], list[tuple[Place, float]]]:
    """Edges dealt in turn to the numbers of each kind: where all trials are made, each number has
    one at least, and each edge comes to each kind."""
    alike: dict[tuple[str, ...], list[tuple[tuple[str, str], Place]]] = {}
    seen = []
    for name, job, lines in jobs():
        for which, data in (("job", job), ("line set", lines)):
            if data is not None and (which == "job" or data not in seen):
                seen.append(data)
                for place in numbers(data):
                    alike.setdefault(kind(place), []).append(((name, which), place))
    hands: dict[tuple[str, str], list[tuple[Place, float]]] = {}
    deck = itertools.cycle(EDGES)
    for places in alike.values():
        tries = trials(max(len(places), len(EDGES)))
        for number in range(tries):
            where, place = places[number * len(places) // tries]
            hands.setdefault(where, []).append((place, next(deck)))
    return hands


HANDS = dealt()


def test_every_kind_of_number_meets_edges_and_each_edge_some_number() -> None:
    met: dict[tuple[str, ...], set[str]] = {}
    for hand in HANDS.values():
        for place, edge in hand:
            met.setdefault(kind(place), set()).add(repr(edge))

    assert len(met) > 55
    assert min(len(edges) for edges in met.values()) == trials(len(EDGES))
    assert len(set().union(*met.values())) == len(EDGES)


@pytest.mark.slow
@pytest.mark.parametrize("where", HANDS, ids=" ".join)
def test_a_number_at_the_edge_is_a_fault_or_a_result(bench: Path, where: tuple[str, str]) -> None:
    name, which = where
    job, lines = next((job, lines) for other, job, lines in jobs() if other == name)
    for place, edge in HANDS[where]:
        if which == "job":
            codes = attempted(bench, changed(job, place, edge))
        else:
            codes = attempted(bench, job, changed(lines, place, edge))
        if LENGTHS & set(place) and not 1 <= edge <= 100_000:
            assert "out-of-range" in codes, (place, edge)


@pytest.mark.parametrize("edge", [1e-320, 0.5, 100_001, 7_342_000])
@pytest.mark.parametrize("place", [("before", "left", "A", 0), ("after", "left", "A", 0)])
def test_a_length_below_a_millimetre_or_above_a_hundred_metres_is_a_fault(
    bench: Path, place: Place, edge: float
) -> None:
    job = loaded("four-row.yaml")

    assert "out-of-range" in attempted(bench, changed(job, place, edge))


@pytest.mark.parametrize("edge", ["1e-320", "0.5", "100001", "9" * 400])
def test_so_it_is_in_a_table(bench: Path, edge: str) -> None:
    table = (EXAMPLES / "demo-before.csv").read_text(encoding="utf-8").splitlines()
    table[1] = f"{table[1].rpartition(',')[0]},{edge}"
    (bench / "edge.csv").write_text("\n".join(table))
    job = loaded("demo.yaml")

    codes = attempted(bench, {**job, "before": {**job["before"], "file": "edge.csv"}})

    assert "out-of-range" in codes or "length-not-a-number" in codes


@settings(max_examples=trials(30))
@given(st.data())
def test_several_at_once_are_so_too(bench: Path, data: st.DataObject) -> None:
    """Up to five numbers of one job, each anything that YAML can write."""
    job = loaded(data.draw(st.sampled_from(["demo.yaml", "outside.yaml", "inspection.yaml"])))
    for _ in range(data.draw(st.integers(1, 5))):
        place = data.draw(st.sampled_from([*numbers(job)]))
        edge = data.draw(st.sampled_from(EDGES) | st.floats(allow_nan=False, allow_infinity=False))
        job = changed(job, place, edge)

    attempted(bench, job, wanted=("html", "json"))


PLACES = ("column", "at", "form", "fill")
ODD = st.sampled_from([None, "", [], {}, 0, True, "A", "{row}", "{nothing}", "é", 1e-320, ["A"]])


@given(
    st.lists(st.dictionaries(st.sampled_from(PLACES), ODD) | ODD, max_size=3),
    st.lists(st.dictionaries(st.sampled_from(PLACES), ODD) | ODD, max_size=3),
    st.dictionaries(st.sampled_from(("add_mm", "unit", "decimal", "empty", "means")), ODD),
)
def test_a_map_says_what_is_wrong_with_it(labels: Any, values: Any, numbers: Any) -> None:
    tables = [{"labels": labels, "values": values}]
    written = {"trimscribe": 1, "numbers": numbers, "tables": tables}

    plan, faults = load_map(json.dumps(written).encode(), "map.yaml")

    assert plan is not None or faults


def test_a_column_that_is_nothing_is_a_fault() -> None:
    text = 'trimscribe: 1\ntables: [{labels: [{column: ~, form: "{row}"}], values: [{at: B}]}]\n'

    plan, faults = load_map(text.encode(), "map.yaml")

    assert plan is None
    assert [fault.code for fault in faults] == ["column-not-clear"]
