"""What is said of brakes: one judgement, of when it was measured, and only what is settled."""

import re
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.assess.facts import facts_of
from trimscribe.model.decision import Acceptance, DecisionRule
from trimscribe.model.findings import Verdict
from trimscribe.model.job import Condition, InspectionItem, Job, Pilot
from trimscribe.model.statements import Place, Statements
from trimscribe.model.wing import Side

NO_BRAKES = {"brake": None, "brake_main": None}
LINE_OFF = {"B": (0, 0, 15, 0, 0, 0)}
TIGHT = dict.fromkeys(Side, 40.0)


def by_rule(statements: Statements) -> dict[str, str]:
    everything = (*statements.sentences, *statements.cautions)
    return {s.rule: s.text.replace("\xa0", " ") for s in everything}


def strip(statements: Statements) -> tuple[Verdict, str]:
    return next((v.verdict, v.words) for v in statements.verdicts if v.key == "brakes")


def facts(bench: SimpleNamespace, job: Job) -> dict[str, object]:
    return dict(facts_of(bench.findings(job), job))


def not_again(bench: SimpleNamespace, before: dict[str, object], **more: object) -> Job:
    """Work on a line, and everything measured again but the brakes."""
    return bench.job(
        bench.measured({**LINE_OFF, **before}, **more),
        bench.measured(NO_BRAKES),
        adjustments=bench.adjusted(-15, "B3"),
    )


def test_too_little_free_travel_before_the_work_is_not_reported_as_what_the_brakes_have(
    bench: SimpleNamespace,
) -> None:
    reported = bench.narrated(not_again(bench, {}, free_travel_mm=TIGHT))
    said = by_rule(reported)
    for rule in ("headline_stop_brakes", "caution_free_travel", "brakes_little_travel"):
        assert "s it came, both brakes had" in said[rule]
        assert "now is not known" in said[rule] or rule == "caution_free_travel"
        assert "brakes have" not in said[rule]
        assert "brakes may have" not in said[rule]
    assert strip(reported) == (Verdict.FAIL, "free travel too little as it came")


def test_each_brake_keeps_its_danger_until_that_brake_was_measured_anew(
    bench: SimpleNamespace,
) -> None:
    """Left measured again and right now, right never again."""
    job = bench.job(
        bench.measured(LINE_OFF, free_travel_mm=TIGHT),
        bench.measured(NO_BRAKES, free_travel_mm={Side.LEFT: 70.0}),
        adjustments=bench.adjusted(-15, "B3"),
    )
    known = facts(bench, job)
    assert (known["free_travel_low"], known["free_travel_past"]) == (("right",), True)
    assert "the right brake had only 40 mm" in by_rule(bench.narrated(job))["caution_free_travel"]


def test_brakes_found_outside_and_not_measured_again_are_cautioned(bench: SimpleNamespace) -> None:
    reported = bench.narrated(not_again(bench, {"brake": 40}))
    said = by_rule(reported)
    assert "As it came, six brake lines were outside limits" in said["caution_brakes_past"]
    assert "caution_brakes_outside" not in said
    assert strip(reported) == (Verdict.FAIL, "outside limits as it came")


def test_brakes_found_outside_and_within_now_are_not_cautioned(bench: SimpleNamespace) -> None:
    job = bench.job(
        bench.measured({"brake": 40}),
        bench.measured(),
        adjustments=bench.adjusted(-40, "brake_main"),
    )
    assert (
        not {"caution_brakes_past", "caution_brakes_outside"} & by_rule(bench.narrated(job)).keys()
    )


def test_a_brake_that_was_short_and_not_measured_again_is_reported_as_it_came(
    bench: SimpleNamespace,
) -> None:
    said = by_rule(bench.narrated(not_again(bench, {"brake": -15})))
    assert said["before_short_brakes"].startswith("As it came, both brakes were short")
    assert "how it is now is not known" in said["caution_short_brakes"]


