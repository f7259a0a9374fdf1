"""The trail of a report: every number of the findings leads to files, lines and thresholds."""

import json
from pathlib import Path

import pytest

from trimscribe.compose.attachments import findings_of
from trimscribe.evidence import evidence_of, evidence_of_finding, trail_of
from trimscribe.model.document import Content
from trimscribe.model.origins import origin_of
from trimscribe.model.plain import to_plain
from trimscribe.model.thresholds import NAMES
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry

ROOT = Path(__file__).parents[1]
JOBS = [
    path
    for path in sorted([*ROOT.glob("examples/*.yaml"), *ROOT.glob("tests/jobs/*.yaml")])
    if "service:" in path.read_text(encoding="utf-8") and path.stem != "broken"
]


@pytest.fixture(scope="module")
def demo() -> Content:
    return prepare(ROOT / "examples" / "demo.yaml", Registry.installed())


def numbers(value, at=""):
    """Every number with its path."""
    if isinstance(value, dict):
        for key, below in value.items():
            yield from numbers(below, f"{at}.{key}".lstrip("."))
    elif isinstance(value, list):
        for n, below in enumerate(value):
            yield from numbers(below, f"{at}.{n}")
    elif isinstance(value, float) or (isinstance(value, int) and not isinstance(value, bool)):
        yield at, value


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_every_number_of_the_findings_leads_to_a_file_and_line(path: Path) -> None:
    content = prepare(path, Registry.installed())
    trail = trail_of(content)
    places = {one.path: one.places for one in trail.inputs}

    for at, _ in numbers(to_plain(content.findings)):
        if at.startswith("decision.") and not content.reading.job.specification:
            continue  # the rule of a job without a line set is the built-in one
        if at.startswith("extra."):
            continue  # of an analysis that somebody has installed
        source = trail.parts[origin_of(at).part]
        assert source.inputs, at
        assert all(":" in place for path in source.inputs for place in places[path])


def test_lines_measured_only_after_the_work_are_explained_by_that_measuring() -> None:
    content = prepare(ROOT / "tests" / "jobs" / "only-after.yaml", Registry.installed())
    said = {s.rule: evidence_of(s, content) for s in content.statements.sentences}

    for rule in ("found_lines_outside", "before_outside"):
        named = {one.path for one in said[rule].inputs}
        assert "after.left.A3" in named
        assert not any(path.startswith("before") for path in named)


def test_a_release_is_explained_by_the_workshops_word_alone(demo: Content) -> None:
    (released,) = [s for s in demo.statements.sentences if s.rule == "decision_released"]

    assert [one.path for one in evidence_of(released, demo).inputs] == [
        "decision", "service.signed_by",
    ]  # fmt: skip


def test_the_attached_findings_carry_the_trail_and_every_threshold(demo: Content) -> None:
    data = json.loads(findings_of(demo))

    assert [entry["name"] for entry in data["trail"]["thresholds"]] == [*NAMES]
    assert data["trail"]["parts"]["before.pitch"]["inputs"][0] == "before.left"
    (left,) = [one for one in data["trail"]["inputs"] if one["path"] == "before.left"]
    assert left["places"] == ["demo-before.csv:2–49"]
    for statement in (*data["statements"], *data["cautions"]):
        assert statement["rule_place"] or statement["rule"] == "own"
        assert statement["sources"] or not statement["numbers"]


def test_attached_places_do_not_depend_on_where_the_job_was_called_from(
    demo: Content, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT / "examples")

    again = prepare("demo.yaml", Registry.installed())

    assert findings_of(again) == findings_of(demo)


def test_a_path_that_is_no_finding_has_no_evidence(demo: Content) -> None:
    assert evidence_of_finding("before.nothing", demo) is None
