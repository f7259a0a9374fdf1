"""Sentences of one report that could contradict each other in a pilot's eyes know of each other."""

import re
from dataclasses import replace
from types import SimpleNamespace

import pytest

from trimscribe.assess.facts import facts_of
from trimscribe.model.findings import Verdict
from trimscribe.model.job import (
    Adjustment,
    Condition,
    Flight,
    FlightDecision,
    InspectionItem,
    Job,
    Replacement,
    StrengthTest,
    WrittenPlan,
)
from trimscribe.model.statements import Place, Statements
from trimscribe.model.verdicts import Expectation
from trimscribe.model.wing import CascadeLine, Point, Side

SHORT = {"brake": -32, "brake_main": -32}
REPAIRED = (InspectionItem("seams", Condition.REPAIRED),)


def by_rule(statements: Statements) -> dict[str, str]:
    everything = (*statements.sentences, *statements.cautions)
    return {s.rule: s.text.replace("\xa0", " ") for s in everything}


def strip(statements: Statements, group: str) -> tuple[Verdict, str]:
    return next((v.verdict, v.words) for v in statements.verdicts if v.key == group)


def retrimmed(bench: SimpleNamespace, **after: float) -> Job:
    """Two lines of row B moved by what nobody notices; the brakes as given."""
    travel = dict.fromkeys(Side, 60.0)
    return bench.job(
        bench.measured({"B": (0, 0, 12, 0, 0, 0)}, free_travel_mm=travel),
        bench.measured(after, free_travel_mm=travel),
        adjustments=bench.adjusted(-12, "B3"),
    )


def test_launch_as_before_leaves_out_brakes_that_are_short_or_changed(
    bench: SimpleNamespace,
) -> None:
    plain, short = (by_rule(bench.narrated(retrimmed(bench, **mm))) for mm in ({}, SHORT))

    assert "air_no_change" in plain
    assert short["air_launch_same"] == (
        "Apart from the brakes, launch and speed will probably feel as before."
    )
    assert "brakes are short" in short["before_short_brakes"]


@pytest.mark.parametrize(
    ("sides", "ends"),
    [
        ((), "as it did before."),
        ((Side.LEFT,), "as it did before, with the left brake short."),
        (tuple(Side), "as it did before, with both brakes short."),
    ],
)
def test_a_wing_that_flies_as_before_has_its_short_brakes_as_before(
    bench: SimpleNamespace, sides: tuple[Side, ...], ends: str
) -> None:
    short = {side.value: SHORT for side in sides}
    job = bench.job(bench.measured(free_travel_mm=dict.fromkeys(Side, 60.0), **short))

    assert by_rule(bench.narrated(job))["air_unchanged"].endswith(ends)


def test_lines_of_one_side_alone_are_those_that_hold_the_wing(bench: SimpleNamespace) -> None:
    """The brake lines of the other side may have been measured all the same."""
    nothing = {"A": None, "B": None, "C": None, "stabilo": None}
    said = by_rule(bench.narrated(bench.job(bench.measured(right=nothing))))

    assert said["found_one_side"] == (
        "Of the lines that hold the wing, only those of the left side were measured."
    )


def test_a_line_that_moved_without_an_entry_is_no_entry_that_looks_wrong(
    bench: SimpleNamespace,
) -> None:
    moved = bench.narrated(
        bench.job(
            bench.measured(),
            bench.measured({"C": 8}),
            adjustments=bench.adjusted(8, sides=(Side.LEFT,)),
        )
    )
    said, titles = by_rule(moved), {c.rule: c.title for c in moved.cautions}

    assert said["headline_doubts"].endswith(
        "yet one line seems to have changed though no work that was entered names it."
    )
    assert titles["caution_doubts"] == "A change without an entry"
    (text,) = (c.text for c in moved.cautions if c.rule == "caution_doubts")
    assert text.startswith(
        "By measuring c right seems to have changed, though no work that was entered names it."
    )
    assert strip(moved, "lines")[1] == "within limits, a change without an entry"