def test_one_line_outside_makes_tile_letter_and_claim_say_outside(bench: SimpleNamespace) -> None:
    reported = bench.narrated(bench.job(bench.measured(left={"brake": (-5, -5, 30)})))
    assert strip(reported) == (Verdict.FAIL, "outside limits")
    found = " ".join(s.text for s in reported.at(Place.FOUND) if s.topic == "brakes")
    assert "ne of eight brake lines was outside limits" in found
    assert "Brake 3 left differs" in by_rule(reported)["caution_brakes_outside"]


@pytest.mark.parametrize(
    ("left", "right", "reported"),
    [
        (-9, 9, "The left brake was shorter than the right one."),
        (9, -9, "The left brake was longer than the right one."),
        (-12, 0, "The left brake was shorter than the right one."),
        (0, -12, "The right brake was shorter than the left one."),
        (12, 0, "The left brake was longer than the right one."),
    ],
)
def test_of_two_uneven_brakes_the_one_that_is_further_off_is_named(
    bench: SimpleNamespace, left: float, right: float, reported: str
) -> None:
    job = bench.job(
        bench.measured(left={"brake": left}, right={"brake": right}), thresholds={"brake_mm": 40.0}
    )
    # Both as far off: either name is true.
    said = by_rule(bench.narrated(job))["found_brakes_uneven"]
    other = {"left": "right", "right": "left"}
    words = reported.split()
    mirror = (
        f"The {other[words[1]]} brake was {'longer' if 'shorter' in reported else 'shorter'} than"
    )
    assert reported in said or (abs(left) == abs(right) and mirror in said)


def test_two_short_brakes_are_called_short_and_neither_longer(bench: SimpleNamespace) -> None:
    reported = bench.narrated(bench.job(bench.measured(left={"brake": -40}, right={"brake": -60})))
    said = by_rule(reported)["found_brakes_short"]
    assert "both brakes were short, the right one more" in said
    assert "longer" not in said


def test_the_section_names_a_direction_only_where_it_is_settled(bench: SimpleNamespace) -> None:
    job = bench.job(bench.measured(left={"brake": 6}, right={"brake": -23}))
    said = by_rule(bench.narrated(job))["brakes_found"]
    assert "left brake not clearly longer or shorter, right brake 23 mm shorter" in said
    near = by_rule(bench.narrated(bench.job(bench.measured({"brake": 6}))))["brakes_found"]
    assert "neither brake clearly longer or shorter." in near


@pytest.mark.parametrize("off", [(9, -9), (-9, 9), (6, 6), (-16, 0), (15, -15)])
def test_the_section_says_of_each_brake_and_of_both_what_the_letter_says(
    bench: SimpleNamespace, off: tuple[float, float]
) -> None:
    """Each against the lines that hold the wing; both against each other, where that is said."""
    job = bench.job(bench.measured(left={"brake": off[0]}, right={"brake": off[1]}))
    said, known = by_rule(bench.narrated(job)), facts(bench, job)
    ways = (known["found_brake_left_way"], known["found_brake_right_way"])

    assert ("neither brake clearly longer or shorter" in said["brakes_found"]) == (ways == ("", ""))
    assert "difference" not in said["brakes_found"]
    if letter := said.get("found_brakes_uneven"):
        words = letter.split(".")[0].split()  # The left brake was longer than the right one
        side, way = words[1], words[4]
        assert re.search(
            rf"other the {side} brake was about \d+ mm {way} than the \w+ one, uncertain by "
            r"about 4 mm\.",
            said["brakes_found"],
        )


def test_page_one_says_the_free_travel_of_now_and_the_minimum(bench: SimpleNamespace) -> None:
    """Also where its lines are outside, and where more than one thing is wrong."""
    then, now = ({Side.LEFT: 70.0, Side.RIGHT: mm} for mm in (48.0, 45.0))
    off = {"brake": -41}
    job = bench.job(
        bench.measured(right=off, free_travel_mm=then),
        bench.measured(right=off, free_travel_mm=now),
        inspection=(InspectionItem("seams", Condition.DAMAGED),),
    )
    said = by_rule(bench.narrated(job))

    assert said["caution_free_travel"].startswith(
        "The right brake has only 45 mm of free travel (minimum 50 mm)."
    )
    assert said["done_free_travel"] == (
        "The right brake has only 45 mm of free travel now. The minimum is 50 mm."
    )
    assert "had only 48 mm" in said["found_brakes_tight"]


