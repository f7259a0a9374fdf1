"""Free travel that was measured is reported, whether or not brake lines were."""

from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.assess import assess
from trimscribe.assess.facts import facts_of
from trimscribe.doubt_messages import objection
from trimscribe.model.decision import Acceptance, DecisionRule
from trimscribe.model.findings import Verdict
from trimscribe.model.job import Flight, FlightDecision, Job, Measurement
from trimscribe.model.statements import Statements
from trimscribe.model.wing import Side

NO_LINES = {"brake": (None,) * 3, "brake_main": None}
ALIKE = {Side.LEFT: 72.0, Side.RIGHT: 70.0}
UNEVEN = {Side.LEFT: 98.0, Side.RIGHT: 52.0}


def by_rule(statements: Statements) -> dict[str, str]:
    everything = (*statements.sentences, *statements.cautions)
    return {s.rule: s.text.replace("\xa0", " ") for s in everything}


def strip(statements: Statements) -> tuple[Verdict, str]:
    return next((v.verdict, v.words) for v in statements.verdicts if v.key == "brakes")


def alone(bench: SimpleNamespace, **travel: float) -> Measurement:
    """A measuring of free travel and of nothing else."""
    return Measurement({}, free_travel_mm={Side(side): mm for side, mm in travel.items()})


@pytest.mark.parametrize(
    "lines",
    [{}, {"left": NO_LINES}, {"right": NO_LINES}, {"both": NO_LINES}],
    ids=["all lines", "left not measured", "right not measured", "no brake line"],
)
def test_clearly_uneven_free_travel_is_named_whatever_lines_were_measured(
    bench: SimpleNamespace, lines: dict[str, Any]
) -> None:
    reported = bench.narrated(bench.job(bench.measured(free_travel_mm=UNEVEN, **lines)))
    said = by_rule(reported)

    assert said["found_travel_uneven"] == (
        "The left brake had more free travel than the right one: 98 mm against 52 mm; 70 mm is "
        "specified."
    )
    assert said["air_travel_uneven"] == (
        "The right brake will probably act sooner than the left one."
    )
    assert said["caution_brake_check"].endswith(
        "They are uneven: the right brake will probably act sooner."
    )
    assert "uneven" in strip(reported)[1] or "lines not measured" in strip(reported)[1]
    assert "found_brakes_right" not in said


def test_free_travel_as_alike_as_it_can_be_read_is_not_called_uneven(
    bench: SimpleNamespace,
) -> None:
    for right in (70.0, 82.0, 89.0):
        travel = {Side.LEFT: 70.0, Side.RIGHT: right}
        said = by_rule(bench.narrated(bench.job(bench.measured(free_travel_mm=travel))))
        assert not {"found_travel_uneven", "air_travel_uneven"} & said.keys()
        assert "uneven" not in said["caution_brake_check"]


