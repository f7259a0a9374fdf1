"""The shares that the bench of invented exports prints are held: none is wrong without a word."""

from collections import Counter
from pathlib import Path

import pytest
from bench_random import random_export
from bench_wing import CASES
from export_rates import outcome, outcomes
from trials import trials

from trimscribe.registry import Registry

CHANCE = trials(60)
pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def found() -> dict[str, tuple[str, str]]:
    return {name: (result, word) for name, result, word in outcomes()}


def test_the_bench_is_as_broad_as_it_must_be() -> None:
    made = [make() for make in CASES.values()]
    endings = Counter(one.name.rpartition(".")[2] for one in made)

    assert len(made) >= 60
    assert {one.language for one in made} == {"en", "de", "fr", "es", "it", "cs", "pl"}
    assert endings.keys() >= {"csv", "tsv", "txt", "xlsx", "ods", "xls", "json"}


def test_no_export_is_wrong_without_a_word(found: dict[str, tuple[str, str]]) -> None:
    assert {
        name: word for name, (result, word) in found.items() if result == "silently wrong"
    } == {}


def test_most_exports_are_laid_in_right(found: dict[str, tuple[str, str]]) -> None:
    counted = Counter(result for result, _ in found.values())
    right = counted["right"] + counted["right once answered"]

    assert right / len(found) >= 0.95
    assert counted["right"] / len(found) >= 0.65  # without a question


def test_exports_put_together_by_chance_are_never_wrong_without_a_word(tmp_path: Path) -> None:
    registry = Registry.installed()
    results = Counter(outcome(random_export(seed), tmp_path, registry)[0] for seed in range(CHANCE))

    assert results["silently wrong"] == 0
    assert results["right"] + results["right once answered"] >= 0.95 * CHANCE