def test_calculated_free_travel_says_from_what_and_how_surely(bench: SimpleNamespace) -> None:
    """40 ± 12 mm is surely too little, 45 ± 12 mm may be enough."""
    sure, open_ = (
        bench.narrated(bench.job(bench.measured(left={"brake": (0, 0, mm)}))) for mm in (-35, -25)
    )
    surely, perhaps = by_rule(sure), by_rule(open_)
    assert "tightest line" in surely["found_brakes_tight"]
    assert "The left brake has only about 35 mm" in surely["caution_free_travel"]
    assert "The left brake may have only about 45 mm" in perhaps["caution_free_travel"]
    assert "may have too little" in perhaps["headline_stop_brakes"]
    titles = [c.title for s in (sure, open_) for c in s.cautions if c.rule == "caution_free_travel"]
    assert titles == ["Too little free travel", "Perhaps too little free travel"]
    assert "tightest line" in surely["brakes_calculated"]


@pytest.mark.parametrize(("mm", "asked"), [(0, False), (-15, True), (-25, False)])
def test_calculated_free_travel_near_the_minimum_is_to_be_measured(
    bench: SimpleNamespace, mm: float, asked: bool
) -> None:
    """70 mm is enough, 45 has a graver sentence, and 55 a sentence on page one of its own."""
    said = by_rule(bench.narrated(bench.job(bench.measured(left={"brake": (0, 0, mm)}))))
    assert ("before_travel_close" in said) == asked
    if asked:
        assert said["before_travel_close"] == (
            "Have the free travel of the left brake measured: as calculated it is close to the "
            "minimum."
        )


def test_free_travel_is_not_calculated_from_readings_that_may_be_mixed_up(
    bench: SimpleNamespace,
) -> None:
    """Both sides to a hair the same is a list that was written twice."""
    lengths = bench.measured().lengths_mm
    copied = {(side, point): lengths[Side.LEFT, point] for side, point in lengths}
    job = bench.job(replace(bench.measured(), lengths_mm=copied))
    reported, known = bench.narrated(job), facts(bench, job)
    assert known["doubts"]
    assert (known["free_travel_mm"], known["free_travel_open"]) == (None, "doubts")
    assert "from lengths that are in doubt" in by_rule(reported)["caution_free_travel_open"]
    assert not {"caution_free_travel", "found_brakes_right"} & by_rule(reported).keys()
    assert strip(reported)[0] is not Verdict.PASS

    confirmed = replace(
        job, confirmed={doubt.name: "measured twice" for doubt in bench.findings(job).doubts}
    )
    assert facts(bench, confirmed)["free_travel_open"] == ""


def test_free_travel_is_calculated_without_a_line_that_is_in_doubt(bench: SimpleNamespace) -> None:
    odd, even = ({"A": (0, 0, mm, 0, 0, 0), "brake": -10} for mm in (30, 0))
    doubted, sound = (facts(bench, bench.job(bench.measured(one))) for one in (odd, even))

    assert (doubted["doubts_left_out"], doubted["free_travel_open"]) == (True, "")
    assert doubted["free_travel_mm"] == pytest.approx(sound["free_travel_mm"], abs=1.0)


