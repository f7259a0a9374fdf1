"""The verdict summary never shows as fine what was not assessed."""

from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.model.findings import Verdict
from trimscribe.model.job import (
    Condition,
    InspectionItem,
    Job,
    Porosity,
    PorosityReading,
    PorosityUnit,
    Replacement,
    StrengthTest,
    TearReading,
    TearTest,
)
from trimscribe.model.statements import Place
from trimscribe.model.wing import Side, Tolerances

GROUPS = ["lines", "brakes", "cloth", "strength", "risers", "inspection"]
CLEAR = (Verdict.PASS, "within limits")
UNENTERED = (Verdict.CONDITIONAL_PASS, "within limits, a change without an entry")
UNLIKE = (Verdict.CONDITIONAL_PASS, "within limits, work unlike its plan")
OFF = {"B": (0, 0, 15, 0, 0, 0)}


def summary_of(bench: SimpleNamespace, job: Job) -> dict[str, tuple[Verdict, str]]:
    return {v.key: (v.verdict, v.words) for v in bench.narrated(job).verdicts}


def test_every_job_has_the_same_groups_in_the_same_order(
    example_job: Job, bench: SimpleNamespace
) -> None:
    verdicts = bench.narrated(example_job).verdicts
    assert [v.key for v in verdicts] == GROUPS
    assert all(v.label and v.words for v in verdicts)


def test_a_job_without_measurements_has_no_verdict_anywhere(bench: SimpleNamespace) -> None:
    assert set(summary_of(bench, bench.example("sparse")).values()) == {
        (Verdict.NOT_ASSESSED, "not assessed")
    }


def test_what_was_outside_and_is_within_reads_corrected(bench: SimpleNamespace) -> None:
    job = bench.job(
        bench.measured({**OFF, "brake": 40}),
        bench.measured(),
        adjustments=(*bench.adjusted(-15, "B3"), *bench.adjusted(-40, "brake_main")),
    )
    shown = summary_of(bench, job)
    assert shown["lines"] == shown["brakes"] == (Verdict.PASS, "corrected")


@pytest.mark.parametrize(
    ("first", "then", "lines", "brakes"),
    [
        ({}, {"C": 9.0}, UNENTERED, CLEAR),
        ({"brake": 20.0, "brake_main": 20.0}, {}, CLEAR, UNENTERED),
    ],
)
def test_a_change_without_an_entry_stands_at_the_part_that_changed(
    first: dict[str, float],
    then: dict[str, float],
    lines: tuple[Verdict, str],
    brakes: tuple[Verdict, str],
    bench: SimpleNamespace,
) -> None:
    travel = [dict.fromkeys(Side, 70.0 + one.get("brake", 0.0)) for one in (first, then)]
    measured = (
        bench.measured(one, free_travel_mm=mm)
        for one, mm in zip((first, then), travel, strict=True)
    )
    shown = summary_of(bench, bench.job(*measured))

    assert (shown["lines"], shown["brakes"]) == (lines, brakes)


@pytest.mark.parametrize(
    ("line", "lines", "brakes"), [("c", UNLIKE, CLEAR), ("brake_main", CLEAR, UNLIKE)]
)
def test_work_unlike_its_plan_stands_at_the_part_that_was_worked_on(
    line: str, lines: tuple[Verdict, str], brakes: tuple[Verdict, str], bench: SimpleNamespace
) -> None:
    travel = dict.fromkeys(Side, 70.0)
    job = bench.job(
        bench.measured(free_travel_mm=travel),
        bench.measured({"A": 0.05}, free_travel_mm=travel),
        adjustments=bench.adjusted(24, line),
    )
    shown = summary_of(bench, job)

    assert (shown["lines"], shown["brakes"]) == (lines, brakes)


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ({}, {"A": None, "B": None, "stabilo": None}, "too few lines measured again"),
        ({}, {**dict.fromkeys("ABC"), "stabilo": None}, "not measured again"),
        ({"A": None, "B": None, "stabilo": None}, None, "not assessed: too few lines"),
        ({}, {"C": 90.0}, "no verdict now: values in doubt"),
        ({"C": 90.0}, None, "not assessed: values in doubt"),
    ],
)
def test_lines_are_not_assessed_where_the_list_of_what_is_not_names_them(
    bench: SimpleNamespace, before: dict[str, Any], after: dict[str, Any] | None, words: str
) -> None:
    work = bench.adjusted(5) if after else ()
    job = bench.job(
        bench.measured(before),
        None if after is None else bench.measured(after),
        adjustments=work,
        strength=(StrengthTest("A1", 900.0, broke=False, required_n=800.0),),
    )
    statements = bench.narrated(job)
    listed = {s.rule: s.text for s in statements.sentences}["before_not_assessed"]
    said = {c.rule: c.title for c in statements.cautions}.get("caution_untied", "")

    assert summary_of(bench, job)["lines"] == (Verdict.NOT_ASSESSED, words)
    assert ("line lengths" in listed) is words.startswith("not assessed")
    if "lines" in words or "again" in words:
        ends = "not assessed" if words.startswith("not assessed") else "not known now"
        assert said == f"Line lengths {ends}"


