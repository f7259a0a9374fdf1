"""A wing that was measured after the work alone: what it is now is known, and nothing of before."""

import re
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.assess import assess
from trimscribe.assess.facts import facts_of
from trimscribe.model.assessment import When
from trimscribe.model.findings import State
from trimscribe.model.job import Condition, InspectionItem, Job, Pilot, Replacement
from trimscribe.model.statements import Place, Statements
from trimscribe.model.wing import Side

NEW_LINE = (Replacement("line A3", Side.LEFT, "torn"),)
ALL_NEW = (Replacement("complete line set", None, "due"),)
NO_ROWS = dict.fromkeys(("A", "B", "C", "stabilo"), (None,) * 6) | {"stabilo": (None,) * 2}
NO_BRAKES = {"brake": (None,) * 3, "brake_main": None}
PLENTY = dict.fromkeys(Side, 70.0)
PULLS = Pilot("Robin Hale", reported="It pulls to the left.")
# What only a wing that was measured before the work, or not after it, is reported with.
OF_BEFORE = re.compile(
    r"as it came\b(?!\.|, so)|arrived|came in\b|measured again|second time|still |\bback within"
    r"|corrected|measured since|[Nn]othing was changed|fly as it did|not measured after"
)


def facts(bench: SimpleNamespace, of: Job) -> Any:
    return facts_of(bench.findings(of), of)


def by_rule(statements: Statements) -> dict[str, str]:
    everything = (*statements.sentences, *statements.cautions)
    return {s.rule: s.text.replace("\xa0", " ") for s in everything}


JOBS: dict[str, Any] = {
    "a new line": lambda b: b.job(after=b.measured(), replacements=NEW_LINE),
    "a retrim of both sides": lambda b: b.job(
        after=b.measured(b.tilt(12), free_travel_mm=PLENTY), adjustments=b.adjusted(12)
    ),
    "lines outside": lambda b: b.job(
        after=b.measured(left={"C": (0, 0, 13, 0, 0, 0)}), adjustments=b.adjusted(5)
    ),
    "new brakes": lambda b: b.job(
        after=b.measured(NO_ROWS, free_travel_mm=PLENTY),
        replacements=(Replacement("brake lines", None, "worn"),),
    ),
    "brakes short": lambda b: b.job(
        after=b.measured({"brake": -60, "brake_main": -60}),
        adjustments=b.adjusted(-60, "brake_main"),
    ),
    "new risers": lambda b: b.job(
        after=b.measured(risers={"A": 9, "B": 0}),
        replacements=(Replacement("risers", None, "cut"),),
    ),
    "one row not measured": lambda b: b.job(
        after=b.measured({"C": (None,) * 6}), adjustments=b.adjusted(9), pilot=PULLS
    ),
    "one side long": lambda b: b.job(
        after=b.measured(right={"A": 10, "B": 4}), adjustments=b.adjusted(9), pilot=PULLS
    ),
    "at another load": lambda b: b.job(
        after=b.measured(tension_n=30.0), adjustments=b.adjusted(9), pilot=PULLS
    ),
    "a slip": lambda b: b.job(
        after=b.measured(left={"B": (0, 0, 90, 0, 0, 0)}), replacements=NEW_LINE, pilot=PULLS
    ),
    "a repair": lambda b: b.job(
        after=b.measured(), inspection=(InspectionItem("seams", Condition.REPAIRED),)
    ),
    "one brake's travel": lambda b: b.job(
        after=b.measured(left=NO_BRAKES, right=NO_BRAKES, free_travel_mm={Side.LEFT: 40.0}),
        replacements=(Replacement("brake handle", Side.LEFT, "worn"),),
    ),
}


