"""The cautions: a required set in every report, and what the findings add."""

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import pytest

from trimscribe.model.job import Job, Pilot, Replacement
from trimscribe.model.statements import Place, Statements, Weight
from trimscribe.model.wing import Side
from trimscribe.model.workshop import Workshop
from trimscribe.narrate.rules import ALWAYS_SAID

Said = Callable[[Statements], list[str]]


def test_every_job_carries_the_required_cautions_whole(
    example_job: Job, bench: SimpleNamespace
) -> None:
    cautions = {c.topic: c for c in bench.narrated(example_job).cautions}
    assert set(ALWAYS_SAID) <= set(cautions)
    assert all(c.title and c.text and c.place is Place.CAUTION for c in cautions.values())


def test_the_required_cautions_say_what_they_must(bench: SimpleNamespace) -> None:
    cautions = {c.topic: c.text for c in bench.narrated(bench.example("demo")).cautions}
    for topic, words in {
        "first_flight": ("Before any flight", "ground", "calm air", "easy slope"),
        "brake_check": ("helper", "hands up", "speed bar fully pushed", "hang loose"),
        "new_trim": ("without a passenger", "not on tow", "height", "speed bar for later flights"),
        "this_day": (
            "as measured on that day",
            "not an airworthiness approval",
            "Reserve and harness",
        ),
        "maker_first": ("manual", "local rules", "come first"),
        "unusual": ("land", "stop flying it", "qualified workshop"),
    }.items():
        assert all(word in cautions[topic] for word in words), topic


def test_a_new_trim_is_cautioned_when_it_changed_or_is_not_known(bench: SimpleNamespace) -> None:
    def cautioned(name: str) -> bool:
        return any(c.topic == "new_trim" for c in bench.narrated(bench.example(name)).cautions)

    assert cautioned("demo")
    assert cautioned("wrong-load")
    assert not cautioned("inspection")


def test_a_first_flight_comes_after_what_must_be_put_right(bench: SimpleNamespace) -> None:
    texts = {
        name: {c.topic: c.text for c in bench.narrated(bench.example(name)).cautions}
        for name in ("demo", "outside")
    }
    for topic in ("first_flight", "new_trim"):
        assert texts["outside"][topic].startswith("Once it has been put right")
        assert "put right" not in texts["demo"][topic]


def test_cautions_are_short_enough_to_be_read(example_job: Job, bench: SimpleNamespace) -> None:
    for caution in bench.narrated(example_job).cautions:
        if caution.rule != "own":
            assert len(caution.title.split()) <= 7
            assert len(caution.text.split()) <= 30, caution.text


def test_cautions_that_findings_add_are_warnings_and_the_required_ones_are_not(
    bench: SimpleNamespace,
) -> None:
    for caution in bench.narrated(bench.example("outside")).cautions:
        required = caution.topic in (*ALWAYS_SAID, "new_trim", "parts")
        assert caution.weight is (Weight.PLAIN if required else Weight.WARNING)


@pytest.mark.parametrize(
    ("topic", "words"),
    [
        ("strength", "Do not fly before"),
        ("damage", "Do not fly before"),
        ("free_travel", "Do not fly before"),
    ],
)
def test_a_wing_that_must_stay_down_is_reported_so(
    topic: str, words: str, bench: SimpleNamespace
) -> None:
    statements = bench.narrated(bench.example("outside"))
    assert words in {c.topic: c.text for c in statements.cautions}[topic]
    assert "Do not fly" in statements.at(Place.HEADLINE)[0].text


def test_too_little_free_travel_warns_whatever_the_verdict_on_the_brakes(
    bench: SimpleNamespace,
) -> None:
    statements = bench.narrated(bench.example("outside"))
    brakes = next(v for v in statements.verdicts if v.key == "brakes")
    assert brakes.words == "free travel, lines outside limits"
    assert any("45" in c.text for c in statements.cautions)


def test_too_little_free_travel_stays_a_warning_until_it_is_measured_anew(
    bench: SimpleNamespace, said: Said
) -> None:
    job = bench.job(bench.measured({"brake": -40}), adjustments=bench.adjusted(40, "brake_main"))
    assert "caution_free_travel" in said(bench.narrated(job))


