"""Whatever a job holds or lacks, every sentence is whole and can be read."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimscribe.assess import assess
from trimscribe.doubt_messages import objection
from trimscribe.model.job import (
    Condition,
    Flight,
    FlightDecision,
    InspectionItem,
    Job,
    OffsetMethod,
    Pilot,
    Porosity,
    PorosityReading,
    PorosityUnit,
    Replacement,
    StrengthTest,
    TearReading,
    TearTest,
)
from trimscribe.model.statements import Statements
from trimscribe.model.wing import GroupKind, LineGroup, Side, Tolerances

FIVE = (0, 0, 0, 0, 0, None)
SIZES = {"A": 6, "B": 6, "C": 6, "stabilo": 2, "brake": 3, "brake_main": 1}


def group(size: int) -> st.SearchStrategy[list[float | None]]:
    """One deviation for a whole group, now and then a line that was not measured."""
    mean = st.sampled_from([0.0, 0.0, 2.0, -3.0, 5.0, 9.0, -9.0, 14.0, -14.0, 30.0, -30.0])
    gaps = st.sampled_from([(), (), (), (), (), (0,), (size - 1,), tuple(range(size))])
    return st.builds(
        lambda mm, left_out: [None if n in left_out else mm for n in range(size)], mean, gaps
    )


rows = st.fixed_dictionaries({name: group(size) for name, size in SIZES.items()})
measuring = st.fixed_dictionaries(
    {
        "left": rows,
        "right": rows,
        "tension_n": st.sampled_from([50.0, 50.0, 50.0, 50.0, None, 100.0]),
        "free_travel_mm": st.dictionaries(
            st.sampled_from(Side), st.sampled_from([-5.0, 20.0, 80.0])
        ),
        "risers": st.dictionaries(st.sampled_from("AB"), st.sampled_from([0.0, 8.0])),
    }
)
tested = st.tuples(st.sampled_from([300.0, 900.0]), st.booleans(), st.sampled_from([None, 800.0]))
parts = st.fixed_dictionaries(
    {
        "before": measuring,
        "after": st.none() | measuring,
        "work": st.lists(
            st.tuples(st.sampled_from(["a", "c", "s1", "brake_main"]), st.integers(-30, 30))
        ),
        "replaced": st.booleans(),
        "limits": st.sampled_from(
            [Tolerances(), Tolerances(10.0, {"brake": 25.0}, 5.0), Tolerances(10.0, {}, 5.0, 3.0)]
        ),
        "offset": st.sampled_from(OffsetMethod),
        "cloth": st.sampled_from([None, 12.0, 90.0]),
        "tests": st.lists(tested, max_size=2),
        "conditions": st.lists(st.sampled_from(Condition), max_size=3),
        "weight": st.sampled_from([None, 60.0, 90.0, 120.0]),
        "chord": st.sampled_from([True, True, True, False]),
        "edge": st.sampled_from([2.3, 2.3, None]),
    }
)


@given(drawn=parts)
def test_every_sentence_of_any_job_is_whole(
    bench: SimpleNamespace, is_whole: Callable[[str], bool], drawn: dict[str, Any]
) -> None:
    statements = bench.narrated(job_of(bench, drawn))
    assert [text for text in texts(statements) if not is_whole(text)] == []
    assert repeated(statements) == []


def test_no_example_repeats_itself(example_job: Job, bench: SimpleNamespace) -> None:
    assert repeated(bench.narrated(example_job)) == []


# Nose up by rows, and what takes it away; one line at the front is outside by itself.
def _retrimmed(bench: SimpleNamespace, left: dict[str, Any]) -> Job:
    before = bench.measured({"A": 5, "C": -7}, left=left)
    after = bench.measured({"A": 5, "C": 5})
    work = (*bench.adjusted(25, "c", (Side.LEFT,)), *bench.adjusted(12, "c", (Side.RIGHT,)))
    return bench.job(before, after, adjustments=work)


def test_lines_moved_for_the_angle_alone_are_reported_as_that(bench: SimpleNamespace) -> None:
    """Two lines were moved and one was outside: the reader asks why the other one was."""
    said = {s.rule: s.text for s in bench.narrated(_retrimmed(bench, {"C": -20})).sentences}

    assert said["done_longer"].startswith("We let out two main lines")
    assert said["done_for_angle"] == (
        "One of these was moved though none of the lines it branches into was outside: "
        "that brought the wing nearer to the maker's angle."
    )


def test_work_that_measuring_does_not_show_is_reported_with_what_it_would_have_taken(
    bench: SimpleNamespace,
) -> None:
    work = (*bench.adjusted(12), *bench.adjusted(4, "b"))
    job = bench.job(bench.measured({"B": -4, "C": -12}), bench.measured({}), adjustments=work)
    said = {s.rule: s.text.replace("\xa0", " ") for s in bench.narrated(job).sentences}

    assert said["done_longer"].startswith("We let out two main lines")
    assert said["done_entered"] == (
        "By our record we also let out two main lines (row B). Measuring cannot confirm this: up "
        "to 4.9 mm may be chance."
    )


def test_nothing_is_said_of_the_angle_where_only_lines_outside_were_moved(
    bench: SimpleNamespace,
) -> None:
    both = bench.measured({"A": 5, "C": -20})
    job = bench.job(both, bench.measured({"A": 5, "C": 5}), adjustments=bench.adjusted(25))
    level = bench.job(bench.measured(), bench.measured({"C": 12}), adjustments=bench.adjusted(12))

    for one in (job, level):
        assert "done_for_angle" not in {s.rule for s in bench.narrated(one).sentences}


def repeated(statements: Statements) -> list[object]:
    """Topics that speak more than once, and texts that are said more than once."""
    said = (*statements.sentences, *statements.cautions)
    seen = [(s.place, s.topic) for s in said] + [s.text for s in said]
    return [one for one, count in Counter(seen).items() if count > 1]


def texts(statements: Statements) -> list[str]:
    return [s.text for s in (*statements.sentences, *statements.cautions)]


def seconds(value: float) -> Porosity:
    return Porosity(PorosityUnit.SECONDS, (PorosityReading("centre", value),), limit=20.0)


def job_of(bench: SimpleNamespace, drawn: dict[str, Any]) -> Job:
    spec = bench.specification(trailing_edge_m=drawn["edge"], tolerances=drawn["limits"])
    if not drawn["chord"]:
        groups = tuple(LineGroup(g.name, g.kind, g.lengths_mm) for g in spec.groups)
        spec = bench.specification(groups=groups, tolerances=drawn["limits"])
    before = bench.measured(**drawn["before"])
    after = drawn["after"] and bench.measured(**drawn["after"])
    return bench.job(
        before,
        after,
        specification=spec,
        offset_method=drawn["offset"],
        offset_row="A" if drawn["offset"] is OffsetMethod.ROW else "",
        adjustments=tuple(a for line, mm in drawn["work"] for a in bench.adjusted(mm, line)),
        replacements=(Replacement("maillon", None, "age"),) if drawn["replaced"] else (),
        strength=tuple(
            StrengthTest("A1", n, broke, required_n=req) for n, broke, req in drawn["tests"]
        ),
        inspection=tuple(InspectionItem(f"part {n}", c) for n, c in enumerate(drawn["conditions"])),
        porosity=drawn["cloth"] and seconds(drawn["cloth"]),
        tear=drawn["cloth"] and TearTest((TearReading("tip", 100.0 / drawn["cloth"]),), limit_mm=5),
        pilot=Pilot("Robin Hale", all_up_weight_kg=drawn["weight"], reported="It feels slow."),
    )


def test_no_row_is_named_furthest_off_where_its_two_sides_are_so_to_both_sides(
    bench: SimpleNamespace,
) -> None:
    rows = {"B": -17, "C": -17, "stabilo": -17}

    def uneven(left: float, right: float) -> str:
        job = bench.job(bench.measured(rows, left={"A": left}, right={"A": right}))
        return str({s.rule: s.text for s in bench.narrated(job).sentences}["found_uneven"])

    assert uneven(-11, -23).endswith("specified, but unevenly.")
    assert (
        uneven(-10, -17)
        .replace("\xa0", " ")
        .endswith("but unevenly: most of all row A on the left, 6 mm longer than that.")
    )


ASKING = Pilot("Robin Hale", reported="It turns.")


@pytest.mark.parametrize(
    ("left_out", "lines"),
    [({}, "hold the wing"), ({"B": None}, "we measured"), ({"B": FIVE}, "we measured")],
)
def test_nothing_that_turns_the_wing_is_said_of_the_lines_that_were_measured(
    bench: SimpleNamespace, left_out: dict[str, Any], lines: str
) -> None:
    """A row that nobody measured may hold what turns the wing."""
    job = bench.job(bench.measured(left_out), pilot=ASKING)
    said = {s.rule: s.text for s in bench.narrated(job).sentences}

    expected = f"In the lines that {lines} we found nothing that would noticeably turn it."
    assert said["found_turn_none"] == expected


def test_halves_that_do_not_clearly_differ_leave_open_whether_it_pulled(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(bench.measured(left={"B": FIVE}, right={"A": 5.0}), pilot=ASKING)
    said = {s.rule: s.text for s in bench.narrated(job).sentences}

    assert said["found_turn_unclear"] == (
        "Whether the two halves differed so that it pulled to one side is not settled."
    )


def test_a_row_lies_off_the_line_through_the_rows_that_were_measured(
    bench: SimpleNamespace,
) -> None:
    spec = bench.specification()
    rear = LineGroup("D", GroupKind.ROW, spec.groups[2].lengths_mm, (2.0,) * 6)
    spec = replace(spec, groups=(*spec.groups[:3], rear, *spec.groups[3:]))

    def bent(d: Any) -> str:
        before = bench.measured({"B": 14, "D": d}, spec=spec)
        job = bench.job(before, specification=spec)
        return str({s.rule: s.text for s in bench.narrated(job).sentences}["chart_bent"])

    assert "the straight line through all rows" in bent(0)
    assert "the straight line through all measured rows" in bent(None)


LEFT_ONLY = dict.fromkeys(("A", "B", "C", "stabilo"))
WITHOUT_RISERS = {"includes_risers": False}


@pytest.mark.parametrize(
    ("left_out", "spec", "taken_from"),
    [
        ({}, {}, ""),
        ({}, WITHOUT_RISERS, "By its lines alone"),
        ({"right": LEFT_ONLY}, {}, "By the left half alone"),
        ({"right": LEFT_ONLY}, WITHOUT_RISERS, "By the lines of the left half alone"),
        ({"both": {"B": None}}, {}, "By the measured rows alone"),
        ({"both": {"B": None}}, WITHOUT_RISERS, "By the lines of the measured rows alone"),
    ],
)
@pytest.mark.parametrize("slope", [0.0, 40.0])
def test_each_sentence_on_the_angle_says_what_it_is_taken_from(
    bench: SimpleNamespace,
    left_out: dict[str, Any],
    spec: dict[str, Any],
    taken_from: str,
    slope: float,
) -> None:
    more = {**left_out, "both": {**bench.tilt(slope), **left_out.get("both", {})}}
    job = bench.job(bench.measured(**more), specification=bench.specification(**spec))
    statements = bench.narrated(job)
    said = {s.rule: s.text for s in (*statements.sentences, *statements.cautions)}
    rules = ("found_up", "found_level", "found_angle_risers", "chart_angle", "caution_up")
    angles = [said[rule] for rule in rules if rule in said]

    assert len(angles) == (3 if slope else 2)
    for text in angles:
        assert taken_from.lower() in text.lower()
        assert (" alone" in text) is bool(taken_from)
    assert not taken_from or not [rule for rule in said if rule.startswith("headline_still")]


def test_two_measurings_of_different_parts_say_what_each_angle_is_taken_from(
    bench: SimpleNamespace,
) -> None:
    job = bench.job(bench.measured(right=LEFT_ONLY), bench.measured(bench.tilt(14)))
    text = {s.rule: s.text for s in bench.narrated(job).sentences}["chart_angle_both"]

    assert text.startswith("As it came, by the left half alone, the wing was within ")
    assert "and now it is 0.8° nose up" in text


def test_which_way_is_open_for_one_reason_in_the_letter_and_behind_it(
    bench: SimpleNamespace,
) -> None:
    spec = bench.specification(**WITHOUT_RISERS)
    for after in (None, bench.measured()):
        job = bench.job(bench.measured(), after, specification=spec)
        said = {s.rule: s.text for s in bench.narrated(job).sentences}
        behind = said["chart_angle_both" if after else "chart_angle"]

        assert "The risers were not measured, so whether" in said["found_angle_risers"]
        assert behind.endswith("; which way is not assessed, as the risers were not measured.")


@pytest.mark.parametrize(("slope", "takes"), [(0.0, True), (5.6, False)])
def test_from_which_angle_a_way_counts_is_said_where_it_lies_beyond_what_it_may_be(
    bench: SimpleNamespace, slope: float, takes: bool
) -> None:
    """“Within 0.6°: measuring can tell from 0.4° on” would read as if it were exceeded."""
    job = bench.job(bench.measured(bench.tilt(slope), uncertainty_mm=2.5))
    text = {s.rule: s.text for s in bench.narrated(job).sentences}["chart_angle"]

    assert ("; which way is not settled: measuring can tell from " in text) is takes
    assert text.endswith("; which way is not settled.") is not takes


def test_one_line_alone_is_spoken_of_as_one(bench: SimpleNamespace) -> None:
    nothing = dict.fromkeys(("A", "B", "C", "stabilo"))

    def said(count: int) -> str:
        row = [None] * (6 - count) + [0.0] * count
        more = {"B": [None] * 5 + [0.0]} if count > 1 else {}
        statements = bench.narrated(bench.job(bench.measured(nothing, {"B": row}, more)))
        return " ".join(s.text for s in (*statements.sentences, *statements.cautions))

    assert said(1).count("Only one line was measured, and its length cannot be judged") == 2
    assert "Only one of your wing's lines was measured. Its length cannot be judged" in said(1)
    assert "oo few" not in said(1)
    assert said(2).count("the other lines are too few to be judged against each other") == 2
    assert "Only one" not in said(2)


@pytest.mark.parametrize(
    ("method", "said"),
    [
        (OffsetMethod.MEAN, "As a whole the lines were about 25 mm shorter than specified, but "),
        (OffsetMethod.NONE, "The middle one of the lines was about 20 mm shorter than specified, "),
    ],
)
def test_a_median_is_not_called_the_whole(
    bench: SimpleNamespace, method: OffsetMethod, said: str
) -> None:
    """Two rows 20 mm short and one 36: their mean is 25, the middle line's deviation 20."""
    rows = {"A": -20, "B": -20, "C": -36, "stabilo": -20}
    job = bench.job(bench.measured(rows), offset_method=method)
    texts = {s.rule: s.text.replace("\xa0", " ") for s in bench.narrated(job).sentences}

    assert texts["found_uneven"].startswith(said)