def test_work_without_a_second_measuring_leaves_no_verdict(bench: SimpleNamespace) -> None:
    job = bench.job(bench.measured(), replacements=(Replacement("line A1", None, "worn"),))
    shown = summary_of(bench, job)
    expected = (Verdict.NOT_ASSESSED, "not measured again")
    assert shown["lines"] == shown["brakes"] == expected


def test_lengths_at_another_load_have_no_verdict(bench: SimpleNamespace) -> None:
    shown = summary_of(bench, bench.job(bench.measured(tension_n=100.0)))
    words = "not at the maker's tension"
    assert shown["lines"] == shown["brakes"] == (Verdict.NOT_ASSESSED, words)


def test_lines_without_a_limit_have_no_verdict(bench: SimpleNamespace) -> None:
    shown = summary_of(bench, bench.job(bench.measured(), tolerances=Tolerances()))
    assert shown["lines"] == (Verdict.NOT_ASSESSED, "measured, no limit given")


@pytest.mark.parametrize(
    ("lines_mm", "brakes_mm", "wider", "said"),
    [
        (15.0, 25.0, ["lines"], ("line lengths", 15, 10)),
        (8.0, 30.0, ["brakes"], ("brakes", 30, 25)),
        (8.0, 25.0, [], ()),
    ],
)
def test_within_limits_wider_than_the_line_sets_is_no_clear_pass(
    bench: SimpleNamespace, lines_mm: float, brakes_mm: float, wider: list[str], said: Any
) -> None:
    limits = Tolerances(default_mm=lines_mm, groups={"brake": brakes_mm})
    job = bench.job(bench.measured(), tolerances=limits)
    shown = summary_of(bench, job)

    for group in ("lines", "brakes"):
        words = "within limits wider than the line set's"
        assert shown[group] == ((Verdict.CONDITIONAL_PASS, words) if group in wider else CLEAR)
    told = [
        s.text.replace("\N{NO-BREAK SPACE}", " ")
        for s in bench.narrated(job).sentences
        if s.rule == "found_limits_wider"
    ]
    sentence = (
        "The limits used for {} are wider than those of the line set: ±{} mm where it has ±{} mm."
    )
    assert told == ([sentence.format(*said)] if said else [])


@pytest.mark.parametrize(
    ("required", "limits", "words"),
    [
        ((800.0, None), (None, 5.0), "no limit given for some"),
        ((800.0, None), (20.0, None), "no limit given for some"),
        ((None, None), (None, None), "measured, no limit given"),
    ],
)
def test_where_one_test_had_a_limit_none_is_said_to_lack_for_some_only(
    bench: SimpleNamespace, required: Any, limits: Any, words: str
) -> None:
    pulls = tuple(StrengthTest("A1", 900, broke=False, required_n=each) for each in required)
    porosity = Porosity(PorosityUnit.SECONDS, (PorosityReading("tip", 90.0),), limit=limits[0])
    tear = TearTest((TearReading("tip", 1.0),), limit_mm=limits[1])
    shown = summary_of(bench, bench.job(strength=pulls, porosity=porosity, tear=tear))

    assert shown["strength"] == shown["cloth"] == (Verdict.NOT_ASSESSED, words)


@pytest.mark.parametrize(
    ("count", "words"), [(1, "outside limits: 1 line"), (2, "outside limits: 2 lines")]
)
def test_lines_outside_are_counted(count: int, words: str, bench: SimpleNamespace) -> None:
    left, right = OFF, OFF if count == 2 else {}
    shown = summary_of(bench, bench.job(bench.measured(left=left, right=right, calculated=True)))
    assert shown["lines"] == (Verdict.FAIL, words)


def test_a_line_too_near_its_limit_is_shown_as_close_but_within(bench: SimpleNamespace) -> None:
    statements = bench.close_call(Verdict.CONDITIONAL_PASS)
    lines = statements.verdicts[0]
    assert (lines.verdict, lines.words) == (Verdict.CONDITIONAL_PASS, "close to the limit")
    assert statements.at(Place.HEADLINE)[0].rule == "headline_within"


@pytest.mark.parametrize(("mm", "clear"), [(-45.0, True), (-55.0, False), (55.0, False)])
def test_lines_that_are_all_far_off_are_within_limits_against_each_other_alone(
    bench: SimpleNamespace, mm: float, clear: bool
) -> None:
    all_lines = dict.fromkeys(("A", "B", "C", "stabilo", "brake"), mm)
    shown = summary_of(bench, bench.job(bench.measured(all_lines)))

    assert shown["lines"] == (
        (Verdict.PASS, "within limits")
        if clear
        else (Verdict.CONDITIONAL_PASS, "within limits against each other")
    )


