"""The command `code`: what faults mean."""

import json
from typing import Any

from trimscribe.catalogue import fault_codes


def test_a_fault_is_explained_with_an_example(run: Any) -> None:
    done = run("code", "not-a-date")

    known = fault_codes()["not-a-date"]
    assert done.exit_code == 0
    assert done.stdout.splitlines() == [
        f"not-a-date ({known.about})",
        known.meaning,
        known.advice,
        f"For example: {known.example}",
    ]


def test_no_example_is_promised_where_there_is_none(run: Any) -> None:
    without = next(one.code for one in fault_codes().values() if not one.example)

    done = run("code", without)

    assert len(done.stdout.splitlines()) == 3


def test_all_faults_are_listed_with_their_meaning(run: Any) -> None:
    done = run("code")

    assert [line.partition(": ")[0] for line in done.stdout.splitlines()] == [*fault_codes()]


def test_as_data_it_is_one_document(run: Any) -> None:
    (one,) = json.loads(run("code", "not-a-date", "--json").stdout)["codes"]

    assert one["code"] == "not-a-date"
    assert len(json.loads(run("code", "--json").stdout)["codes"]) == len(fault_codes())


def test_an_unknown_fault_is_reported_with_those_of_a_similar_name(run: Any) -> None:
    near, far = run("code", "not-a-dat"), run("code", "zzzz")

    assert (near.exit_code, far.exit_code) == (2, 2)
    assert "Did you mean `not-a-date`" in near.stderr
    assert "`trimscribe code` lists all." in far.stderr
