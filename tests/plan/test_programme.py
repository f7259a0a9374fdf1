"""The solver against a published optimum, and against another solver."""

import os
import subprocess
import sys

import pytest

from trimscribe.plan.programme import Programme

# Knapsack of 24 objects: D. Kreher, D. Stinson, Combinatorial Algorithms (CRC, 1998); as data set
# P08 of J. Burkardt's collection (people.sc.fsu.edu/~jburkardt/datasets/knapsack_01), with the
# optimum 13549094; the test adds the published choice up again.
CAPACITY = 6404180
WEIGHTS = [
    382745, 799601, 909247, 729069, 467902, 44328, 34610, 698150, 823460, 903959, 853665, 551830,
    610856, 670702, 488960, 951111, 323046, 446298, 931161, 31385, 496951, 264724, 224916, 169684,
]  # fmt: skip
PROFITS = [
    825594, 1677009, 1676628, 1523970, 943972, 97426, 69666, 1296457, 1679693, 1902996, 1844992,
    1049289, 1252836, 1319836, 953277, 2067538, 675367, 853655, 1826027, 65731, 901489, 577243,
    466257, 369261,
]  # fmt: skip
CHOSEN = [1, 1, 0, 1, 1, 1, 0, 0, 0, 1, 1, 0, 1, 0, 0, 1, 0, 0, 0, 0, 0, 1, 1, 1]
OPTIMUM = 13549094


def knapsack() -> tuple[Programme, list[int]]:
    programme = Programme()
    columns = [programme.choice() for _ in WEIGHTS]
    programme.row(dict(zip(columns, map(float, WEIGHTS), strict=True)), high=CAPACITY)
    return programme, columns


def test_a_published_knapsack_is_solved_to_its_optimum() -> None:
    assert sum(p for p, c in zip(PROFITS, CHOSEN, strict=True) if c) == OPTIMUM
    assert sum(w for w, c in zip(WEIGHTS, CHOSEN, strict=True) if c) <= CAPACITY
    programme, columns = knapsack()

    found = programme.minimise(dict(zip(columns, [-float(p) for p in PROFITS], strict=True)), 10**6)

    assert found is not None
    assert found.proven
    assert round(-found.objective) == OPTIMUM
    assert [round(found.values[c]) for c in columns] == CHOSEN


def test_a_stage_keeps_what_the_one_before_reached() -> None:
    programme, columns = knapsack()
    profits = dict(zip(columns, [-float(p) for p in PROFITS], strict=True))
    first = programme.minimise(profits, 10**6)
    assert first is not None
    programme.keep(profits, first.objective)

    fewest = programme.minimise(dict.fromkeys(columns, 1.0), 10**6)

    assert fewest is not None
    kept = sum(p for c, p in zip(columns, PROFITS, strict=True) if round(fewest.values[c]))
    assert kept == OPTIMUM


def test_what_the_node_limit_leaves_open_is_not_called_proven() -> None:
    programme, columns = knapsack()
    # Equal profit and weight, and an even capacity short of any sum: bounds never meet early.
    found = programme.minimise(dict(zip(columns, [-float(p) for p in PROFITS], strict=True)), 1)

    assert found is None or not found.proven or round(-found.objective) == OPTIMUM


def test_what_cannot_be_kept_has_no_solution() -> None:
    programme = Programme()
    column = programme.choice()
    programme.row({column: 1.0}, low=2.0)

    assert programme.minimise({column: 1.0}) is None


@pytest.mark.processes
def test_the_solver_prints_nothing_to_the_first_descriptor(tmp_path) -> None:
    code = (
        "import os\n"
        "from trimscribe.plan.programme import quiet_descriptor\n"
        "os.write(1, b'before ')\n"
        "with quiet_descriptor():\n"
        "    os.write(1, b'from C')\n"
        "os.write(1, b'after')\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)

    assert done.stdout == b"before after"
    assert done.stderr == b""


@pytest.mark.skipif(os.name == "nt", reason="a child is started without descriptors there")
@pytest.mark.processes
def test_a_closed_descriptor_is_no_fault() -> None:
    code = (
        "import os, sys\n"
        "os.close(1)\n"
        "from trimscribe.plan.programme import quiet_descriptor\n"
        "with quiet_descriptor():\n"
        "    pass\n"
        "os.write(2, b'through')\n"
        "os._exit(0)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)

    assert done.stderr == b"through"
