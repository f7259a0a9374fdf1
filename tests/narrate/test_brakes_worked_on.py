"""Free travel that was read before a brake was worked on says nothing of the brake now."""

from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.assess.facts import facts_of
from trimscribe.model.job import Job, Replacement
from trimscribe.model.statements import Statements
from trimscribe.model.wing import Side

NO_BRAKES = {"brake": (None,) * 3, "brake_main": None}
PLENTY = {Side.LEFT: 120.0, Side.RIGHT: 118.0}
LITTLE = {Side.LEFT: 44.0, Side.RIGHT: 46.0}
BOTH = ("left", "right")


def facts(bench: SimpleNamespace, of: Job) -> Any:
    return facts_of(bench.findings(of), of)


def by_rule(statements: Statements) -> dict[str, str]:
    everything = (*statements.sentences, *statements.cautions)
    return {s.rule: s.text.replace("\xa0", " ") for s in everything}


def strip(statements: Statements) -> str:
    return next(v.words for v in statements.verdicts if v.key == "brakes")


def new(part: str, side: Side | None = None) -> tuple[Replacement, ...]:
    return (Replacement(part, side, "worn"),)


@pytest.mark.parametrize("before", [{}, NO_BRAKES], ids=["lengths before", "no lengths"])
def test_brakes_shortened_and_not_measured_since_are_not_as_they_were_read(
    bench: SimpleNamespace, before: dict[str, Any]
) -> None:
    job = bench.job(
        bench.measured(before, free_travel_mm=PLENTY),
        bench.measured(NO_BRAKES),
        adjustments=bench.adjusted(-75, "brake_main"),
    )
    known, said = facts(bench, job), by_rule(bench.narrated(job))

    assert known["free_travel_unknown"] == BOTH
    assert "free_travel" in known["against"]
    assert said["caution_free_travel_open"].startswith(
        "The free travel of the brakes was not measured again"
    )
    assert said["before_travel_open"].startswith("Have the free travel of the brakes measured")
    assert said["air_launch_same"].startswith("Apart from the brakes, launch")


@pytest.mark.parametrize(
    ("work", "unknown"),
    [
        ({"replacements": new("main brake line", Side.LEFT)}, ("left",)),
        ({"replacements": new("main brake line")}, BOTH),
        ({"replacements": new("Brake handle", Side.RIGHT)}, ("right",)),
        ({"replacements": new("brake2", Side.RIGHT)}, ("right",)),
        ({"replacements": new("Brake2.", Side.RIGHT)}, ("right",)),
        ({"replacements": new("Bremsgriff (brake_main)", Side.LEFT)}, ("left",)),
        ({"replacements": new("complete line set")}, BOTH),
        ({"replacements": new("line A1", Side.LEFT)}, ()),
        ({"replacements": new("soft maillons")}, ()),
    ],
)
def test_only_the_side_that_was_worked_on_is_not_known(
    bench: SimpleNamespace, work: dict[str, Any], unknown: tuple[str, ...]
) -> None:
    job = bench.job(bench.measured(free_travel_mm=PLENTY), bench.measured(NO_BRAKES), **work)
    known = facts(bench, job)

    assert known["free_travel_unknown"] == known["brakes_worked"] == unknown
    assert ("free_travel" in known["against"]) is bool(unknown)


def test_one_brake_adjusted_and_only_the_other_measured_again(bench: SimpleNamespace) -> None:
    job = bench.job(
        bench.measured(NO_BRAKES, free_travel_mm=PLENTY),
        bench.measured(NO_BRAKES, free_travel_mm={Side.RIGHT: 118.0}),
        adjustments=bench.adjusted(-40, "brake_main", (Side.LEFT,)),
    )

    assert by_rule(bench.narrated(job))["before_travel_open"] == (
        "Have the free travel of the left brake measured before you fly it."
    )


