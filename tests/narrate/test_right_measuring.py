"""Each sentence speaks of the measuring that it means: as it came, again, and which brake."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.model.findings import Verdict
from trimscribe.model.job import Adjustment, Replacement
from trimscribe.model.statements import Place, Statements
from trimscribe.model.wing import Side

OFF = {"B": (0, 0, 15, 0, 0, 0)}
OTHER = 5.0
PAGE_ONE = (Place.HEADLINE, Place.FOUND, Place.DONE, Place.AIR, Place.BEFORE_FLYING)


def by_rule(said: Statements) -> dict[str, str]:
    every = (*said.sentences, *said.cautions)
    return {s.rule: f"{s.title} | {s.text}".replace("\xa0", " ") for s in every}


def page_one(said: Statements) -> str:
    sentences = (s.text for place in PAGE_ONE for s in said.at(place))
    warnings = (f"{c.title}. {c.text}" for c in said.cautions)
    return " ".join([*sentences, *warnings]).replace("\xa0", " ")


def strip(said: Statements, key: str) -> tuple[Verdict, str]:
    return next((v.verdict, v.words) for v in said.verdicts if v.key == key)


def worked(bench: SimpleNamespace, before: Any, after: Any) -> Statements:
    job = bench.job(before, after, adjustments=bench.adjusted(-15, "B3"))
    return bench.narrated(job)


def test_another_tension_before_the_work_says_nothing_of_the_wing_as_it_leaves(
    bench: SimpleNamespace,
) -> None:
    said = worked(bench, bench.measured(OFF, tension_n=OTHER), bench.measured())
    rules, text = by_rule(said), page_one(said)

    assert rules["headline_within"].endswith("Your wing's line lengths are within limits.")
    assert "pulled at another tension" in rules["found_other_load"]
    assert "We cannot say" not in text
    assert "before you fly" not in text
    assert "caution_other_load" not in rules
    assert strip(said, "lines") == (Verdict.PASS, "within limits")


def test_a_tension_that_is_not_stated_is_told_of_the_measuring_it_lacks_for(
    bench: SimpleNamespace,
) -> None:
    found = by_rule(worked(bench, bench.measured(OFF, tension_n=None), bench.measured()))
    both = by_rule(worked(bench, *[bench.measured(OFF, tension_n=None)] * 2))

    assert found["found_load_unknown"].endswith("maker's tension was used for this measuring.")
    assert "caution_load_unknown" not in found
    assert "caution_load_unknown" in both
    assert "found_load_unknown" not in both


def test_another_tension_stays_a_caution_until_the_wing_is_measured_again(
    bench: SimpleNamespace,
) -> None:
    maillon = (Replacement("maillon", Side.LEFT, "bent"),)
    job = bench.job(bench.measured(tension_n=OTHER), replacements=maillon)
    rules = by_rule(bench.narrated(job))

    assert "was not measured at the tension that its maker uses" in rules["headline_other_load"]
    assert "measured at another tension" in rules["caution_other_load"]


def test_another_tension_after_the_work_is_not_called_unmeasured(bench: SimpleNamespace) -> None:
    said = worked(
        bench, bench.measured({**OFF, "brake": 40}), bench.measured({"brake": 39}, tension_n=OTHER)
    )
    rules, text = by_rule(said), page_one(said)

    assert (
        "Measured again, your wing was not at its maker's tension" in rules["headline_other_load"]
    )
    assert "lines are now within limits" in rules["headline_other_load"]
    assert "not measured again" not in text
    assert "Measured again, they were not at the maker's tension." in rules["before_brakes_past"]
    assert rules["caution_brakes_past"].startswith("Brake lines not assessed now")
    assert "measured again at another tension" in rules["caution_other_load"]
    words = "not at the maker's tension"
    assert strip(said, "lines") == (Verdict.NOT_ASSESSED, words)


def brakes_of(bench: SimpleNamespace, missing: Side, before: float = 40.0) -> Statements:
    """Both brakes let in by 20 and 24 mm; afterwards only one of them was measured again."""
    fan = {"brake": (None,) * 3, "brake_main": None}
    job = bench.job(
        bench.measured({"brake": before, "brake_main": before}, free_travel_mm=TRAVEL),
        bench.measured(
            {"brake": before - 18, "brake_main": before - 18},
            **{missing.value: fan},
            free_travel_mm=TRAVEL,
        ),
        adjustments=(
            Adjustment("brake_main", Side.LEFT, change_mm=-20.0),
            Adjustment("brake_main", Side.RIGHT, change_mm=-24.0),
        ),
    )
    return bench.narrated(job)


TRAVEL = dict.fromkeys(Side, 70.0)


@pytest.mark.parametrize("missing", Side)
def test_of_two_brakes_only_the_one_that_was_not_measured_again_is_called_so(
    missing: Side, bench: SimpleNamespace
) -> None:
    said = brakes_of(bench, missing)
    rules = by_rule(said)
    entered = {Side.LEFT: 20, Side.RIGHT: 24}[missing]
    other = Side.RIGHT if missing is Side.LEFT else Side.LEFT

    done = rules["done_brakes_shorter"]
    assert f"We shortened the {other} brake by 18 mm;" in done
    assert f"by our record also the {missing} one, by {entered} mm." in done
    assert f"As it came, the {missing} brake was not as the maker" in rules["before_brakes_past"]
    assert "Its lines were not measured again." in rules["before_brakes_past"]
    assert f"four lines of the {missing} brake were outside" in rules["caution_brakes_past"]
    assert "Four brake lines were not measured the second time" in rules["caution_missing"]


def test_a_tile_names_the_brake_that_was_not_measured_again(bench: SimpleNamespace) -> None:
    said = brakes_of(bench, Side.LEFT, before=20.0)

    assert strip(said, "brakes") == (Verdict.NOT_ASSESSED, "left brake lines not measured again")


def test_a_brake_outside_now_is_said_beside_one_that_was_outside_and_is_not_known(
    bench: SimpleNamespace,
) -> None:
    fan = {"brake": (None,) * 3, "brake_main": None}
    job = bench.job(
        bench.measured({"brake": 40}, free_travel_mm=TRAVEL),
        bench.measured({"brake": 40}, left=fan, free_travel_mm=TRAVEL),
        adjustments=bench.adjusted(-1, "B3"),
    )
    rules = by_rule(bench.narrated(job))

    assert "the left brake was not as the maker specified" in rules["before_brakes_past"]
    assert "The right brake is not as the maker specified." in rules["before_brakes"]


def test_a_length_beyond_its_limit_does_not_read_as_the_limit(bench: SimpleNamespace) -> None:
    said = by_rule(bench.narrated(bench.job(bench.measured(left={"brake": (0, 0, 25.3)}))))

    assert "by more than the limit: 25.3 mm longer" in said["caution_brakes_outside"]


def test_lines_at_a_tension_that_nobody_stated_have_no_firm_headline(
    bench: SimpleNamespace,
) -> None:
    for after in (bench.measured(tension_n=None), bench.measured({"brake": 40}, tension_n=None)):
        said = worked(bench, bench.measured(OFF), after)
        headline = said.at(Place.HEADLINE)[0].text
        assert "line lengths read within limits" in headline
        assert "caution_load_unknown" in by_rule(said)
    assert (
        "it is not stated that its maker's tension was used"
        in by_rule(worked(bench, bench.measured(OFF), bench.measured(tension_n=None)))[
            "headline_load_unknown"
        ]
    )
    unknown = worked(bench, bench.measured(OFF), bench.measured(tension_n=None))
    words = (Verdict.CONDITIONAL_PASS, "within limits, tension not stated")
    assert strip(unknown, "lines") == strip(unknown, "brakes") == words
    known = by_rule(worked(bench, bench.measured(OFF), bench.measured()))
    assert not {"caution_load_unknown", "headline_load_unknown"} & known.keys()


def test_brakes_that_moved_with_the_wing_are_said_in_the_past_and_against_what(
    bench: SimpleNamespace,
) -> None:
    every = dict.fromkeys(("A", "B", "C", "stabilo", "brake", "brake_main"), -30.0)
    said = by_rule(
        bench.narrated(bench.job(bench.measured(every), bench.measured(), adjustments=WORK))
    )

    assert (
        "Drawn on to the trailing edge, the lines that hold the wing were off by about as much"
        in (said["found_brakes_moved"])
    )


WORK = tuple(
    Adjustment(line, side, change_mm=30.0)
    for line in ("a", "b", "c", "s1", "brake_main")
    for side in Side
)


def test_work_by_the_record_is_named_after_what_measured_otherwise(bench: SimpleNamespace) -> None:
    job = bench.job(
        bench.measured({"C": 4}, tension_n=50.0),
        bench.measured({"C": 4, "B": 10}, tension_n=50.0),
        adjustments=(*bench.adjusted(28, "b"), *bench.adjusted(-3, "a")),
    )
    done = [s.text for s in bench.narrated(job).at(Place.DONE)]
    unlike = next(n for n, text in enumerate(done) if "nlike" in text)
    entered = next(n for n, text in enumerate(done) if text.startswith("By our record we also"))

    assert unlike < entered
    assert "Besides what is named next" not in " ".join(done)


def test_a_main_brake_line_that_moved_without_an_entry_is_counted_once(
    bench: SimpleNamespace,
) -> None:
    spec = bench.specification()
    fan = next(g for g in spec.groups if g.name == "brake")
    cascade = (*spec.cascade, replace(spec.cascade[0], name="brake_main", points=fan.points))
    spec = replace(spec, cascade=cascade)
    job = bench.job(
        bench.measured(spec=spec),
        bench.measured({"brake": 20, "brake_main": 21}, spec=spec),
        specification=spec,
    )
    found = [d for d in bench.findings(job).doubts if d.kind.value == "moved-without-entry"]

    assert [d.name for d in found] == ["after.left.brake_main", "after.right.brake_main"]
    far = bench.job(
        bench.measured(spec=spec),
        bench.measured({"brake": 20, "brake_main": 80}, spec=spec),
        specification=spec,
    )
    assert len([d for d in bench.findings(far).doubts if "brake_main1" in d.name]) == 2