@pytest.mark.parametrize(
    ("method", "said"),
    [
        (OffsetMethod.MEAN, "That is ordinary and does not tilt the wing."),
        (OffsetMethod.NONE, "It does not tilt the wing, but puts lines outside their limits."),
    ],
)
def test_a_shared_shrinkage_is_ordinary_where_it_is_taken_out(
    bench: SimpleNamespace, method: OffsetMethod, said: str
) -> None:
    short = bench.measured(dict.fromkeys(("A", "B", "C", "stabilo"), -20.0))
    told = bench.narrated(bench.job(short, offset_method=method))
    shrunk = next(s.text for s in told.sentences if s.rule == "found_shrunk")
    assert shrunk.replace("\xa0", " ").endswith(f"about 20 mm. {said}")


def test_a_released_wing_with_too_few_lines_says_who_released_it(bench: SimpleNamespace) -> None:
    few = bench.measured({"A": None, "B": None, "stabilo": None})
    released = FlightDecision(Flight.RELEASED, by="Ines Corvin")
    told = bench.narrated(bench.job(few, flight=released))
    text = next(c.text for c in told.cautions if c.rule == "caution_untied")
    assert text.endswith("before you fly, though Ines Corvin released the wing.")


@pytest.mark.parametrize(("mm", "alike"), [(10.5, False), (9.4, True)])
def test_one_line_that_changed_by_more_than_chance_makes_is_not_called_alike(bench, mm, alike):
    """Of 40 lines and a scatter of 2.97 mm one line in twenty wings changes by 9.6 mm or more."""
    first = bench.measured(left={"A": (0, 0, 1, 0, 0, 0)})
    again = bench.measured(left={"A": (0, 0, 1 + mm, 0, 0, 0)})

    rules = {s.rule for s in bench.narrated(bench.job(first, again)).sentences}

    assert ("done_again_outside" in rules, "done_again_alike" in rules) == (True, alike)