def test_a_repair_is_work_though_no_line_was_touched(bench: SimpleNamespace) -> None:
    within, outside = (
        bench.narrated(bench.job(bench.measured(mm), inspection=REPAIRED)) for mm in ({}, {"A": 15})
    )
    for statements in (within, outside):
        text = " ".join(s.text for s in statements.sentences)
        assert "Repaired: seams. No other work was entered." in text
        assert "othing was changed" not in text
        assert "changed nothing" not in text
        assert "what the repair changes in flight is not assessed" in text.lower()
    assert by_rule(outside)["headline_outside"].endswith("the only work that was entered.")


def test_conditions_stand_beside_the_decision_and_are_called_to_mind_before_flying(
    bench: SimpleNamespace,
) -> None:
    given = FlightDecision(Flight.WITH_CONDITIONS, "no speed bar")
    reported = bench.narrated(bench.job(bench.measured(), flight=given))
    grounded = bench.narrated(
        bench.job(bench.measured(free_travel_mm=dict.fromkeys(Side, 20.0)), flight=given)
    )
    before = [s.text for s in reported.at(Place.BEFORE_FLYING)]

    assert "no speed bar" in by_rule(reported)["decision_conditions"]
    assert "Keep to the conditions of its release." in before
    assert "no speed bar" not in " ".join(before)
    assert "before_conditions" not in by_rule(grounded)


def test_brake_lines_outside_now_are_counted_as_those_found_are(bench: SimpleNamespace) -> None:
    job = bench.job(
        bench.measured({"C": -12}),
        bench.measured(left={"brake": (-5, -5, 30)}),
        adjustments=bench.adjusted(12),
    )
    said = by_rule(bench.narrated(job))

    assert said["done_brakes_outside"] == "One of eight brake lines is outside limits."
    assert "one" not in said["caution_brakes_outside"].lower().split()


@pytest.mark.parametrize(
    ("before", "after", "work", "reported"),
    [
        (70.0, 66.0, 8, True),
        (70.0, 70.0, 8, False),  # none was lost
        (70.0, 66.0, 0, False),  # no line was let out
    ],
)
def test_free_travel_that_lines_let_out_may_have_taken_says_so(
    bench: SimpleNamespace, before: float, after: float, work: int, reported: bool
) -> None:
    job = bench.job(
        bench.measured({"C": -work}, free_travel_mm=dict.fromkeys(Side, before)),
        bench.measured(free_travel_mm=dict.fromkeys(Side, after)),
        adjustments=bench.adjusted(8 if work else -8, "c" if work else "a"),
    )
    assert ("brakes_travel_lost" in by_rule(bench.narrated(job))) is reported


