"""Free travel read before and after, where lengths say otherwise: neither is told as the change."""

from types import SimpleNamespace

import pytest

from trimscribe.assess.facts import facts_of
from trimscribe.model.job import Job
from trimscribe.model.statements import Statements
from trimscribe.model.wing import Side

SHORTER = {"brake": -40, "brake_main": -40}


def by_rule(statements: Statements) -> dict[str, str]:
    everything = (*statements.sentences, *statements.cautions)
    return {s.rule: s.text.replace("\xa0", " ") for s in everything}


def worked(
    bench: SimpleNamespace, read: tuple[float, float], *, moved: dict[str, float] | None = None
) -> Job:
    """Brakes shortened by 40 mm, or moved as given; free travel read first at 110 mm, then so."""
    left, right = read
    return bench.job(
        bench.measured({"brake": 20, "brake_main": 20}, free_travel_mm=dict.fromkeys(Side, 110.0)),
        bench.measured(
            {"brake": -20, "brake_main": -20} if moved is None else moved,
            free_travel_mm={Side.LEFT: left, Side.RIGHT: right},
        ),
        adjustments=bench.adjusted(-40, "brake_main"),
    )


@pytest.mark.parametrize(
    ("read", "unlike"),
    [
        ((70.0, 72.0), ()),
        ((95.0, 70.0), ()),  # the same way, if less far
        ((105.0, 70.0), ("left",)),  # hardly any change was read
        ((70.0, 132.0), ("right",)),
        ((130.0, 131.0), ("left", "right")),
    ],
)
def test_a_brake_that_was_read_otherwise_than_its_lengths_is_given_no_way(
    read: tuple[float, float], unlike: tuple[str, ...], bench: SimpleNamespace
) -> None:
    job = worked(bench, read)
    facts, told = facts_of(bench.findings(job), job), by_rule(bench.narrated(job))

    assert facts["change_brakes_unlike"] == unlike
    assert facts["change_brakes_less"] == tuple(s for s in ("left", "right") if s not in unlike)
    assert ("air_brakes_sooner" in told) is (len(unlike) < 2)
    assert ("air_brakes_unlike" in told) is ("brakes_unlike_change" in told) is bool(unlike)


def test_what_is_read_to_change_is_not_told_as_no_change(bench: SimpleNamespace) -> None:
    still = {"brake": 20, "brake_main": 20}
    told = by_rule(bench.narrated(worked(bench, (75.0, 110.0), moved=still)))

    assert told["air_launch_same"].startswith("Apart from the brakes, ")
    assert told["air_brakes_unlike"] == (
        "How the left brake acts compared with before is not settled: measured free travel changed "
        "otherwise than lengths say."
    )
    assert told["brakes_unlike_change"] == (
        "From before to now the measured free travel of the left brake changed otherwise than "
        "lengths make it. Please have this looked at."
    )


@pytest.mark.parametrize(("more", "unlike"), [(0.0, ()), (15.0, ()), (50.0, ("left",))])
def test_a_level_brake_whose_free_travel_is_far_off_is_said_to_be_unlike(
    more: float, unlike: tuple[str, ...], bench: SimpleNamespace
) -> None:
    travel = {Side.LEFT: 70.0 + more, Side.RIGHT: 70.0}
    whole, lines = (
        bench.job(
            bench.measured(free_travel_mm=travel), specification=bench.specification(**risers)
        )
        for risers in ({}, {"includes_risers": False})
    )

    assert facts_of(bench.findings(whole), whole)["found_brakes_unlike"] == unlike
    # Risers that nobody measured may be what it is unlike by.
    assert facts_of(bench.findings(lines), lines)["found_brakes_unlike"] == ()


def test_free_travel_from_one_reading_and_from_lengths_alone_are_both_explained(
    bench: SimpleNamespace,
) -> None:
    """Read on the left before the work alone, and never on the right."""
    job = bench.job(
        bench.measured({"B": (0, 0, 15, 0, 0, 0)}, free_travel_mm={Side.LEFT: 98.0}),
        bench.measured(),
        adjustments=bench.adjusted(-15, "B3"),
    )
    told = by_rule(bench.narrated(job))

    assert {"brakes_calculated", "brakes_carried_on"} <= told.keys()