def test_free_travel_that_was_measured_is_reported_whatever_is_in_doubt(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(bench.measured({"A": (0, 0, 30, 0, 0, 0)}, free_travel_mm=TIGHT))
    assert "40 mm left, 40 mm right" in by_rule(bench.narrated(job))["caution_free_travel"]


@pytest.mark.parametrize(
    ("before", "after", "work", "why"),
    [
        ({"C": -20}, {}, ("c", 20), "because the lines that hold the wing changed"),
        ({"brake": 20}, {}, ("brake_main", -20), "because the brake lines changed"),
        ({"brake": 20}, {}, ("B3", 1), ""),
    ],
)
def test_brakes_act_sooner_with_their_cause_only_where_the_work_explains_it(
    bench: SimpleNamespace,
    before: dict[str, float],
    after: dict[str, float],
    work: tuple[str, float],
    why: str,
) -> None:
    adjustments = bench.adjusted(work[1], work[0])
    job = bench.job(bench.measured(before), bench.measured(after), adjustments=adjustments)
    said = by_rule(bench.narrated(job))["air_brakes_sooner"]
    assert said.startswith("Both brakes ")
    assert ("because" in said) == bool(why)
    assert why in said


def test_a_brake_that_acts_sooner_alone_is_named(bench: SimpleNamespace) -> None:
    job = bench.job(
        bench.measured(left={"brake": 34}),
        bench.measured(),
        adjustments=bench.adjusted(-34, "brake_main", (Side.LEFT,)),
    )
    assert by_rule(bench.narrated(job))["air_brakes_sooner"].startswith(
        "The left brake will probably"
    )


def test_brakes_are_not_compared_with_lines_of_which_one_side_was_not_measured(
    bench: SimpleNamespace, said: Callable[[Statements], list[str]]
) -> None:
    none = dict.fromkeys(("A", "B", "C", "stabilo"))
    reported = bench.narrated(bench.job(bench.measured({"brake": 30}, right=none)))
    assert not {"found_brakes_long", "found_brakes_short", "brakes_found"} & {*said(reported)}


def test_brakes_alone_are_not_green_and_their_free_travel_is_asked_for(
    bench: SimpleNamespace,
) -> None:
    """Without any line that holds the wing less is known than with a few of them."""
    none = dict.fromkeys(("A", "B", "C", "stabilo"))
    reported = bench.narrated(bench.job(bench.measured(none)))

    assert strip(reported) == (Verdict.CONDITIONAL_PASS, "within limits, free travel not known")
    assert "Have it measured" in by_rule(reported)["caution_free_travel_open"]


def test_brakes_that_are_off_with_all_rows_are_not_called_outside(bench: SimpleNamespace) -> None:
    """A wrong measuring point moves both; the main brake lines were read otherwise."""
    moved = dict.fromkeys(("A", "B", "C", "stabilo", "brake"), -140.0)
    reported = bench.narrated(bench.job(bench.measured(moved)))

    assert not strip(reported)[0].outside
    assert "read about 140 mm shorter than specified" in by_rule(reported)["caution_doubts"]
    assert by_rule(reported)["found_brakes_within"] == (
        "The brake lines that are not in doubt were within limits."
    )


def test_brake_lines_outside_are_counted_without_those_in_doubt_or_not_measured(
    bench: SimpleNamespace,
) -> None:
    moved = dict.fromkeys(("A", "B", "C", "stabilo", "brake"), -140.0) | {"brake_main": -40.0}
    doubted = by_rule(bench.narrated(bench.job(bench.measured(moved))))
    mains = {"brake": None, "brake_main": 40.0}
    read = by_rule(bench.narrated(bench.job(bench.measured(mains))))
    one = by_rule(bench.narrated(bench.job(bench.measured(mains, right=NO_BRAKES))))

    assert doubted["found_brakes_outside"] == (
        "Both brake lines that are not in doubt were outside limits."
    )
    assert "both brake lines that we measured were outside" in read["found_brakes_long"]
    assert "the one brake line that we measured was outside" in one["found_brakes_long"]


def test_free_travel_is_read_at_no_tension(bench: SimpleNamespace) -> None:
    travel = {"free_travel_mm": dict.fromkeys(Side, 84.0), "tension_n": None}
    none = dict.fromkeys(("A", "B", "C", "stabilo", "brake", "brake_main"))
    alone = by_rule(bench.narrated(bench.job(bench.measured(none, **travel))))

    assert "record_load_unknown" not in alone
    assert "record_load_unknown" in by_rule(bench.narrated(bench.job(bench.measured(**travel))))


def test_brakes_are_not_green_where_their_free_travel_cannot_be_calculated(
    bench: SimpleNamespace,
) -> None:
    spec = bench.specification(trailing_edge_m=None)
    reported = bench.narrated(bench.job(bench.measured(), specification=spec))
    assert strip(reported) == (Verdict.CONDITIONAL_PASS, "within limits, free travel not known")
    assert "Have it measured" in by_rule(reported)["caution_free_travel_open"]

    unspecified = bench.specification(trailing_edge_m=None, brake_free_travel_mm=None)
    assert strip(bench.narrated(bench.job(bench.measured(), specification=unspecified)))[1] == (
        "within limits"
    )


def test_without_riser_lengths_a_brake_is_held_against_the_lines_alone_and_that_is_said(
    bench: SimpleNamespace,
) -> None:
    """Risers mixed up by 18 mm move the trailing edge by 34 mm: short or not is then not known."""
    off = {"left": {"brake": -60}, "right": {"brake": -60}}
    enough = {Side.LEFT: 60.0, Side.RIGHT: 60.0}
    no_risers = {"specification": bench.specification(includes_risers=False)}
    known = by_rule(bench.narrated(bench.job(bench.measured(**off))))
    unknown = by_rule(bench.narrated(bench.job(bench.measured(**off), **no_risers)))
    loose = bench.job(bench.measured(**off, free_travel_mm=enough), **no_risers)
    short = by_rule(bench.narrated(loose))["before_short_brakes"]

    rules = ("found_brakes_short", "brakes_found")
    assert all("the lines that hold the wing" in known[rule] for rule in rules)
    assert all("Compared with the lines alone" in unknown[rule] for rule in rules)
    assert "The risers were not measured" in unknown["found_angle_risers"]
    assert "with risers as specified, not measured" in unknown["found_brakes_tight"]
    assert short.startswith("Both brakes are short against the lines alone.")


def test_a_brake_that_measuring_does_not_tell_from_a_short_one_is_named_with_it(
    bench: SimpleNamespace,
) -> None:
    """18 and 20 mm, told apart by no less than 5: whoever lets out one alone makes them uneven."""
    alike = facts(bench, bench.job(bench.measured(left={"brake": -18}, right={"brake": -21})))
    apart = facts(bench, bench.job(bench.measured(left={"brake": -4}, right={"brake": -26})))

    assert alike["found_brakes_short"] == ("left", "right")
    assert alike["found_brake_left_way"] == alike["found_brake_right_way"] == "shorter"
    assert apart["found_brakes_short"] == ("right",)
    assert apart["found_brake_left_way"] == ""


def test_a_brake_named_below_the_size_from_which_one_counts_says_why(
    bench: SimpleNamespace,
) -> None:
    """Whoever reads “from 15 mm” beside a brake that is 12 mm short asks which of both is wrong."""
    alike = bench.job(bench.measured(left={"brake": -12}, right={"brake": -16}))
    again = replace(alike, after=bench.measured({"brake": 1}))
    apart = bench.job(bench.measured({"brake": -18}))
    why = "The left one counts with the other, as measuring does not tell both apart."

    for job in (alike, again):
        known = facts(bench, job)
        said = by_rule(bench.narrated(job))
        text = f"{said['brakes_found']} {said.get('brakes_now', '')}"
        assert known["found_brake_by_other"] == ("left",)
        assert known["found_brake_settled_mm"] > abs(known["found_brake_left_mm"])
        assert why in said["brakes_found"]
        assert text.count("counts as longer or shorter by itself from") == 1
    assert "counts with the other" not in by_rule(bench.narrated(apart))["brakes_found"]
    assert "by itself" not in by_rule(bench.narrated(apart))["brakes_found"]


def test_from_which_size_a_brake_counts_is_said_of_each_measuring_where_they_differ(
    bench: SimpleNamespace,
) -> None:
    before = bench.measured({"brake": -18}, uncertainty_mm=4.0)
    said = by_rule(bench.narrated(bench.job(before, bench.measured({"brake": 1}))))

    for rule in ("brakes_found", "brakes_now"):
        assert said[rule].count("Each against the lines is uncertain by about") == 1


def test_brakes_of_which_only_the_free_travel_was_measured_again_say_so(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(
        bench.measured(LINE_OFF),
        bench.measured(NO_BRAKES, free_travel_mm={Side.LEFT: 70.0, Side.RIGHT: 66.0}),
        adjustments=bench.adjusted(-15, "B3"),
    )
    reported = bench.narrated(job)

    words = "free travel enough, lines not measured again"
    assert strip(reported) == (Verdict.NOT_ASSESSED, words)


def test_brakes_of_which_only_the_free_travel_was_measured_at_all_say_so(
    bench: SimpleNamespace,
) -> None:
    both = bench.job(bench.measured(NO_BRAKES, free_travel_mm=dict.fromkeys(Side, 66.0)))
    one = bench.job(bench.measured(NO_BRAKES, free_travel_mm={Side.LEFT: 66.0}))

    words = "free travel enough, length not assessed"
    assert strip(bench.narrated(both)) == (Verdict.NOT_ASSESSED, words)
    words = "left free travel enough, the rest not assessed"
    assert strip(bench.narrated(one)) == (Verdict.NOT_ASSESSED, words)


def test_measured_free_travel_outranks_what_the_length_of_a_brake_says(
    bench: SimpleNamespace,
) -> None:
    """Short by 30 mm, yet 32 mm more free travel than specified: it is not called short."""
    more = bench.narrated(
        bench.job(bench.measured({"brake": -30}, free_travel_mm=dict.fromkeys(Side, 102.0)))
    )
    less = by_rule(
        bench.narrated(
            bench.job(bench.measured({"brake": -30}, free_travel_mm=dict.fromkeys(Side, 52.0)))
        )
    )

    assert "before_short_brakes" not in by_rule(more)
    assert by_rule(more)["brakes_unlike_found"].startswith(
        "As it came, the measured free travel of both brakes spoke against"
    )
    assert "Both brakes are short." in less["before_short_brakes"]
    assert "found_travel_unlike" not in less


@pytest.mark.parametrize(("mm", "which"), [(-30, "both brakes"), (0, "the left brake")])
def test_page_one_says_that_measured_free_travel_does_not_fit_the_lengths(
    mm: float, which: str, bench: SimpleNamespace
) -> None:
    """By length 30 mm short, measured 32 and 28 mm more than specified; or level, and 32 and 0."""
    travel = {Side.LEFT: 102.0, Side.RIGHT: 98.0 if mm else 70.0}
    job = bench.job(bench.measured({"brake": mm}, free_travel_mm=travel))
    said = by_rule(bench.narrated(job))

    assert f"free travel of {which} did not fit the line lengths" in said["found_travel_unlike"]
    assert ("left brake 30 mm shorter, right brake 30 mm shorter" in said["brakes_found"]) is (
        mm < 0
    )
    assert "found_brakes_right" not in said
    assert "air_unchanged" in said
    if mm:
        assert "of both brakes does not fit the line lengths." in said["caution_brakes_outside"]
    else:
        assert strip(bench.narrated(job)) == (
            Verdict.CONDITIONAL_PASS,
            "within limits, free travel does not fit",
        )


def test_after_work_it_is_said_anew(bench: SimpleNamespace) -> None:
    before, after = (
        bench.measured({"brake": -30}, free_travel_mm=dict.fromkeys(Side, mm)) for mm in (42, 102)
    )
    worked = by_rule(bench.narrated(bench.job(before, after, adjustments=bench.adjusted(1))))
    untouched = by_rule(bench.narrated(bench.job(after, after)))

    assert "does not fit the line lengths" in worked["done_travel_unlike"]
    assert "found_travel_unlike" not in worked
    assert "done_travel_unlike" not in untouched
    assert "found_travel_unlike" in untouched


def test_of_two_brakes_that_measuring_does_not_tell_apart_none_is_named_alone(
    bench: SimpleNamespace,
) -> None:
    """48 mm of one and 51 mm of the other, each by about 8 mm: whoever sets one sets it wrong."""
    apart = bench.narrated(bench.job(bench.measured(left={"brake": -22}, right={"brake": 9})))
    alike = bench.narrated(bench.job(bench.measured(left={"brake": -22}, right={"brake": -19})))

    assert by_rule(apart)["found_brakes_tight"].startswith("The left brake may have had")
    assert by_rule(alike)["found_brakes_tight"].startswith("Both brakes may have had")
    assert "before_travel_close" not in by_rule(alike)


@pytest.mark.parametrize(
    ("deviations", "caution", "before"),
    [
        (
            {"left": {"brake": (0, 29, 0)}},
            "Brake 2 left differs from the maker's length by more than the limit: 29 mm longer.",
            "The left brake is not as the maker specified.",
        ),
        (
            {"right": {"brake_main": -29}},
            "Main brake line right differs from the maker's length by more than the limit: "
            "29 mm shorter.",
            "The right brake is not as the maker specified.",
        ),
        (
            {"left": {"brake": (0, 29, 0)}, "right": {"brake": (0, -31, 0)}},
            "Brake lines differ from the maker's lengths by more than the limit, most of all on "
            "the right: 31 mm shorter.",
            "The brakes are not as the maker specified.",
        ),
    ],
)
def test_one_brake_line_outside_is_named_as_one(
    bench: SimpleNamespace, deviations: dict[str, Any], caution: str, before: str
) -> None:
    job = bench.job(
        bench.measured(calculated=True, free_travel_mm=dict.fromkeys(Side, 60.0), **deviations)
    )
    said = by_rule(bench.narrated(job))

    assert said["caution_brakes_outside"].startswith(caution)
    assert said["before_brakes"] == before


ASKING = Pilot("Robin Hale", reported="The brakes feel long.")


@pytest.mark.parametrize(
    ("lines", "travel", "measured"),
    [
        ({}, {"left": 84.0, "right": 82.0}, "of the brakes measured 84 mm left and 82 mm right"),
        ({}, {"left": 84.0, "right": 84.3}, "of the brakes measured 84 mm on both sides"),
        (NO_BRAKES, {"right": 82.0}, "of the right brake measured 82 mm"),
    ],
)
def test_a_pilot_who_asks_is_told_what_the_free_travel_measured(
    bench: SimpleNamespace, lines: dict[str, Any], travel: dict[str, float], measured: str
) -> None:
    found = {Side(side): mm for side, mm in travel.items()}
    job = bench.job(bench.measured(lines, free_travel_mm=found), pilot=ASKING)

    assert by_rule(bench.narrated(job))["found_travel_measured"] == (
        f"The free travel {measured}; 70 mm is specified."
    )


def test_measured_free_travel_answers_only_who_asked_and_got_no_answer(
    bench: SimpleNamespace,
) -> None:
    before = bench.measured(free_travel_mm=dict.fromkeys(Side, 84.0))
    for more in ({}, {"pilot": replace(ASKING, answer="They were set too long.")}):
        assert "found_travel_measured" not in by_rule(bench.narrated(bench.job(before, **more)))


def test_measured_free_travel_is_told_with_the_minimum_where_none_is_specified(
    bench: SimpleNamespace,
) -> None:
    before = bench.measured(free_travel_mm=dict.fromkeys(Side, 84.0))
    job = bench.job(
        before, pilot=ASKING, specification=bench.specification(brake_free_travel_mm=None)
    )

    assert by_rule(bench.narrated(job))["found_travel_measured"].endswith("the minimum is 50 mm.")


@pytest.mark.parametrize(
    ("mm", "intended"), [(70.0, True), (75.0, True), (84.0, False), (52.0, False)]
)
def test_brakes_whose_measured_free_travel_is_not_the_specified_one_are_not_as_intended(
    bench: SimpleNamespace, mm: float, intended: bool
) -> None:
    job = bench.job(bench.measured(free_travel_mm=dict.fromkeys(Side, mm)))
    said = by_rule(bench.narrated(job))

    assert ("found_brakes_right" in said) is intended
    assert ("found_brakes_within" in said) is not intended


def test_brakes_that_nobody_touched_stay_outside_where_they_are_carried_over(
    bench: SimpleNamespace,
) -> None:
    """Guarded, where what ties the second measuring to the first would make them less certain."""
    how = {"method": "laser", "instrument": "LD-2"}
    before, few = {"A": -4.0, "B": -14.4, "C": -25.0}, (-4.0, None, -4.0, None, -4.0, None)
    lines = {"A": few, "B": tuple(mm and -14.4 for mm in few), "stabilo": (None, None)}
    job = bench.job(
        bench.measured({**before, "brake": 30.0}, **how),
        bench.measured({**lines, **NO_BRAKES}, **how),
        adjustments=bench.adjusted(25),
        decision_rule=DecisionRule(Acceptance.GUARDED, 2.0),
    )
    told, found = bench.narrated(job), bench.findings(job)
    texts = {c.rule: c.text for c in told.cautions}

    assert "caution_brakes_outside" in texts
    assert "caution_brakes_past" not in texts
    assert strip(told) == (Verdict.FAIL, "outside limits")
    for side in Side:
        was, is_now = found.before.brakes[side], found.after.brakes[side]
        assert is_now.relative_mm == pytest.approx(was.relative_mm)
        assert is_now.u_mm == pytest.approx(was.u_mm)


@pytest.mark.parametrize(
    ("travel", "named"), [(dict.fromkeys(Side, 84.0), "brake lengths"), ({}, "brakes")]
)
def test_where_free_travel_was_measured_only_the_lengths_of_brakes_are_not_assessed(
    bench: SimpleNamespace, travel: dict[Side, float], named: str
) -> None:
    told = by_rule(bench.narrated(bench.job(bench.measured(NO_BRAKES, free_travel_mm=travel))))

    assert told["before_not_assessed"].startswith(f"Not assessed in this service: {named}, cloth")


def test_where_one_brake_is_close_to_its_limit_that_one_is_named(bench: SimpleNamespace) -> None:
    told = bench.narrated(
        bench.job(
            bench.measured(left={"brake": 28.0}),
            decision_rule=DecisionRule(Acceptance.GUARDED, 2.0),
        )
    )
    (text,) = (c.text for c in told.cautions if c.rule == "caution_brakes_outside")

    assert by_rule(told)["before_brakes"].startswith("The left brake is too close to its limits")
    assert text.startswith("Lines of the left brake differ")


@pytest.mark.parametrize(("left", "right", "said"), [(19, 21, ""), (17, 45, "left")])
def test_one_of_two_brakes_is_only_a_little_long_where_measuring_tells_it_from_the_other(
    bench: SimpleNamespace, left: float, right: float, said: str
) -> None:
    job = bench.job(bench.measured(left={"brake": left}, right={"brake": right}))
    told = by_rule(bench.narrated(job))["found_brakes_long"]

    assert "both brakes were long" in told
    assert ("the left one only a little" in told) is bool(said)


def test_how_free_travel_as_it_came_was_calculated_is_said_where_it_was_read_after_the_work(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(
        bench.measured({**LINE_OFF}),
        bench.measured(free_travel_mm=dict.fromkeys(Side, 30.0)),
        adjustments=bench.adjusted(-15, "B3"),
    )
    told = by_rule(bench.narrated(job))

    assert "calculated from what was measured the second time" in told["found_brakes_tight"]
    assert "tightest" not in "".join(told.values())
    assert "measured only the second time" in told["brakes_carried_on"]


def test_free_travel_measured_of_a_wing_that_nobody_worked_on_is_known(
    bench: SimpleNamespace,
) -> None:
    """The lines of one side alone are measured: what it is now cannot be calculated from them."""
    half = dict.fromkeys((*"ABC", "stabilo"), None)
    before = bench.measured(right=half, free_travel_mm=dict.fromkeys(Side, 70.0))
    again = bench.measured(right=half)

    still = by_rule(bench.narrated(bench.job(before, again)))
    worked = by_rule(bench.narrated(bench.job(before, again, adjustments=bench.adjusted(-15))))

    for rule in ("caution_free_travel_open", "brakes_travel_open"):
        assert rule in worked
        assert rule not in still


def test_too_little_free_travel_before_the_work_is_perhaps_where_it_was_calculated(
    bench: SimpleNamespace,
) -> None:
    job = not_again(bench, {"brake": -24.0})
    assert strip(bench.narrated(job))[1] == "perhaps too little free travel as it came"