FELT = Pilot("Robin Hale", reported="It pulls to the left.")


@pytest.mark.parametrize(
    ("tilt", "more", "said"),
    [
        (0, {}, "What we measured does not explain it; a test flight by a qualified pilot may."),
        (0, {"flight": FlightDecision(Flight.NOT_RELEASED)},
         "What we measured does not explain it."),
        (14, {}, "This is what we found."),
        (0, {"inspection": (InspectionItem("seams", Condition.WORN),)}, "This is what we found."),
        (0, {"pilot": replace(FELT, answer="A riser was twisted")}, "A riser was twisted."),
    ],
)  # fmt: skip
def test_what_measuring_cannot_explain_is_not_answered_by_what_was_found(bench, tilt, more, said):
    told = bench.narrated(bench.job(bench.measured(bench.tilt(tilt)), **({"pilot": FELT} | more)))

    text = next(s.text for s in told.sentences if s.rule == "found_reported_words")
    assert text == f"You told us: “It pulls to the left.” {said}"


def test_where_no_line_was_measured_nothing_hangs_on_the_risers(bench):
    told = {s.rule: s.text for s in bench.narrated(bench.job(pilot=FELT)).sentences}

    assert told["found_reported_words"].endswith(
        "This report does not explain it; a test flight by a qualified pilot may."
    )
    assert told["found_turn_unknown"] == "Whether it pulled to one side is not assessed."


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        (("Left riser", "brake_main"), "Left riser (worn) and main brake line left (worn)"),
        (("left riser.", "A3", "leftover"), "left riser, A3 left and leftover left"),
    ],
)
def test_a_replaced_part_that_is_called_by_its_side_has_it_once(bench, parts, said):
    entered = tuple(Replacement(part, Side.LEFT, "worn") for part in parts)
    told = bench.narrated(bench.job(bench.measured(), replacements=entered))

    text = next(one.text for one in told.sentences if one.rule == "done_replaced")
    assert text == f"We replaced {said}."