@pytest.mark.parametrize("verdict", [Verdict.CONDITIONAL_FAIL, Verdict.CONDITIONAL_PASS])
def test_a_line_on_either_side_of_its_limit_is_close_and_never_outside(
    bench: SimpleNamespace, verdict: Verdict
) -> None:
    statements = bench.close_call(verdict)
    assert statements.verdicts[0].words == "close to the limit"
    said = " ".join(s.text for s in (*statements.sentences, *statements.cautions))
    assert "two were too close to be sure" in said
    rules = {s.rule for s in (*statements.sentences, *statements.cautions)}
    assert not [rule for rule in rules if rule.endswith("outside")]
    beyond = verdict is Verdict.CONDITIONAL_FAIL
    assert ("caution_over" in [c.rule for c in statements.cautions]) is beyond


def test_new_parts_after_the_risers_were_measured_leave_no_clear_pass(
    bench: SimpleNamespace,
) -> None:
    before = bench.measured(OFF, risers={"A": 1.0, "B": 0.0})
    new = (Replacement("soft maillons", None, "age"),)
    job = bench.job(before, bench.measured(), replacements=new)
    words = "within limits, not measured again"
    assert summary_of(bench, job)["risers"] == (Verdict.CONDITIONAL_PASS, words)


def test_what_was_found_outside_and_left_alone_is_outside_still(bench: SimpleNamespace) -> None:
    job = bench.job(
        bench.measured(OFF, calculated=True),
        bench.measured({"B": None}),
        adjustments=bench.adjusted(5),
    )
    words = "outside limits, not measured again: 2 lines"
    assert summary_of(bench, job)["lines"] == (Verdict.FAIL, words)


def test_lines_left_out_are_counted_beside_the_verdict(bench: SimpleNamespace) -> None:
    shown = summary_of(bench, bench.job(bench.measured(left={"B": (0, 0, 0, 0, 0, None)})))
    assert shown["lines"] == (Verdict.CONDITIONAL_PASS, "within limits, 1 not measured")


def test_risers_measured_once_are_shown_as_they_came(bench: SimpleNamespace) -> None:
    before = bench.measured(OFF, risers={"A": 1.0, "B": 0.0})
    job = bench.job(before, bench.measured(), adjustments=bench.adjusted(-15))
    assert summary_of(bench, job)["risers"] == (Verdict.PASS, "within limits as it came")


def test_brakes_and_risers_left_out_are_counted_beside_the_verdict(bench: SimpleNamespace) -> None:
    some = {"brake": (0, 0, None), "brake_main": None}
    shown = summary_of(bench, bench.job(bench.measured(left=some, risers={"A": 1.0})))
    expected = (Verdict.CONDITIONAL_PASS, "within limits, 2 not measured")
    assert shown["brakes"] == shown["risers"] == expected

    job = bench.job(
        bench.measured(risers={"A": 1.0}), bench.measured(), adjustments=bench.adjusted(0)
    )
    assert summary_of(bench, job)["risers"] == (
        Verdict.CONDITIONAL_PASS,
        "within limits as it came, 2 not measured",
    )


def test_a_brake_line_outside_is_not_shown_as_corrected(bench: SimpleNamespace) -> None:
    uneven = bench.measured({"brake": (40, -15, -15)})
    job = bench.job(bench.measured({"brake": 40}), uneven, adjustments=bench.adjusted(-15))
    assert summary_of(bench, job)["brakes"] == (Verdict.FAIL, "outside limits")
    assert "caution_brakes_outside" in [c.rule for c in bench.narrated(job).cautions]


@pytest.mark.parametrize(
    ("conditions", "verdict", "words"),
    [
        ("damaged worn", Verdict.FAIL, "damaged: 1, worn: 1"),
        ("worn worn good", Verdict.CONDITIONAL_PASS, "worn: 2"),
        ("repaired good", Verdict.PASS, "repaired: 1"),
        (
            "repaired not_checked not_checked",
            Verdict.CONDITIONAL_PASS,
            "repaired: 1, parts not checked: 2",
        ),
        ("damaged worn not_checked", Verdict.FAIL, "damaged: 1, worn: 1, parts not checked: 1"),
        ("good", Verdict.PASS, "no damage in 1 part looked at"),
        ("good good good", Verdict.PASS, "no damage in 3 parts looked at"),
        (
            "good good not_checked",
            Verdict.CONDITIONAL_PASS,
            "no damage in 2 parts looked at, parts not checked: 1",
        ),
        ("not_checked", Verdict.NOT_ASSESSED, "not assessed"),
    ],
)
def test_the_inspection_is_shown_by_its_worst(
    conditions: str, verdict: Verdict, words: str, bench: SimpleNamespace
) -> None:
    items = tuple(
        InspectionItem(f"part {n}", Condition[name.upper()])
        for n, name in enumerate(conditions.split())
    )
    assert summary_of(bench, bench.job(inspection=items))["inspection"] == (verdict, words)