def test_too_little_free_travel_says_that_work_on_lines_may_have_taken_of_it(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(
        bench.measured({"C": -8}, free_travel_mm=dict.fromkeys(Side, 48.0)),
        bench.measured(free_travel_mm={Side.LEFT: 80.0, Side.RIGHT: 45.0}),
        adjustments=bench.adjusted(8),
    )
    assert by_rule(bench.narrated(job))["done_free_travel"] == (
        "The right brake has only 45 mm of free travel now, less than before, perhaps by "
        "our work; the left one has 80 mm. The minimum is 50 mm."
    )


def test_a_brake_that_was_adjusted_lost_nothing_to_lines(bench: SimpleNamespace) -> None:
    job = bench.job(
        bench.measured({"C": -12}, free_travel_mm=dict.fromkeys(Side, 70.0)),
        bench.measured({"brake": -12}, free_travel_mm=dict.fromkeys(Side, 56.0)),
        adjustments=(*bench.adjusted(12), *bench.adjusted(-12, "brake_main")),
    )
    assert "brakes_travel_lost" not in by_rule(bench.narrated(job))


@pytest.mark.parametrize(
    ("replaced", "asked"),
    [
        ((), True),
        ((Replacement("line A1", Side.LEFT, "broke in its test"),), False),
        ((Replacement("all lines of A1", None, "age"),), False),
        ((Replacement("complete line set", None, "age"),), False),
        ((Replacement("half of the line set", None, "age"),), True),
        ((Replacement("A lines", Side.LEFT, "age"),), False),
        ((Replacement("B lines", Side.LEFT, "age"),), True),
        ((Replacement("line A1", Side.RIGHT, "worn"),), True),
        ((Replacement("line A11", Side.LEFT, "worn"),), True),
        ((Replacement("maillons", None, "age"),), True),
    ],
)
def test_a_line_that_broke_above_its_load_is_asked_after_unless_it_was_replaced(
    bench: SimpleNamespace, replaced: tuple[Replacement, ...], asked: bool
) -> None:
    pulled = StrengthTest("A1 middle line", 900, broke=True, required_n=800, side=Side.LEFT)
    reported = bench.narrated(
        bench.job(bench.measured(), strength=(pulled,), replacements=replaced)
    )
    verdict, words = strip(reported, "strength")

    assert ("caution_broken" in by_rule(reported)) is asked
    assert (verdict is Verdict.PASS) is not asked
    assert words == "held the required load" + (", then broke" if asked else "")


@pytest.mark.parametrize(
    ("line", "limit", "part", "strength", "brakes"),
    [
        ("brake_main", None, "", "a line broke, not proven", "within limits, but a line broke"),
        (
            "Brake 2",
            800,
            "",
            "held the required load, then broke",
            "within limits, but a line broke",
        ),
        ("brake2", 950, "", "did not hold", "within limits, but a line broke"),
        ("brake2", 800, "line brake2", "held the required load", "not measured again"),
        ("A1", None, "", "a line broke, not proven", "within limits"),
    ],
)
def test_a_line_that_broke_in_its_test_is_in_the_strip(
    bench: SimpleNamespace, line: str, limit: float | None, part: str, strength: str, brakes: str
) -> None:
    job = bench.job(
        bench.measured(free_travel_mm=dict.fromkeys(Side, 72.0)),
        strength=(StrengthTest(line, 900, broke=True, required_n=limit, side=Side.LEFT),),
        replacements=(Replacement(part, None, "broke in its test"),) if part else (),
    )
    told = bench.narrated(job)

    assert strip(told, "strength")[1] == strength
    assert strip(told, "brakes")[1] == brakes


@pytest.mark.parametrize(("part", "asked"), [("upper line A1", True), ("Main line a1.", False)])
def test_the_line_above_one_that_broke_is_not_taken_for_it(
    bench: SimpleNamespace, part: str, asked: bool
) -> None:
    main = CascadeLine("a1", (Point("A", 1), Point("A", 2)))
    job = bench.job(
        bench.measured(),
        specification=bench.specification(cascade=(main,)),
        strength=(StrengthTest("a1", 900, broke=True, required_n=800, side=Side.LEFT),),
        replacements=(Replacement(part, Side.LEFT, "broke in its test"),),
    )

    assert ("caution_broken" in by_rule(bench.narrated(job))) is asked


def test_lines_outside_limits_do_not_stay_so_where_the_whole_set_is_new(
    bench: SimpleNamespace,
) -> None:
    def rules(part: str) -> set[str]:
        new = (Replacement(part, None, "age"),)
        return set(by_rule(bench.narrated(bench.job(bench.measured({"C": -40}), replacements=new))))

    assert {"before_still_outside", "caution_still_outside"} <= rules("maillons")
    assert not {"before_still_outside", "caution_still_outside"} & rules("complete line set")


def test_a_wing_that_is_still_nose_up_is_not_said_to_overshoot(bench: SimpleNamespace) -> None:
    """What to be ready for on launch goes by how the wing is now, not by what changed."""

    def told(left_mm: float) -> dict[str, str]:
        return by_rule(
            bench.narrated(
                bench.job(
                    bench.measured(bench.tilt(34)),
                    bench.measured(bench.tilt(left_mm)),
                    adjustments=bench.adjusted(round(34 - left_mm)),
                )
            )
        )

    still, level = told(16), told(0)

    assert "hang back: release the brakes" in still["caution_up"]
    assert still["air_launch_down"].endswith("more easily than before when you launch.")
    assert level["air_launch_down"].endswith("may overshoot you: be ready to brake.")


@pytest.mark.parametrize(
    ("off_by_itself", "said"),
    [
        ((True, True), "Measured unlike the plan: c left and c right."),
        (
            (True, False),
            "Measured unlike the plan, or unlike the other adjusted lines: c left and c right.",
        ),
        (
            (False, False),
            "Compared with their plans, c left and c right measured unlike the other "
            "adjusted lines.",
        ),
    ],
)
def test_work_off_its_plan_is_told_from_work_unlike_the_rest(
    bench: SimpleNamespace, off_by_itself: tuple[bool, bool], said: str
) -> None:
    """Where it is not known what all lines changed by, some misses exceed even the most of that."""
    job = bench.job(bench.measured({"C": -15}), bench.measured(), adjustments=bench.adjusted(15))
    findings = bench.findings(job)
    ledger = tuple(
        replace(
            entry,
            verdict=Verdict.FAIL,
            shown=False,
            shift_mm=None,
            least_mm=20.0,
            limit_mm=20.0 if alone else 9.0,
        )
        for entry, alone in zip(findings.ledger, off_by_itself, strict=True)
    )

    told = bench.said_of(replace(findings, ledger=ledger), job)

    assert by_rule(told)["done_unlike"] == said


def test_a_line_that_seems_to_have_changed_leaves_open_how_the_wing_flies(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(bench.measured(), bench.measured(right={"C": 8}))
    told = by_rule(bench.narrated(job))

    assert "seems to have changed" in told["caution_doubts"]
    assert told["air_unchanged"] == (
        "By our record nothing was changed, so as far as we know it will fly as it did before."
    )
    # Beside the measured change nobody can say that nothing was done, but that nothing was entered.
    assert told["done_nothing"] == "No work on the wing was entered."
    assert told["before_doubted"] == "Have c right checked before you fly it."
    unchanged = by_rule(bench.narrated(bench.job(bench.measured())))
    assert unchanged["done_nothing"] == "We changed nothing on the wing."


def test_a_row_that_was_never_measured_was_not_left_out_the_second_time(
    bench: SimpleNamespace,
) -> None:
    never, then = {"B": None, "C": None, "stabilo": None}, {}
    said = {
        name: by_rule(bench.narrated(bench.job(bench.measured(first), bench.measured(never))))[
            "caution_untied"
        ]
        for name, first in (("never", never), ("the second time", then))
    }

    assert "Rows B and C were not measured, " in said["never"]
    assert "Rows B and C were not measured the second time, " in said["the second time"]


def test_a_change_that_only_may_be_felt_is_at_least_so_much_only_if_it_is_felt(
    bench: SimpleNamespace,
) -> None:
    """Beyond two degrees an estimate of the speed has no upper end."""
    job = bench.job(
        bench.measured(bench.tilt(80)),
        bench.measured(bench.tilt(55)),
        adjustments=bench.adjusted(round(25 * 1.3)),
    )
    findings = bench.findings(job)
    perhaps = replace(findings.change.pitch, expectation=Expectation.POSSIBLE)
    unsure = replace(findings, change=replace(findings.change, pitch=perhaps))
    sure, may = (by_rule(bench.said_of(f, job))["air_faster"] for f in (findings, unsure))

    assert sure == "Hands up, it will probably fly at least 1 km/h faster."
    assert may == "Hands up, it may fly faster; if so, by at least 1 km/h."


@pytest.mark.parametrize("after", [False, True])
def test_an_angle_of_one_half_is_not_told_of_a_wing_whose_other_half_is_in_doubt(
    after: bool, bench: SimpleNamespace
) -> None:
    off = bench.measured(left=dict.fromkeys(("A", "B", "C"), -140.0))
    job = (
        bench.job(bench.measured(), off, adjustments=bench.adjusted(9)) if after else bench.job(off)
    )
    told, when = by_rule(bench.narrated(job)), "now" if after else "found"
    facts = facts_of(bench.findings(job), job)

    assert (facts[f"{when}_angle_by"], facts[f"{when}_angle_side"]) == ("half", "right")
    assert facts[f"{when}_only_side"] == ""  # the other was measured
    assert "y the right half alone" in told["chart_angle_both" if after else "found_level"]
    assert after or "too little to notice" not in told["found_level"]


def test_brake_lines_alone_are_lines_that_were_measured(bench: SimpleNamespace) -> None:
    nothing = dict.fromkeys(("A", "B", "C", "stabilo"))
    only = bench.measured(nothing)
    once = by_rule(bench.narrated(bench.job(only)))
    again = by_rule(
        bench.narrated(bench.job(only, only, adjustments=bench.adjusted(-9, "brake_main")))
    )
    part = Replacement("one line", None, "worn")
    came = by_rule(
        bench.narrated(bench.job(bench.measured(), bench.measured(nothing), replacements=(part,)))
    )
    never = by_rule(bench.narrated(bench.example("sparse")))

    assert once["headline_lines_not_measured"] == (
        "Your wing was checked. Of its lines only those of the brakes were measured."
    )
    assert once["found_not_measured"].startswith("The lines that hold the wing were not measured.")
    assert again["done_again"] == "The second time only brake lines were measured."
    assert came["headline_lines_not_measured"] == (
        "Your wing was measured as it came. Only its brake lines were measured again."
    )
    assert never["found_not_measured"].startswith("The lines were not measured.")


def test_brakes_alone_measured_again_leave_the_rest_as_it_came(bench: SimpleNamespace) -> None:
    rows = dict.fromkeys(("A", "B", "C", "stabilo"))
    long = {"brake": 30.0, "brake_main": 30.0}
    job = bench.job(
        bench.measured(right=long, method="laser", instrument="L-1"),
        bench.measured(rows, method="laser", instrument="L-1"),
        adjustments=bench.adjusted(-30, "brake_main", (Side.RIGHT,)),
        specification=bench.specification(brakes_share_offset=True),
    )
    said = bench.narrated(job)
    told = by_rule(said)

    assert "within limits" in told["headline_within"]
    assert told["done_again_carried"] == (
        "The second time we measured brake lines only; of the others 40 that nobody touched "
        "count as measured before. All 40 are within limits."
    )
    assert told["air_launch_same"].startswith("Apart from the brakes, launch and speed will")
    assert not {"before_brakes_past", "caution_brakes_past", "air_not_known"} & told.keys()
    assert strip(said, "brakes") == (Verdict.PASS, "corrected")


def test_brakes_measured_again_that_cannot_be_judged_are_not_called_unmeasured(
    bench: SimpleNamespace,
) -> None:
    rows = dict.fromkeys(("A", "B", "C", "stabilo"))
    job = bench.job(
        bench.measured(right={"brake": 30.0, "brake_main": 30.0}, method="laser", instrument="L-1"),
        bench.measured(rows, method="tape", instrument="T-1"),
        adjustments=bench.adjusted(-30, "brake_main", (Side.RIGHT,)),
        specification=bench.specification(brakes_share_offset=True),
    )
    said = bench.narrated(job)
    told = by_rule(said)

    assert told["headline_brakes_past"].endswith("brake was outside, and it was not judged again.")
    assert told["before_brakes_past"].endswith(
        "Its length could not be judged when measured again."
    )
    caution = next(c for c in said.cautions if c.rule == "caution_brakes_past")
    assert caution.title == "Brake lines not assessed now"
    assert "nothing ties them to the lines that hold the wing" in told["caution_brakes_past"]
    assert strip(said, "brakes") == (Verdict.NOT_ASSESSED, "measured again, not assessed")
    assert not any("not measured again" in text for rule, text in told.items() if "brakes" in rule)


def test_lines_that_nobody_worked_on_are_not_said_to_be_back_within_limits(
    bench: SimpleNamespace,
) -> None:
    first, then = ({"B": (0, 0, mm, 0, 0, 0)} for mm in (12.0, 9.0))
    alone = bench.narrated(bench.job(bench.measured(first), bench.measured(then)))
    worked = bench.narrated(
        bench.job(bench.measured(first), bench.measured(), adjustments=bench.adjusted(-12, "B3"))
    )

    assert by_rule(alone)["headline_back"] == (
        "At first two lines of your wing measured outside limits. Measured again, its line lengths "
        "read within limits."
    )
    assert by_rule(worked)["headline_back"] == (
        "Your wing arrived with lines outside limits. Its line lengths are back within limits."
    )


def test_a_plan_that_was_entered_as_work_is_not_open(bench: SimpleNamespace) -> None:
    done = tuple(Adjustment("b", side, "double loop", "single loop") for side in Side)
    lines = bench.job(bench.measured(), bench.measured(), adjustments=done[:1])
    plans = {
        count: by_rule(bench.narrated(replace(lines, plan=WrittenPlan(done[:count]))))
        for count in (1, 2)
    }

    assert "caution_plan_open" not in plans[1]
    assert plans[2]["caution_plan_open"].startswith("A change of one line was proposed")


def test_who_released_the_wing_begins_a_sentence(bench: SimpleNamespace) -> None:
    by = FlightDecision(Flight.RELEASED, by="the owner of the workshop")
    told = by_rule(bench.narrated(bench.job(bench.measured(), flight=by)))

    assert told["decision_released"] == "The owner of the workshop released this wing for flight."


def test_a_change_without_an_entry_is_called_so_beside_work_unlike_its_plan(
    bench: SimpleNamespace,
) -> None:
    """Head, strip and caution speak of one thing; the ledger of the other."""
    job = bench.job(
        bench.measured({"C": -8}),
        bench.measured({"A": 0.2}, left={"B": 8}, right={"C": -8}),
        adjustments=bench.adjusted(8),
    )
    statements = bench.narrated(job)
    titles = {c.rule: c.title for c in statements.cautions}

    assert {"caution_ledger", "caution_doubts"} <= titles.keys()
    assert titles["caution_doubts"] == "A change without an entry"
    assert "one line seems to have changed" in by_rule(statements)["headline_doubts"]
    assert strip(statements, "lines")[1] == "within limits, a change without an entry"


def test_lines_worked_on_are_to_be_measured_where_only_brakes_were(bench: SimpleNamespace) -> None:
    rows = dict.fromkeys(("A", "B", "C", "stabilo"))
    work = (*bench.adjusted(8, "B3"), *bench.adjusted(-9, "brake_main"))
    job = bench.job(bench.measured(), bench.measured(rows), adjustments=work)
    told = by_rule(bench.narrated(job))

    assert "untied" in facts_of(bench.findings(job), job)["against"]
    assert told["before_untied"] == "Have the whole line set measured before you fly it."
    assert told["caution_untied"].startswith(
        "No line that holds the wing was measured the second time."
    )


def test_a_wing_that_our_work_tilted_the_other_way_is_said_to_be_so(bench):
    """Nose up as it came, 0.7°; nose down as it leaves: page one reports both."""
    came, leaves = bench.measured(bench.tilt(16)), bench.measured(bench.tilt(-15))
    told = bench.narrated(bench.job(came, leaves, adjustments=bench.adjusted(24)))
    texts = {s.rule: s.text for s in told.sentences}

    assert re.fullmatch(
        r"The wing is now 0\.\d° nose down from the maker's angle\.", texts["done_angle_left"]
    )


def test_a_workshop_that_has_not_decided_says_why(bench: SimpleNamespace) -> None:
    open_yet = FlightDecision(Flight.NOT_DECIDED, reason="waiting for the maker")
    told = by_rule(bench.narrated(bench.job(bench.measured(), flight=open_yet)))

    assert told["decision_open"] == (
        "The workshop has not decided whether this wing may fly: waiting for the maker."
    )


def test_what_a_copied_column_says_of_work_is_not_what_the_pilot_will_notice(
    bench: SimpleNamespace,
) -> None:
    same = bench.measured({"C": -9})
    job = bench.job(same, same, adjustments=bench.adjusted(9, "c"))
    copied = by_rule(bench.narrated(job))
    said = {f"after.{side}.C": "read again" for side in Side}
    sure = by_rule(bench.narrated(replace(job, confirmed=said)))

    assert "air_no_change" not in copied
    assert copied["air_not_known"].endswith("is not assessed: be ready for a change.")
    assert "air_not_known" not in sure