NONE = dict.fromkeys(("A", "B", "C"), (None,) * 6) | {"stabilo": (None,) * 2, "brake": (None,) * 3}
ROWLESS = dict.fromkeys(("A", "B", "C"), (None,) * 6)
ONE = (0, None, None, None, None, None)
BY_ROW = {"offset_method": OffsetMethod.ROW, "offset_row": "B"}


@pytest.mark.parametrize(
    ("both", "right", "more", "said"),
    [
        ({}, NONE, {}, "The lines of one side alone are too few to be judged"),
        ({"C": (None,) * 6}, {}, {}, "Row C was not measured, and the other lines are too few"),
        ({"B": ONE}, {}, BY_ROW, "Too few lines of row B were measured, by which all"),
        ({}, NONE, BY_ROW, "The lines of one side alone are too few to be judged"),
        (dict.fromkeys("ABC", ONE), {}, {}, "Too few lines were measured to judge them"),
        (ROWLESS, {}, {}, "Rows A, B and C were not measured, and the other lines are too few"),
    ],
    ids=["half", "row", "reference row", "half and reference", "few", "tip alone"],
)
def test_where_too_few_lines_were_measured_what_lacks_is_named(bench, both, right, more, said):
    """On page one, in the headline, and in the caution."""
    job = bench.job(bench.measured(both, right=right), **more)
    told = bench.narrated(job)
    texts = {s.rule: s.text for s in (*told.sentences, *told.cautions)}

    assert texts["found_lines_too_few"].startswith(said)
    lacking = ("one side", "ow C", "ows A, B and C", "row B", "oo few lines were")
    names = [name for name in lacking if name in said]
    names = ["only those of the left side" if name == "one side" else name for name in names]
    assert len(names) == 1
    assert names[0] in texts["caution_untied"]
    assert names[0].removesuffix(" lines were") in texts["headline_too_few"]
    again = bench.narrated(replace(job, before=bench.measured(), after=job.before))
    texts = {s.rule: s.text for s in (*again.sentences, *again.cautions)}
    assert names[0] in texts["caution_untied"]
    assert "the second time" in texts["caution_untied"]


