"""Risers that look wrong: which, where, and what page one says of them."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.model.findings import RiserBasis
from trimscribe.model.job import Condition, Flight, FlightDecision, InspectionItem, Replacement
from trimscribe.model.wing import RiserLengths, Side

SPECIFIED = {
    "A": RiserLengths(500.0, 360.0),
    "B": RiserLengths(500.0, 410.0),
    "C": RiserLengths(500.0, 500.0),
}


def job_with(bench: SimpleNamespace, wrong: RiserLengths, name: str = "A", **more: Any) -> Any:
    """A wing of which one left riser has these lengths, all others as specified."""
    spec = bench.specification(risers=SPECIFIED, includes_risers=False)
    found = {(side, row): lengths for row, lengths in SPECIFIED.items() for side in Side}
    measured = bench.measured(spec=spec, risers=None)
    before = replace(measured, risers=found | {(Side.LEFT, name): wrong})
    return bench.job(before, specification=spec, **more)


@pytest.mark.parametrize(
    ("name", "lengths", "reason"),
    [
        ("A", RiserLengths(361.0, 501.0), "swapped"),
        ("B", RiserLengths(498.0, 505.0), "longer"),
        ("C", RiserLengths(499.0, 506.0), "longer"),
        ("A", RiserLengths(500.0, 250.0), ""),
        ("B", RiserLengths(600.0, None), ""),
    ],
)
def test_a_riser_that_cannot_be_so_is_doubted_at_its_place(
    name: str, lengths: RiserLengths, reason: str, bench: SimpleNamespace
) -> None:
    job = job_with(bench, lengths, name)
    (doubt,) = bench.findings(job).doubts

    assert doubt.name == f"before.risers.left.{name}"
    assert doubt.at == ("before", "risers", "left", name)
    assert doubt.other == reason
    assert doubt.left_out == ()
    assert bench.findings(job).before.risers_in is RiserBasis.PARTLY_MEASURED  # counts for nothing


@pytest.mark.parametrize(
    "lengths", [RiserLengths(500.0, 364.0), RiserLengths(540.0, 400.0), RiserLengths(None, 363.0)]
)
def test_a_riser_that_is_only_outside_its_limit_is_not_doubted(
    lengths: RiserLengths, bench: SimpleNamespace
) -> None:
    assert bench.findings(job_with(bench, lengths)).doubts == ()


def test_a_riser_that_is_confirmed_counts_again(bench: SimpleNamespace) -> None:
    why = {"before.risers.left.A": "measured twice"}
    found = bench.findings(job_with(bench, RiserLengths(361.0, 501.0), confirmed=why))

    assert found.doubts[0].confirmed == "measured twice"
    assert found.before.risers_in is RiserBasis.MEASURED


def test_page_one_says_which_riser_and_by_how_much_with_its_limit(bench: SimpleNamespace) -> None:
    job = job_with(bench, RiserLengths(361.0, 501.0), flight=FlightDecision(Flight.RELEASED))
    said = bench.narrated(job)
    every = (*said.sentences, *said.cautions)
    rules = {s.rule: s.text.replace("\xa0", " ") for s in every}

    assert rules["before_risers"] == (
        "A riser is not as the maker specified: A left, 141 mm longer with the bar pushed; the "
        "limit is 5 mm."
    )
    assert "Have the riser A left checked before you fly it." in rules["before_doubted"]
    assert "The length of riser A left looks wrong." in rules["caution_doubts"]
    assert "riser A left (measured before)" in rules["record_doubts"]
    assert "decision_released_all_the_same" in rules


def test_lines_and_risers_in_doubt_are_both_to_be_checked(bench: SimpleNamespace) -> None:
    spec = bench.specification(risers=SPECIFIED)
    found = bench.measured(left={"B": (1, -1, 100, 1, 0, 2)}, spec=spec)
    wrong = {(Side.LEFT, "A"): RiserLengths(361.0, 501.0)}
    said = bench.narrated(bench.job(replace(found, risers=wrong), specification=spec))
    (text,) = [s.text for s in said.sentences if s.rule == "before_doubted"]

    assert text == "Have B3 left and the riser A left checked before you fly it."


def test_two_risers_outside_name_the_one_furthest_off(bench: SimpleNamespace) -> None:
    said = bench.narrated(bench.job(bench.measured(risers={"A": 5.3, "B": -6.0})))
    (text,) = [s.text for s in said.sentences if s.rule == "before_risers"]

    assert text.replace("\xa0", " ") == (
        "Risers are not as the maker specified: most of all B left, 6 mm shorter; the limit is "
        "5 mm."
    )


def test_a_doubt_about_a_riser_stands_at_the_risers_alone(bench: SimpleNamespace) -> None:
    job = job_with(bench, RiserLengths(498.0, 505.0), "C")
    shown = {v.key: v.words for v in bench.narrated(job).verdicts}

    assert shown["risers"] == "within limits, values in doubt"
    assert "doubt" not in shown["lines"]


@pytest.mark.parametrize(
    ("lengths", "said"),
    [
        (RiserLengths(540.0, 400.0), "Your wing's risers measured outside limits."),
        (
            RiserLengths(500.0, 250.0),
            "Your wing's risers measured outside limits, but the length of A left looks wrong.",
        ),
    ],
)
def test_a_headline_about_a_riser_in_doubt_says_that_it_looks_wrong(
    lengths: RiserLengths, said: str, bench: SimpleNamespace
) -> None:
    told = {s.rule: s.text for s in bench.narrated(job_with(bench, lengths)).sentences}

    assert told["headline_risers"].replace("\xa0", " ") == said


def test_a_riser_that_nobody_measured_after_the_work_is_told_as_it_came(
    bench: SimpleNamespace,
) -> None:
    """It may be the very one that was replaced."""
    before, after = (bench.measured(risers=risers) for risers in ({"A": 9.0}, {}))
    new = (Replacement("riser set", Side.LEFT, "stretched"),)
    said = bench.narrated(bench.job(before, replace(after, risers={}), replacements=new))
    told = {
        s.rule: (s.title, s.text.replace("\xa0", " ")) for s in (*said.sentences, *said.cautions)
    }

    assert told["headline_risers"][1] == ("As it came, your wing's risers measured outside limits.")
    assert told["before_risers"][1] == (
        "As it came, risers were not as the maker specified: most of all A left, 9 mm longer; the "
        "limit is 5 mm. They were not measured again."
    )
    assert told["caution_risers"][0] == "Risers outside limits as it came"


def test_to_which_side_a_wing_pulls_is_open_once_a_part_was_replaced(
    bench: SimpleNamespace,
) -> None:
    """The riser that turned it may be the very one."""
    spec = bench.specification(risers=SPECIFIED, includes_risers=False)
    found = {(side, row): lengths for row, lengths in SPECIFIED.items() for side in Side}
    plain = bench.measured(spec=spec, risers=None)
    before = replace(plain, risers=found | {(Side.RIGHT, "A"): RiserLengths(520.0, 380.0)})
    new = (Replacement("riser set", Side.RIGHT, "stretched"),)

    def told(parts: Any) -> dict[str, str]:
        job = bench.job(before, plain, specification=spec, replacements=parts)
        return {s.rule: s.text for s in bench.narrated(job).cautions}

    assert told(())["caution_turn"].endswith("pull to the right. Leave room on that side.")
    assert "caution_turn" not in told(new)
    assert "to which one now is not settled" in told(new)["caution_turn_open"]


ALIKE = {name: RiserLengths(520.0) for name in "ABC"}


def measured_twice(
    bench: SimpleNamespace, before: dict[str, float], after: dict[str, float], **more: Any
) -> Any:
    """A wing whose risers are 520 mm but for these, such as `left A`, each time."""
    spec = bench.specification(risers=ALIKE, includes_risers=False)

    def at(lengths: dict[str, float], line_mm: float) -> Any:
        found = {
            (side, name): RiserLengths(lengths.get(f"{side.value} {name}", 520.0))
            for name in ALIKE
            for side in Side
        }
        return replace(bench.measured({"B": line_mm}, spec=spec), risers=found)

    return bench.job(at(before, 0.0), at(after, 0.3), specification=spec, **more)


@pytest.mark.parametrize(
    ("before", "after", "doubted"),
    [
        ({"left A": 512.0}, {"right A": 512.0}, {"left A": "sides", "right A": "sides"}),
        ({"left A": 528.0}, {}, {"left A": "changed"}),
        ({}, {"right C": 511.0}, {"right C": "changed"}),
        ({"left A": 512.0}, {"left A": 514.0}, {}),
        ({}, {"right C": 515.0}, {}),
    ],
)
def test_a_riser_that_nobody_exchanged_is_as_long_as_it_was(
    bench: SimpleNamespace,
    before: dict[str, float],
    after: dict[str, float],
    doubted: dict[str, str],
) -> None:
    found = bench.findings(measured_twice(bench, before, after))

    assert {f"{d.at[2]} {d.at[3]}": d.other for d in found.doubts} == doubted
    basis = RiserBasis.PARTLY_MEASURED if doubted else RiserBasis.MEASURED
    assert (found.before.risers_in, found.after.risers_in) == (basis, basis)


@pytest.mark.parametrize(
    "work",
    [
        {"replacements": (Replacement("riser A", Side.LEFT, "worn"),)},
        {"replacements": (Replacement("maillons", None, "rusty"),)},
        {"inspection": (InspectionItem("left riser", Condition.REPAIRED),)},
    ],
    ids=["riser", "maillons", "repaired"],
)
def test_a_riser_that_was_worked_on_may_have_another_length(
    bench: SimpleNamespace, work: dict[str, Any]
) -> None:
    job = measured_twice(bench, {"left A": 528.0}, {}, **work)

    assert bench.findings(job).doubts == ()


def test_a_riser_confirmed_to_have_changed_counts_both_times(bench: SimpleNamespace) -> None:
    job = measured_twice(
        bench, {"left A": 528.0}, {}, confirmed={"after.risers.left.A": "shackle exchanged"}
    )
    found = bench.findings(job)

    assert found.before.risers_in is found.after.risers_in is RiserBasis.MEASURED


def test_risers_in_each_others_place_turn_the_wing_to_no_side(bench: SimpleNamespace) -> None:
    job = measured_twice(bench, {"left A": 508.0}, {"right A": 508.0})
    statements = bench.narrated(job)
    said = {s.rule: s.text for s in (*statements.sentences, *statements.cautions)}

    assert "riser" in said["before_doubted"]
    assert "changed in between" in said["record_doubts"]
    assert not {"found_turn", "air_turns", "caution_turn"} & said.keys()
