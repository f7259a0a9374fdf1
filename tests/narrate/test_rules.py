"""The rules file: what it must hold, and how its faults are reported."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from trimscribe.assess import DECLARED
from trimscribe.assess.describe import with_head
from trimscribe.assess.facts import facts_of
from trimscribe.errors import Fault, PhraseError
from trimscribe.model.job import Job
from trimscribe.model.statements import Place, Weight
from trimscribe.narrate.rules import ALWAYS_SAID, REQUIRED, RULES, choose, load_rules

NAMES = frozenset(DECLARED)

CAUTIONS = "\n".join(f"    {topic}: {{caution_{topic}: true}}" for topic in REQUIRED)
Write = Callable[[str], Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes a rules file: the required cautions, and the rules given."""

    def make(rules: str, cautions: str = CAUTIONS) -> Path:
        path = tmp_path / "rules.yaml"
        path.write_text(f"facts: {{}}\nrules:\n  caution:\n{cautions}\n{rules}", encoding="utf-8")
        return path

    return make


def faults(path: Path) -> tuple[Fault, ...]:
    with pytest.raises(PhraseError) as caught:
        load_rules(NAMES, path)
    return caught.value.faults


def underlined(fault: Fault) -> str:
    assert fault.mark is not None
    return fault.mark.source[fault.mark.column - 1 : fault.mark.column - 1 + fault.mark.width]


def test_the_head_of_the_rules_file_is_the_registry_of_facts() -> None:
    text = RULES.read_text("utf-8")
    assert text == with_head(text)
    assert all(known.meaning for known in DECLARED.values())


def test_the_first_rule_of_a_topic_that_holds_speaks_alone(write: Write, bare: Job) -> None:
    rules = load_rules(
        NAMES,
        write("  found:\n    x:\n      never: remeasured\n      first: true\n      second: true\n"),
    )
    chosen = [r.name for r in choose(rules, bare) if r.place is Place.FOUND]
    assert chosen == ["first"]


def test_a_topic_of_another_place_is_another_topic(write: Write, bare: Job) -> None:
    rules = load_rules(NAMES, write("  found: {x: {one: true}}\n  done: {x: {two: true}}\n"))
    assert [r.name for r in choose(rules, bare)][-2:] == ["one", "two"]


def test_a_rule_carries_the_facts_it_names_their_family_and_those_listed(write: Write) -> None:
    text = "  air:\n    x:\n      one: {when: change_twist == 'none', numbers: [limit]}\n"
    rule = load_rules(NAMES, write(text.replace("limit", "weight_kg")))[-1]
    assert rule.numbers == (
        "weight_kg",
        "change_twist",
        "change_twist_deg",
        "change_twist_u_deg",
        "change_twist_way",
    )


def test_the_weight_of_a_rule_is_plain_unless_it_says_otherwise(write: Write) -> None:
    rules = load_rules(
        NAMES, write("  air: {x: {one: true}, y: {two: {when: true, weight: warning}}}\n")
    )
    assert [r.weight for r in rules[-2:]] == [Weight.PLAIN, Weight.WARNING]


@pytest.mark.parametrize(
    ("rules", "code", "word", "hint"),
    [
        ("  found: {x: {one: found_pich}}", "unknown-fact", "found_pich", "`found_pitch`"),
        (
            "  found:\n    x:\n      one: >-\n        stop\n        and zebra",
            "unknown-fact",
            "zebra",
            "head of rules.yaml",
        ),
        ("  found: {x: {one: stop | lenth}}", "unknown-filter", "lenth", "`length`"),
        ("  found: {x: {one: cloth is noticable}}", "unknown-test", "noticable", "`noticeable`"),
        ("  found: {x: {one: stop and}}", "not-understood", "stop and", ""),
        ("  found: {x: {one: 7}}", "no-condition", "7", "true"),
        ("  found: {x: {one: {weight: plain}}}", "no-condition", "one", "true"),
        ("  fond: {x: {one: true}}", "unknown-place", "fond", "`found`"),
        ("  found: {x: {caution_unusual: true}}", "duplicate-rule", "caution_unusual", ""),
        ("  found: {x: [one]}", "not-a-mapping", "x", ""),
        ("  found: {x: {one: {when: true, wieght: plain}}}", "unknown-entry", "plain", "`weight`"),
        ("  found: {x: {one: {when: true, weight: heavy}}}", "unknown-weight", "heavy", "warning"),
        (
            "  found: {x: {one: {when: true, numbers: [limit_mm]}}}",
            "unknown-fact",
            "limit_mm",
            "limit_mm",
        ),
    ],
)
def test_a_fault_is_reported_at_its_place_with_a_way_out(
    write: Write, rules: str, code: str, word: str, hint: str
) -> None:
    (fault,) = faults(write(rules))
    assert (fault.code, underlined(fault)) == (code, word)
    assert hint in fault.hint


@pytest.mark.parametrize("value", ["7", "[a, [b]]", "~", "{a: {b: c}}", "text", "''", "[]"])
@pytest.mark.parametrize(
    "place",
    ["@", "found: @", "found: {x: @}", "found: {x: {y: @}}", "found: {x: {y: {when: @}}}"]
    + [f"found: {{x: {{y: {{when: true, {part}: @}}}}}}" for part in ("weight", "numbers")]
    + ["caution: @", "caution: {unusual: @}"],
)
def test_whatever_stands_where_it_does_not_belong_is_a_fault_and_never_a_crash(
    tmp_path: Path, place: str, value: str
) -> None:
    path = tmp_path / "rules.yaml"
    rules = place.replace("@", value)
    rules = rules if rules == value else f"{{{rules}}}"
    path.write_text(f"facts: {{}}\nrules: {rules}\n", encoding="utf-8")
    assert faults(path)


def test_all_faults_are_reported_at_once_in_the_order_of_the_file(write: Write) -> None:
    found = faults(write("  found: {x: {one: zebra, two: stop and}}\n  fund: {x: {three: true}}"))
    assert [f.code for f in found] == ["unknown-fact", "not-understood", "unknown-place"]


@pytest.mark.parametrize("topic", REQUIRED)
def test_a_required_caution_cannot_be_left_out(write: Write, topic: str) -> None:
    cautions = re.sub(f"    {topic}: .*", "", CAUTIONS)
    (fault,) = faults(write("", cautions))
    assert (fault.code, topic in fault.message) == ("required-caution", True)


@pytest.mark.parametrize("topic", ALWAYS_SAID)
def test_a_required_caution_cannot_hang_on_a_condition(write: Write, topic: str) -> None:
    cautions = CAUTIONS.replace(f"caution_{topic}: true", f"caution_{topic}: remeasured")
    (fault,) = faults(write("", cautions))
    assert (fault.code, topic in fault.message) == ("required-caution", True)


def test_a_condition_that_makes_no_sense_for_the_facts_is_reported_with_its_place(
    write: Write, bare: Job
) -> None:
    rules = load_rules(NAMES, write("  found: {x: {one: weight_kg > 3}}"))
    with pytest.raises(PhraseError) as caught:
        list(choose(rules, bare))
    (fault,) = caught.value.faults
    assert (fault.code, underlined(fault)) == ("condition-fails", "weight_kg > 3")


def test_a_rules_file_that_is_not_there_is_a_fault_without_a_traceback(tmp_path: Path) -> None:
    assert faults(tmp_path / "none.yaml")[0].code == "file-not-read"


@pytest.fixture
def bare(bench: Any) -> Any:
    """The facts of a job that holds nothing."""
    job = bench.job(specification=None)
    return facts_of(bench.findings(job), job)