@pytest.mark.parametrize("name", JOBS)
def test_nothing_is_said_of_the_wing_before_or_of_what_differs(
    bench: SimpleNamespace, name: str
) -> None:
    of = JOBS[name](bench)
    said = bench.narrated(of)
    known = facts(bench, of)

    assert known["only_after"]
    assert not known["remeasured"]
    assert "not_again" not in known["against"]
    assert by_rule(said)["found_only_after"].startswith(
        "We measured only after our work: this is how the wing was then, not how it came"
    )
    for statement in (*said.sentences, *said.cautions):
        text = statement.text.replace(by_rule(said)["found_only_after"], "")
        assert not OF_BEFORE.search(text), f"{statement.rule}: {text}"
    for verdict in said.verdicts:
        assert not re.search(r"again|as it came|before|corrected", verdict.words)


@pytest.mark.parametrize("name", JOBS)
def test_no_claim_is_made_of_how_it_came_or_what_changed(bench: SimpleNamespace, name: str) -> None:
    of = JOBS[name](bench)
    found = bench.findings(of)
    claims = assess(found, of).claims

    assert (found.before, found.change) == (None, None)
    assert isinstance(found.after, State)
    assert When.FOUND not in {claim.when for claim in claims}
    assert not any(claim.noticeable for claim in claims if claim.when is When.CHANGE)


def test_its_numbers_are_those_of_the_measuring_after(bench: SimpleNamespace) -> None:
    after = bench.measured(bench.tilt(16), right={"A": 3}, free_travel_mm=PLENTY)
    alone = facts(bench, bench.job(after))
    of = bench.job(after=after, replacements=NEW_LINE)
    known, trails = facts(bench, of), assess(bench.findings(of), of).trails

    for name in ("lines", "outside", "pitch_deg", "turn", "brakes", "free_travel_left_mm"):
        assert known[f"found_{name}"] == known[f"now_{name}"] == alone[f"now_{name}"]
    assert trails["found_pitch_deg"] == trails["now_pitch_deg"] == ("after.pitch.wing",)


def test_a_sound_wing_may_be_released_without_a_reason(bench: SimpleNamespace) -> None:
    of = bench.job(after=bench.measured(free_travel_mm=PLENTY), replacements=NEW_LINE)

    assert facts(bench, of)["against"] == ()
    said = by_rule(bench.narrated(of))
    assert said["headline_within"] == "Your wing's line lengths are within limits."
    assert said["done_replaced"] == "We replaced line A3 left (torn)."
    assert said["air_not_known"] == (
        "It was not measured before our work, so how it flies now compared with before is not "
        "assessed: be ready for a change."
    )


def test_lines_outside_are_so_after_the_work(bench: SimpleNamespace) -> None:
    said = by_rule(bench.narrated(JOBS["lines outside"](bench)))

    assert said["headline_now_outside"] == "One line is outside limits after our work."
    assert "headline_outside" not in said


def test_how_it_flies_is_said_of_now(bench: SimpleNamespace) -> None:
    of = bench.job(
        after=bench.measured({"C": -22, "B": -11}, right={"A": 1}), adjustments=bench.adjusted(9)
    )
    said = by_rule(bench.narrated(of))

    assert re.search(r"It (may be|is probably) .* slow\.", said["found_up"])
    of = bench.job(
        after=bench.measured(left={"C": -20}, right={"C": 4}), adjustments=bench.adjusted(9)
    )
    turning = [t for rule, t in by_rule(bench.narrated(of)).items() if rule.startswith("found_tu")]
    assert turning
    assert not any("pulled" in text or "will" in text for text in turning)


def test_what_the_pilot_said_is_not_explained_by_it(bench: SimpleNamespace) -> None:
    of = bench.job(after=bench.measured(), replacements=NEW_LINE, pilot=PULLS)
    said = by_rule(bench.narrated(of))

    assert said["found_reported_words"] == "You told us: “It pulls to the left.”"
    assert said["found_only_after"].endswith(", so it does not explain what you told us.")
    answered = replace(of, pilot=replace(PULLS, answer="A3 was long."))
    said = by_rule(bench.narrated(answered))
    assert said["found_reported_words"].endswith("” A3 was long.")
    assert said["found_only_after"].endswith("not how it came.")