def test_lines_that_nothing_ties_to_the_others_are_asked_for_before_a_release(bench):
    """Where nothing is taken out, those that were measured are judged by themselves."""
    one_row = {"A": (None,) * 6, "B": (None,) * 6, "stabilo": (None,) * 2}
    none, released = OffsetMethod.NONE, FlightDecision(Flight.RELEASED, by="Ines Corvin")
    job = bench.job(bench.measured(one_row), offset_method=none, flight=released)
    whole = replace(job, before=bench.measured())

    asked, not_asked = (objection(assess(bench.findings(x), x), {}) for x in (job, whole))
    said = {s.rule: s.text for s in bench.narrated(job).sentences}

    assert "the lines that were measured say nothing of the others" in asked.message
    assert not_asked is None
    assert said["before_rest"] == "Have the other lines measured as well before you fly it."


@pytest.mark.parametrize(
    ("measuring", "more", "asked", "why"),
    [
        ({"both": {"brake": -12, "brake_main": -12}}, {}, "before_travel_close", "calculated only"),
        (
            {},
            {"strength": (StrengthTest("A1", 900.0, True, required_n=800.0, side=Side.LEFT),)},
            "before_broken",
            "broke in its pull test",
        ),
    ],
    ids=["free travel near its minimum", "a line that broke"],
)
def test_what_is_asked_for_before_flying_needs_a_reason_for_a_release(
    bench, measuring, more, asked, why
):
    released = FlightDecision(Flight.RELEASED, by="Ines Corvin")
    job = bench.job(bench.measured(**measuring), flight=released, **more)
    told = bench.narrated(job)
    said = {s.rule: s.text for s in (*told.sentences, *told.cautions)}

    assert asked in said
    assert why in objection(assess(bench.findings(job), job), {}).message
    assert "decision_released_all_the_same" in said


@pytest.mark.parametrize(("tension_n", "kg"), [(50.0, 120.0), (None, 90.0)])
def test_what_asks_for_nothing_before_flying_needs_no_reason(bench, tension_n, kg):
    """The weight is about who flies it, and a tension that is not stated is told as it is."""
    job = bench.job(
        bench.measured(tension_n=tension_n),
        flight=FlightDecision(Flight.RELEASED, by="Ines Corvin"),
        pilot=Pilot("Robin Hale", all_up_weight_kg=kg),
    )

    assert objection(assess(bench.findings(job), job), {}) is None