def test_a_brake_with_too_little_free_travel_is_named_beside_what_the_other_one_has(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(bench.measured(free_travel_mm={Side.LEFT: 98.0, Side.RIGHT: 40.0}))
    said = by_rule(bench.narrated(job))

    assert "only 40 mm of free travel; the left one had 98 mm." in said["found_brakes_tight"]
    assert not {"found_travel_uneven", "air_travel_uneven"} & said.keys()
    assert "uneven" not in said["caution_brake_check"]


def test_the_brake_with_less_free_travel_is_not_called_the_longer_one(
    bench: SimpleNamespace,
) -> None:
    """By its lines the left brake is longer; measured, it acts sooner."""
    job = bench.job(
        bench.measured(
            left={"brake": 14, "brake_main": 14}, right={"brake": -14, "brake_main": -14},
            free_travel_mm={Side.LEFT: 60.0, Side.RIGHT: 90.0},
        )
    )  # fmt: skip
    said = by_rule(bench.narrated(job))

    assert "found_brakes_uneven" not in said
    assert said["air_travel_uneven"].startswith("The left brake may act sooner")


def test_work_that_leaves_the_brakes_uneven_is_reported(bench: SimpleNamespace) -> None:
    job = bench.job(
        bench.measured(NO_LINES, free_travel_mm=ALIKE),
        bench.measured(NO_LINES, free_travel_mm=UNEVEN),
        adjustments=bench.adjusted(26, "brake_main", (Side.LEFT,)),
    )

    assert by_rule(bench.narrated(job))["done_travel_uneven"] == (
        "Now the left brake has more free travel than the right one: 98 mm against 52 mm."
    )


def test_what_free_travel_changed_by_is_told_where_no_brake_line_was_measured(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(
        bench.measured(NO_LINES, free_travel_mm=dict.fromkeys(Side, 60.0)),
        bench.measured(NO_LINES, free_travel_mm=dict.fromkeys(Side, 96.0)),
        adjustments=bench.adjusted(36, "brake_main"),
    )
    said = by_rule(bench.narrated(job))

    assert said["air_brakes_later"] == "Both brakes will probably act later."
    assert said["air_launch_same"].startswith("Apart from the brakes,")


@pytest.mark.parametrize(
    ("brakes", "work", "named"),
    [
        (0, (), "the lines that hold the wing"),
        (-10, ("brake_main",), "the brake lines and those that hold the wing"),
    ],
)
def test_work_on_lines_that_were_not_measured_again_is_told_as_entered(
    bench: SimpleNamespace, brakes: float, work: tuple[str, ...], named: str
) -> None:
    lineless = {**dict.fromkeys("ABC"), "stabilo": None}
    fan = {"brake": brakes, "brake_main": brakes}
    job = bench.job(
        bench.measured(free_travel_mm=dict.fromkeys(Side, 90.0)),
        bench.measured({**lineless, **fan}, free_travel_mm=dict.fromkeys(Side, 60.0)),
        adjustments=(*bench.adjusted(20), *(x for w in work for x in bench.adjusted(-10, w))),
    )

    assert by_rule(bench.narrated(job))["air_brakes_sooner"].endswith(
        f"act sooner, perhaps because {named} were adjusted."
    )


@pytest.mark.parametrize("specified", [True, False], ids=["with a line set", "without"])
def test_brakes_known_by_their_free_travel_are_not_among_what_is_not_assessed_in_the_air(
    bench: SimpleNamespace, specified: bool
) -> None:
    more: dict[str, Any] = {} if specified else {"specification": None}
    job = bench.job(
        alone(bench, left=72, right=30),
        alone(bench, left=72, right=71),
        adjustments=bench.adjusted(41, "brake_main", (Side.RIGHT,)),
        **more,
    )
    said = by_rule(bench.narrated(job))

    assert said["air_not_known"].startswith("Apart from the brakes, how it flies now")
    assert said["air_brakes_later"] == "The right brake will probably act later."


def test_too_little_free_travel_grounds_a_wing_without_a_line_set(bench: SimpleNamespace) -> None:
    job: Job = bench.job(alone(bench, left=72, right=30), specification=None)
    reported = bench.narrated(job)
    said = by_rule(reported)

    assert "The right brake has too little free travel." in said["headline_stop_brakes"]
    assert "only 30 mm" in said["caution_free_travel"]
    assert strip(reported) == (Verdict.FAIL, "too little free travel")


@pytest.mark.parametrize("lines", [NO_LINES, {}], ids=["no brake line", "those of the other"])
@pytest.mark.parametrize("side", Side)
def test_free_travel_of_one_brake_alone_asks_for_that_of_the_other_before_a_release(
    bench: SimpleNamespace, side: Side, lines: dict[str, Any]
) -> None:
    """The same where it was calculated, though the brake that is known is enough as it is."""
    other = Side.RIGHT if side is Side.LEFT else Side.LEFT
    travel = {side: 72.0} if lines else {}
    job = bench.job(
        bench.measured(lines, **{other.value: NO_LINES}, free_travel_mm=travel),
        flight=FlightDecision(Flight.RELEASED, by="Ines Corvin"),
    )
    said, unknown = by_rule(bench.narrated(job)), f"The free travel of the {other.value} brake"

    assert said["before_travel_open"] == (
        f"Have the free travel of the {other.value} brake measured before you fly it."
    )
    for rule in ("caution_free_travel_open", "brakes_travel_open"):
        assert said[rule].startswith(f"{unknown} was not measured, and it cannot be calculated")
    assert "decision_released_all_the_same" in said
    assert (
        f"but the free travel of the {other.value} brake is not known."
        in objection(assess(bench.findings(job), job), {}).message
    )


def test_free_travel_of_which_nothing_is_known_is_not_assessed_and_no_more(
    bench: SimpleNamespace,
) -> None:
    said = by_rule(bench.narrated(bench.job(bench.measured(NO_LINES))))

    assert "brakes" in said["before_not_assessed"]
    assert not {"before_travel_open", "caution_free_travel_open"} & said.keys()


def test_beside_one_that_is_not_known_free_travel_close_to_the_minimum_is_asked_for_too(
    bench: SimpleNamespace,
) -> None:
    near = {"brake": -12.0, "brake_main": -12.0}
    said = by_rule(bench.narrated(bench.job(bench.measured(left=near, right=NO_LINES))))

    assert said["before_travel_open"] == (
        "Have the free travel of the brakes measured before you fly it."
    )


def test_a_brake_that_nobody_measured_is_named_beside_one_that_is_outside_limits(
    bench: SimpleNamespace,
) -> None:
    off = {"brake": 30.0, "brake_main": 30.0}
    said = by_rule(bench.narrated(bench.job(bench.measured(left=off, right=NO_LINES))))

    assert "service: right brake, cloth" in said["before_not_assessed"]
    assert said["caution_missing"].startswith("Four brake lines were not measured.")


@pytest.mark.parametrize(
    ("left", "right", "words"),
    [
        (0, 0, "none on either side"),
        (0, 40, "none on the left, 40 mm on the right"),
        (20, 0, "20 mm on the left, none on the right"),
        (20, 40, "20 mm left, 40 mm right"),
    ],
)
def test_no_free_travel_at_all_is_named_by_its_side(
    bench: SimpleNamespace, left: float, right: float, words: str
) -> None:
    travel = {Side.LEFT: float(left), Side.RIGHT: float(right)}
    job = bench.job(
        bench.measured(free_travel_mm=travel),
        bench.measured(free_travel_mm=travel),
        adjustments=bench.adjusted(1),
    )
    said = by_rule(bench.narrated(job))

    for rule in ("found_brakes_tight", "done_free_travel", "caution_free_travel"):
        assert f"too little free travel: {words}" in said[rule].replace(" now:", ":")


@pytest.mark.parametrize(
    ("left", "right", "words"),
    [
        (-100, -105, "none on either side"),
        (-100, -40, "none on the left, about 30 mm on the right"),
    ],
)
def test_calculated_free_travel_of_nothing_is_not_about_none(
    bench: SimpleNamespace, left: float, right: float, words: str
) -> None:
    lines = ({"brake": mm, "brake_main": mm} for mm in (left, right))
    job = bench.job(bench.measured(None, *lines))
    said = by_rule(bench.narrated(job))

    assert f"too little free travel: {words}" in said["found_brakes_tight"]
    assert f"too little free travel: {words}" in said["caution_free_travel"]


def test_only_the_brake_whose_free_travel_is_not_known_is_asked_for(bench: SimpleNamespace) -> None:
    """Left measured again, right as it came alone: work on lines may have taken of it since."""
    job = bench.job(
        bench.measured(NO_LINES, free_travel_mm=ALIKE),
        bench.measured(NO_LINES, free_travel_mm={Side.LEFT: 74.0}),
        adjustments=bench.adjusted(1),
    )
    said = by_rule(bench.narrated(job))

    assert said["before_travel_open"] == (
        "Have the free travel of the right brake measured before you fly it."
    )
    assert (
        "The free travel of the right brake was not measured again"
        in (said["caution_free_travel_open"])
    )
    assert "free travel of the right brake was not measured" in said["brakes_travel_open"]


def test_a_brake_read_beyond_its_limit_keeps_its_mark_where_the_other_was_not_measured(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(
        bench.measured(left={"brake": 26.0, "brake_main": 0}, right=NO_LINES),
        decision_rule=DecisionRule(Acceptance.GUARDED, 2.0),
    )
    reported = bench.narrated(job)

    assert "before_brakes" in by_rule(reported)
    assert strip(reported) == (Verdict.CONDITIONAL_FAIL, "close to the limit, 4 not measured")


@pytest.mark.parametrize(
    ("now", "words"),
    [
        (ALIKE, "of the brakes is now 72 mm left and 70 mm right."),
        (dict.fromkeys(Side, 64.0), "of the brakes is now 64 mm on both sides."),
        ({Side.RIGHT: 64.0}, "of the right brake is now 64 mm."),
    ],
)
def test_free_travel_measured_after_the_work_is_told_where_nothing_else_is_of_the_brakes(
    bench: SimpleNamespace, now: dict[Side, float], words: str
) -> None:
    before = bench.measured(NO_LINES, free_travel_mm=dict.fromkeys(Side, 80.0))
    after = bench.measured(NO_LINES, free_travel_mm=now)
    worked = bench.job(before, after, adjustments=bench.adjusted(1))

    assert by_rule(bench.narrated(worked))["done_travel_measured"] == f"The free travel {words}"
    assert "done_travel_measured" not in by_rule(bench.narrated(bench.job(before, after)))


@pytest.mark.parametrize("travel", [True, False])
@pytest.mark.parametrize("side", Side)
def test_of_two_brakes_only_the_one_without_a_verdict_is_not_assessed(
    bench: SimpleNamespace, side: Side, travel: bool
) -> None:
    free = dict.fromkeys(Side, 72.0) if travel else {}
    fan = {"brake": None, "brake_main": None}
    job = bench.job(bench.measured(**{side.value: fan}, free_travel_mm=free))
    name, words = (
        (f"brake_lengths_of_{side.value}", f"lengths of the {side.value} brake")
        if travel
        else (f"brake_{side.value}", f"{side.value} brake")
    )

    assert name in facts_of(bench.findings(job), job)["not_assessed"]
    said = by_rule(bench.narrated(job))["before_not_assessed"]
    assert said.startswith(f"Not assessed in this service: {words}, cloth")


def test_brakes_of_which_each_was_judged_at_some_time_are_assessed(bench: SimpleNamespace) -> None:
    fan = {"brake": None, "brake_main": None}
    job = bench.job(
        bench.measured(left=fan), bench.measured(right=fan), adjustments=bench.adjusted(-3)
    )

    silent = facts_of(bench.findings(job), job)["not_assessed"]
    assert not [name for name in silent if name.startswith("brake")]


def test_free_travel_that_nobody_measured_is_said_not_to_be(bench: SimpleNamespace) -> None:
    laser = {"method": "laser", "instrument": "LD-2"}
    said = {
        name: by_rule(bench.narrated(job)).get("before_travel_not_measured")
        for name, job in {
            "long": bench.job(bench.measured({"brake": 30.0, "brake_main": 30.0})),
            "no way to calculate": bench.job(
                bench.measured(), specification=bench.specification(brake_free_travel_mm=None)
            ),
            "measured": bench.job(bench.measured(free_travel_mm=dict.fromkeys(Side, 72.0))),
            "measured as it came": bench.job(
                bench.measured(free_travel_mm=dict.fromkeys(Side, 90.0), **laser),
                bench.measured(NO_LINES | {"B": (0, None, 0, 0, None, 0)}, **laser),
                adjustments=bench.adjusted(-9),
            ),
            "brakes not judged": bench.job(bench.measured({"brake": None, "brake_main": None})),
        }.items()
    }

    assert said == {
        "long": "Free travel was not measured, only calculated.",
        "no way to calculate": "Free travel was not measured.",
        "measured": None,
        "measured as it came": None,
        "brakes not judged": None,
    }


def test_where_brakes_came_long_their_free_travel_after_work_on_lines_is_reported(
    bench: SimpleNamespace,
) -> None:
    """22 mm less to the left by work on rows alone: what it was is on page one, so what it is."""
    came = {Side.LEFT: 90.0, Side.RIGHT: 88.0}
    now = {Side.LEFT: 68.0, Side.RIGHT: 70.0}
    told = by_rule(
        bench.narrated(
            bench.job(
                bench.measured({"C": -16}, free_travel_mm=came),
                bench.measured({"C": -7}, free_travel_mm=now),
                adjustments=bench.adjusted(9),
            )
        )
    )

    assert "both brakes were long" in told["found_brakes_long"]
    assert told["done_travel_measured"].startswith("The free travel of the brakes is now 68")


def test_a_maker_who_specifies_less_than_the_minimum_is_named_beside_it(
    bench: SimpleNamespace,
) -> None:
    read = bench.measured(free_travel_mm={Side.LEFT: 32.0, Side.RIGHT: 31.0})
    little = bench.specification(brake_free_travel_mm=30.0)
    once = by_rule(bench.narrated(bench.job(read, specification=little)))
    twice = by_rule(bench.narrated(bench.job(read, read, specification=little)))

    ends = "The minimum is 50 mm; the maker specifies 30 mm."
    assert once["found_brakes_tight"].endswith(ends)
    assert twice["done_free_travel"].endswith(ends)
    usual = by_rule(bench.narrated(bench.job(read)))
    assert usual["found_brakes_tight"].endswith("The minimum is 50 mm.")