def test_brakes_of_which_nothing_was_ever_measured_are_not_known_after_work_on_them(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(
        bench.measured(NO_BRAKES),
        bench.measured(NO_BRAKES),
        adjustments=bench.adjusted(-40, "brake_main"),
    )
    said = by_rule(bench.narrated(job))

    assert facts(bench, job)["free_travel_unknown"] == BOTH
    assert "measured again" not in said["caution_free_travel_open"]


def test_lengths_measured_since_say_what_free_travel_became(bench: SimpleNamespace) -> None:
    job = bench.job(
        bench.measured(free_travel_mm=PLENTY),
        bench.measured({"brake": -9, "brake_main": -9}),
        adjustments=bench.adjusted(-9, "brake_main"),
    )

    assert facts(bench, job)["free_travel_open"] == ""


def test_a_brake_line_replaced_with_nothing_measured_since_has_to_be_measured(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(bench.measured(), replacements=new("main brake line", Side.LEFT))

    assert "not_again" in facts(bench, job)["against"]


@pytest.mark.parametrize(
    ("had", "now"),
    [
        (LITTLE, "is now 62 mm left and 64 mm right."),
        (dict.fromkeys(Side, 70.0), "is now 62 mm left and 64 mm right."),
    ],
    ids=["too little", "enough"],
)
def test_what_free_travel_became_is_told_where_brakes_were_worked_on(
    bench: SimpleNamespace, had: dict[Side, float], now: str
) -> None:
    job = bench.job(
        bench.measured(free_travel_mm=had),
        bench.measured(
            {"brake": 18, "brake_main": 18}, free_travel_mm={Side.LEFT: 62.0, Side.RIGHT: 64.0}
        ),
        adjustments=bench.adjusted(18, "brake_main"),
    )

    assert by_rule(bench.narrated(job))["done_travel_measured"].endswith(now)


@pytest.mark.parametrize("had", [LITTLE, {Side.LEFT: 98.0, Side.RIGHT: 52.0}])
def test_what_free_travel_became_is_told_where_it_was_too_little_or_uneven(
    bench: SimpleNamespace, had: dict[Side, float]
) -> None:
    job = bench.job(
        bench.measured(free_travel_mm=had),
        bench.measured(free_travel_mm={Side.LEFT: 62.0, Side.RIGHT: 64.0}),
        adjustments=bench.adjusted(1),
    )
    as_it_was = bench.job(
        bench.measured(free_travel_mm={Side.LEFT: 62.0, Side.RIGHT: 64.0}),
        bench.measured(free_travel_mm={Side.LEFT: 62.0, Side.RIGHT: 64.0}),
        adjustments=bench.adjusted(1),
    )

    assert "now 62 mm left" in by_rule(bench.narrated(job))["done_travel_measured"]
    assert "done_travel_measured" not in by_rule(bench.narrated(as_it_was))


def test_both_brakes_are_named_where_measuring_does_not_tell_their_changes_apart(
    bench: SimpleNamespace,
) -> None:
    """Read as 21 mm and 18 mm more: one is just what a pilot notices, the other one just not."""
    had, has = {Side.LEFT: 42.0, Side.RIGHT: 58.0}, {Side.LEFT: 63.0, Side.RIGHT: 76.0}

    def worked(now: dict[Side, float]) -> dict[str, str]:
        job = bench.job(
            bench.measured(NO_BRAKES, free_travel_mm=had),
            bench.measured(NO_BRAKES, free_travel_mm=now),
            adjustments=bench.adjusted(20, "brake_main"),
        )
        return by_rule(bench.narrated(job))

    assert worked(has)["air_brakes_later"].startswith("Both brakes may act later")
    for right in (52.0, 59.0):  # the other way, and next to nothing
        alone = worked({**has, Side.RIGHT: right})
        assert alone["air_brakes_later"].startswith("The left brake")


@pytest.mark.parametrize(
    ("left", "right", "measured", "words"),
    [
        (-28, 18, "", "By our record we shortened the left brake by 28 mm and let out the right"),
        (
            28,
            -18,
            "both",
            "We let out the left brake by 28 mm and shortened the right one by 18 mm.",
        ),
        (-28, 18, "right", "We let out the right brake by 18 mm; by our record we shortened the"),
    ],
)
def test_brakes_moved_opposite_ways_are_told_with_their_sides(
    bench: SimpleNamespace, left: float, right: float, measured: str, words: str
) -> None:
    moved = {"brake": right, "brake_main": right}
    job = bench.job(
        bench.measured(),
        bench.measured(
            left={"brake": left, "brake_main": left} if measured == "both" else NO_BRAKES,
            right=moved if measured else NO_BRAKES,
        ),
        adjustments=(
            *bench.adjusted(left, "brake_main", (Side.LEFT,)),
            *bench.adjusted(right, "brake_main", (Side.RIGHT,)),
        ),
    )

    assert by_rule(bench.narrated(job))["done_brakes_changed"].startswith(words)


@pytest.mark.parametrize("after", [False, True])
def test_free_travel_of_the_wing_as_it_came_is_not_called_never_assessed(
    bench: SimpleNamespace, after: bool
) -> None:
    job = bench.job(
        bench.measured(NO_BRAKES, free_travel_mm=PLENTY),
        bench.measured(NO_BRAKES) if after else None,
        adjustments=bench.adjusted(-20, "brake_main"),
    )
    never = bench.job(
        bench.measured(NO_BRAKES),
        bench.measured(NO_BRAKES) if after else None,
        adjustments=bench.adjusted(-20, "brake_main"),
    )

    assert strip(bench.narrated(job)) == "not measured again"
    assert strip(bench.narrated(never)) == "not assessed"


@pytest.mark.parametrize(
    "lines",
    [
        {"both": {"brake": 40, "brake_main": 40}},
        {"left": {"brake": 9}, "right": {"brake": -9}},
        {"both": {"brake": 15}},
    ],
    ids=["outside", "one shorter", "long"],
)
def test_free_travel_is_told_where_lengths_say_that_brakes_are_off(
    bench: SimpleNamespace, lines: dict[str, Any]
) -> None:
    def told(**lines: Any) -> str:
        alike = dict.fromkeys(Side, 70.0)
        job = bench.job(bench.measured(free_travel_mm=alike, **lines))
        return by_rule(bench.narrated(job)).get("found_travel_measured", "")

    assert told(**lines).startswith("The free travel of the brakes measured 70 mm on both sides")
    assert told() == ""