@pytest.mark.parametrize(
    "work",
    [{"adjustments": "c"}, {"replacements": NEW_LINE}, {"replacements": ALL_NEW}],
    ids=["adjusted", "a new line", "all lines"],
)
def test_lines_that_were_worked_on_are_asked_for_where_only_brakes_were_measured(
    bench: SimpleNamespace, work: dict[str, Any]
) -> None:
    if "adjustments" in work:
        work = {"adjustments": bench.adjusted(9)}
    of = bench.job(after=bench.measured(NO_ROWS, free_travel_mm=PLENTY), **work)
    said = by_rule(bench.narrated(of))

    assert "untied" in facts(bench, of)["against"]
    assert said["caution_untied"] == (
        "No line that holds the wing was measured. Have the whole line set measured before you fly."
    )


def test_new_brake_lines_that_were_measured_ask_for_nothing_more(bench: SimpleNamespace) -> None:
    of = JOBS["new brakes"](bench)

    assert facts(bench, of)["against"] == ()
    assert by_rule(bench.narrated(of))["found_travel_measured"] == (
        "The free travel of the brakes measured 70 mm on both sides; 70 mm is specified."
    )


def test_a_brake_that_was_worked_on_and_not_measured_is_not_known(bench: SimpleNamespace) -> None:
    work = (Replacement("brake line", Side.RIGHT, "torn"),)
    of = bench.job(after=bench.measured(NO_BRAKES), replacements=work)
    known = facts(bench, of)

    assert "free_travel" in known["against"]
    assert "right" in known["free_travel_unknown"]


def test_a_doubt_is_one_of_the_measuring_after(bench: SimpleNamespace) -> None:
    said = by_rule(bench.narrated(JOBS["a slip"](bench)))

    assert said["record_doubts"] == "Unusual and not confirmed: B3 left (measured after)."


def test_a_table_calls_a_brake_as_measured(bench: SimpleNamespace) -> None:
    of = bench.job(after=bench.measured({"brake": 9}), replacements=NEW_LINE)
    said = by_rule(bench.narrated(of))

    assert ", as measured:" in said["brakes_found"]


@pytest.mark.parametrize(
    ("after", "rule", "text"),
    [
        ({}, "done_again_within", "As measured, all 40 lines are within limits."),
        ({"C": (0, 0, 11, 0, 0, 11.5)}, "done_again_outside", "As measured, "),
        ({"A": (0, 0, None, 0, 0, 0)}, "done_again_some", "As measured, 38 lines are within"),
        (
            NO_ROWS | {"B": (0, 0, 0, 0, 0, 0)},
            "headline_too_few",
            "Rows A and C of your wing were not measured.",
        ),
    ],
)
def test_lines_of_which_none_was_measured_before_are_not_measured_again(
    bench: SimpleNamespace, after: dict[str, Any], rule: str, text: str
) -> None:
    """Only free travel was read before the work."""
    before = bench.measured(NO_ROWS | NO_BRAKES, free_travel_mm=PLENTY)
    said = by_rule(
        bench.narrated(bench.job(before, bench.measured(after), adjustments=bench.adjusted(9)))
    )

    assert said[rule].startswith(text)
    said.pop("caution_free_travel_open", "")  # that was read before
    again = [rule for rule, one in said.items() if re.search(r"[Mm]easured again", one)]
    assert not again, said[again[0]]
    assert not re.search(r"\bNo brake lines", said.get("caution_missing", ""))


@pytest.mark.parametrize("work", ["adjusted", "replaced"])
def test_a_wing_that_was_measured_only_before_its_work_was_not_measured_since(
    bench: SimpleNamespace, work: str
) -> None:
    more = {"adjustments": bench.adjusted(9)} if work == "adjusted" else {"replacements": NEW_LINE}
    of = bench.job(bench.measured(free_travel_mm=PLENTY), **more)
    said, known = by_rule(bench.narrated(of)), facts(bench, of)

    assert not known["only_after"]
    assert "not_again" in known["against"]
    assert said["done_not_again"] == "The wing was not measured again after this work."
    assert "found_only_after" not in said
    places = [s.rule for s in bench.narrated(of).at(Place.HEADLINE)]
    assert places == [f"headline_{'not_again' if work == 'adjusted' else 'parts_not_again'}"]
