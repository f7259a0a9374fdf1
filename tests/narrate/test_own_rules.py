"""Sentences of the workshop's own: beside ours, checked like ours."""

import re
import shutil
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest

from trimscribe.assess import AddedFacts, assess
from trimscribe.errors import Fault, InputError, PhraseError, PluginError
from trimscribe.model.document import Content
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job
from trimscribe.model.statements import Place, Weight
from trimscribe.narrate import narrate
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def narrated(tmp_path: Path):
    """Tells the demo of a workshop with the rules that are given as YAML."""
    for file in EXAMPLES.iterdir():
        if file.is_file():
            shutil.copy(file, tmp_path)
    shop = tmp_path / "shop.yaml"
    ours = shop.read_text("utf-8")

    def of_shop(rules: str) -> Content:
        shop.write_text(f"{ours}\nrules:\n{rules}", "utf-8")
        return prepare(tmp_path / "demo.yaml", Registry.installed())

    return of_shop


def underlined(fault: Fault) -> str:
    assert fault.mark is not None
    assert fault.mark.file.endswith("shop.yaml")
    return fault.mark.source[fault.mark.column - 1 : fault.mark.column - 1 + fault.mark.width]


def test_a_sentence_is_added_and_none_of_ours_is_changed(narrated) -> None:
    plain = prepare(EXAMPLES / "demo.yaml", Registry.installed()).statements
    said = narrated(
        """
  drying:
    {place: found, text: "We measured {{ found_judged | number }} lines after a week of drying."}
  never: {place: found, when: not remeasured, text: Nobody reads this.}
"""
    ).statements

    added = [s for s in said.sentences if s not in plain.sentences]
    assert [s.text for s in added] == ["We measured 78 lines after a week of drying."]
    assert [s for s in said.sentences if s not in added] == list(plain.sentences)
    assert said.at(Place.FOUND)[-1] == added[0]
    assert said.cautions == plain.cautions


def test_a_caution_stands_among_those_that_every_report_has(narrated) -> None:
    plain = prepare(EXAMPLES / "demo.yaml", Registry.installed()).statements
    said = narrated(
        """
  first_flight:                      # the topic of one of ours
    {place: caution, weight: warning, title: Stay near., text: Fly it at home first.}
"""
    ).statements

    added = [c for c in said.cautions if c not in plain.cautions]
    assert [(c.title, c.text, c.weight) for c in added] == [
        ("Stay near", "Fly it at home first.", Weight.WARNING)  # pages end it with a full stop
    ]
    assert [c for c in said.cautions if c not in added] == list(plain.cautions)


def test_every_fault_is_reported_at_its_place(narrated) -> None:
    with pytest.raises(PhraseError) as caught:
        narrated(
            """
  caution_new_trim: {place: caution, title: None of ours., text: None.}
  slip: {place: found, when: remeasurd, text: "{{ found_lins }} and {{ 3 | metres }}"}
  open: {place: air, text: "{{ 3 "}
  mute: {place: caution, text: A caution without a title.}
  loud: {place: done, title: With one, text: A sentence.}
"""
        )

    assert [(f.code, underlined(f)) for f in caught.value.faults] == [
        ("duplicate-rule", "caution_new_trim"),
        ("unknown-fact", "remeasurd"),
        ("unknown-fact", "found_lins"),
        ("unknown-filter", "metres"),
        ("not-understood", '"{{ 3 "'),
        ("missing-entry", "mute"),
        ("unknown-entry", "With one"),
    ]
    assert "`remeasured`" in caught.value.faults[1].hint


def test_a_side_that_is_none_is_reported_as_such(narrated) -> None:
    with pytest.raises(PhraseError) as caught:
        narrated("""  mine: {place: found, text: "{{ 'B' | side }}"}\n""")

    assert [fault.code for fault in caught.value.faults] == ["phrase-fails"]
    assert "`side` takes left or right, not “B”" in caught.value.faults[0].message


def test_a_text_may_set_two_names_at_once(narrated) -> None:
    text = "{% set of, all = now_outside, now_judged %}{{ of | number }} of {{ all | number }}."
    said = narrated(f'  mine: {{place: found, text: "{text}"}}\n').statements

    assert "no of 78." in [s.text for s in said.at(Place.FOUND)]


@pytest.mark.parametrize("place", ["headline", "decision", "everywhere"])
def test_the_decision_and_the_headline_are_not_open(place: str, narrated) -> None:
    with pytest.raises(InputError) as caught:
        narrated(f"  mine: {{place: {place}, text: It may fly.}}\n")

    assert [(f.code, underlined(f)) for f in caught.value.faults] == [("not-one-of", place)]


def test_a_condition_that_fails_names_its_line(narrated) -> None:
    with pytest.raises(PhraseError) as caught:
        narrated("  mine: {place: found, when: found_judged > 'a', text: A sentence.}\n")

    assert [f.code for f in caught.value.faults] == ["condition-fails"]
    assert "fails where `found_judged` is 78." in caught.value.faults[0].message
    assert str(caught.value.faults[0].mark).rpartition("/")[2].startswith("shop.yaml:")
    assert underlined(caught.value.faults[0]) == "found_judged > 'a'"