def test_free_travel_that_was_calculated_is_not_reported_as_measured(
    bench: SimpleNamespace,
) -> None:
    def caution(**more: object) -> str:
        statements = bench.narrated(bench.job(bench.measured({"brake": -29.9}, **more)))
        found = [s.text for s in statements.at(Place.FOUND) if s.topic == "free_travel"]
        return " ".join([*found, *(c.text for c in statements.cautions)]).replace("\xa0", " ")

    calculated, measured = caution(), caution(free_travel_mm={Side.LEFT: 40.0, Side.RIGHT: 40.0})
    assert "about 40 mm left, 40 mm right" in calculated
    assert "calculated from each brake's tightest line" in calculated
    assert "travel: 40 mm left, 40 mm right" in measured
    assert "calculated" not in measured


def test_a_value_beyond_its_limit_never_reads_as_the_limit(bench: SimpleNamespace) -> None:
    heavy = replace(bench.job(), pilot=Pilot("Robin Hale", all_up_weight_kg=100.4))
    tight = bench.job(bench.measured(free_travel_mm=dict.fromkeys(Side, 49.6)))
    texts = {
        c.rule: c.text.replace("\xa0", " ")
        for job in (heavy, tight)
        for c in bench.narrated(job).cautions
    }
    assert "100.4 kg" in texts["caution_too_heavy"]
    assert "at most 100 kg" in texts["caution_too_heavy"]
    assert "49.6 mm left" in texts["caution_free_travel"]


def test_brake_lines_that_were_left_out_are_cautioned(bench: SimpleNamespace, said: Said) -> None:
    job = bench.job(bench.measured({"brake": (0, 0, None)}))
    assert "caution_missing" in said(bench.narrated(job))


def test_the_workshop_adds_cautions_in_its_own_words(bench: SimpleNamespace) -> None:
    job = replace(bench.job(), workshop=Workshop("Quarry Hill", cautions=("One.", "Two.")))
    added = bench.narrated(job).cautions[-2:]
    assert [c.text for c in added] == ["One.", "Two."]
    assert len({c.topic for c in added}) == 2
    assert all(c.title for c in added)


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        (["line B2"], "Check that new lines run free."),
        (["main line c"], "Check that new lines run free."),
        (["B2"], "Check that new lines run free."),
        (["four soft maillons"], "Check that all maillons are closed."),
        (["B2", "rubber rings at all maillons"],
         "Check that all maillons are closed and that new lines run free."),
        (["speed system"], "Look at what was replaced before you fly."),
        (["two line tabs"], "Look at what was replaced before you fly."),
    ],
)  # fmt: skip
def test_new_parts_are_to_be_checked_for_what_they_are(
    bench: SimpleNamespace, parts: list[str], expected: str
) -> None:
    """Nobody is sent to look for new maillons where a line was replaced."""
    replaced = tuple(Replacement(part, Side.LEFT, "age") for part in parts)
    cautions = bench.narrated(bench.job(bench.measured(), replacements=replaced)).cautions

    assert [c.text for c in cautions if c.rule == "caution_parts"] == [expected]


@pytest.mark.parametrize(("mm", "doubted"), [(-45, False), (-70, True), (70, True)])
def test_lines_that_are_all_further_off_than_wear_and_measuring_explain_are_in_doubt(
    bench: SimpleNamespace, mm: float, doubted: bool
) -> None:
    """Another measuring point, or another line set: no trim is concluded until it is confirmed."""
    every = dict.fromkeys(("A", "B", "C", "stabilo", "brake", "brake_main"), mm)
    statements = bench.narrated(bench.job(bench.measured(every)))
    everything = (*statements.sentences, *statements.cautions)
    said = {s.rule: s.text.replace("\xa0", " ") for s in everything}

    assert ("caution_doubts" in said) is doubted
    assert ("found_level" in said) is not doubted
    if doubted:
        way = "longer" if mm > 0 else "shorter"
        assert f"read about 70 mm {way} than specified, more than" in said["caution_doubts"]
        assert said["headline_in_doubt"] == (
            f"As a whole, your wing's line lengths are in doubt: they read about 70 mm {way} than "
            "specified. They cannot be judged."
        )
        assert said["before_doubted"] == "Have the measuring as a whole checked before you fly it."