@dataclass(frozen=True)
class Declaring:
    """An analysis of somebody else."""

    name: str = "moisture"
    contract: int = 1
    needs: tuple[str, ...] = ()
    declared: tuple[str, ...] = ("moisture_days",)

    @property
    def facts(self) -> dict[str, str]:
        return dict.fromkeys(self.declared, "a meaning")

    def analyse(self, job: Job, findings: Findings) -> Findings:
        return findings


def test_a_fact_without_a_value_is_none() -> None:
    added = AddedFacts.of([Declaring()])
    content = prepare(EXAMPLES / "demo.yaml", Registry.installed())
    job, found = content.reading.job, content.findings

    assert assess(found, job, added).facts["moisture_days"] is None
    with_days = replace(found, extra={"moisture": {"moisture_days": 3.0}})
    assessment = assess(with_days, job, added)
    assert assessment.facts["moisture_days"] == 3.0
    assert assessment.trails["moisture_days"] == ("extra.moisture.moisture_days",)
    assert narrate(assessment, job, Registry.installed()) == content.statements


@pytest.mark.parametrize(
    ("analyses", "codes"),
    [
        ([Declaring(declared=("now_lines", "Days", "moisture_days"))], ["fact-clash", "fact-name"]),
        ([Declaring(), Declaring(name="other")], ["fact-clash"]),
    ],
)
def test_a_fact_has_one_home(analyses: list[Declaring], codes: list[str]) -> None:
    with pytest.raises(PluginError) as caught:
        AddedFacts.of(analyses)

    assert [f.code for f in caught.value.faults] == codes


def test_a_value_that_cannot_be_said_is_named() -> None:
    added = AddedFacts.of([Declaring()])
    with pytest.raises(PluginError) as caught:
        added.values(Findings(extra={"moisture": {"moisture_days": [1]}}))

    assert [f.code for f in caught.value.faults] == ["fact-value"]
    assert "`moisture`" in caught.value.faults[0].message


def test_a_value_under_a_slip_of_the_fact_s_name_is_named() -> None:
    added = AddedFacts.of([Declaring()])
    with pytest.raises(PluginError) as caught:
        added.values(Findings(extra={"moisture": {"moisture_day": 3.0, "other": 1.0}}))

    assert [f.code for f in caught.value.faults] == ["fact-value"]
    assert "`moisture_day`" in caught.value.faults[0].message
    assert added.values(Findings(extra={"moisture": {"other": 1.0}})) == {"moisture_days": None}


def test_a_value_under_another_key_than_the_analysis_s_name_is_named() -> None:
    added = AddedFacts.of([Declaring()])
    for extra in ({"damp": {"moisture_days": 3.0}}, {"moisture_days": 3.0}):
        with pytest.raises(PluginError) as caught:
            added.values(Findings(extra=extra))
        (fault,) = caught.value.faults
        assert fault.code == "fact-value"
        assert f"`extra.{next(iter(extra))}`" in fault.message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("We dried {{ found_judged | count }}.", "`count` needs its forms, as in count(one="),
        ("We dried {{ found_tie_mm | mm }}.", "a number is not known here"),
        ("We dried {{ found_tie_mm + 1 }}.", "fails where `found_tie_mm` is not known."),
        ("We dried {{ found_lines | mm }}.", "fails where `found_lines` is “"),
    ],
)
def test_a_phrase_that_fails_says_why_at_its_text(narrated, text: str, words: str) -> None:
    with pytest.raises(PhraseError) as caught:
        narrated(f"  mine:\n    place: found\n    text: '{text}'\n")

    (fault,) = caught.value.faults
    assert fault.code == "phrase-fails"
    assert words in fault.message
    assert not re.search("Error|NoneType|str|operand", fault.message)
    assert text[:8] in underlined(fault)


def test_a_fact_that_nobody_knows_may_be_a_package_s_that_is_missing(narrated) -> None:
    with pytest.raises(PhraseError) as caught:
        narrated("  mine: {place: found, when: edge_mm > 3, text: A sentence.}\n")

    assert "not installed here" in caught.value.faults[0].hint


@dataclass(frozen=True)
class Tracing(Declaring):
    """One that says what its facts are made of."""

    inputs: dict[str, tuple[str, ...]] = field(default_factory=dict)


def test_what_a_fact_is_made_of_is_a_finding_or_a_key_of_the_job() -> None:
    def of(**inputs: tuple[str, ...]) -> AddedFacts:
        analysis = Tracing(inputs=inputs)
        return AddedFacts.of([analysis], lambda name: "hedgerow")

    added = of(moisture_days=("after.pitch", "pilot.all_up_weight_kg"))
    origin = added.origins["extra.moisture.moisture_days"]
    assert origin.how == "By the analysis `moisture` of hedgerow: a meaning."
    assert {"pilot.all_up_weight_kg", "after.left"} <= set(origin.inputs)
    assert "u_row_mm" in origin.thresholds

    with pytest.raises(PluginError) as caught:
        of(moisture_days=("afterwards.pitch",), moist=())
    assert [f.code for f in caught.value.faults] == ["fact-input", "fact-input"]
