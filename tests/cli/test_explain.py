"""`explain`: for every sentence its rule, its numbers, its thresholds, and where they came from."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from trimscribe.cli import main
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry

ROOT = Path(__file__).parents[2]
DEMO = str(ROOT / "examples" / "demo.yaml")


def explain(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["explain", *arguments])


def test_a_sentence_is_traced_to_files_and_lines() -> None:
    said = explain(DEMO, "found_up").stdout

    assert said.startswith("Compared with the front lines the rear lines were short")
    assert "found_up, narrate/rules.yaml:" in said
    assert 'found_pitch is noticeable and found_pitch_way == "up"' in said
    assert "found_pitch_deg = 0.63" in said
    assert "found_speed_high = " in said  # the sentence names it, its condition does not
    assert f"from before.left: {DEMO.replace('demo.yaml', 'demo-before.csv')}:2–49" in said
    assert "from specification.rows:" in said
    assert "with pitch_deg = 0.5 deg, built in: About 2 % of trim speed" in said
    assert "from wing.trim_speed_km_h: " in said


def test_without_a_name_every_sentence_of_the_report_is_explained() -> None:
    content = prepare(DEMO, Registry.installed())
    said = explain(DEMO).stdout

    for statement in (*content.statements.sentences, *content.statements.cautions):
        assert statement.text in said
        assert f"  rule {statement.rule}, " in said or statement.rule == "own"


def test_the_very_lines_that_a_sentence_names_are_shown() -> None:
    said = explain(str(ROOT / "examples" / "outside.yaml"), "found_lines_outside").stdout

    assert "from before.right.C9: " in said


def test_a_threshold_that_the_job_sets_is_shown_at_its_place(tmp_path: Path) -> None:
    job = tmp_path / "job.yaml"
    text = (ROOT / "examples" / "outside.yaml").read_text(encoding="utf-8")
    job.write_text(text + "\nthresholds: {pitch_deg: 0.3}\n", encoding="utf-8")
    line = len(text.splitlines()) + 2

    said = explain(str(job), "found_up").stdout

    assert f"with pitch_deg = 0.3 deg, {job}:{line}:" in said


def test_a_finding_is_explained_by_its_path() -> None:
    said = explain(DEMO, "after.brakes").stdout

    assert "Lengths against the maker's table; travel against the line set" in said
    assert "with brake_free_travel_min_mm = 50 mm" in said


def test_json_carries_the_same(tmp_path: Path) -> None:
    found = json.loads(explain(DEMO, "found_up", "--json").stdout)

    assert found["format"] == 1
    [one] = found["evidence"]
    assert one["rule"] == "found_up"
    assert one["numbers"]["found_pitch_deg"] == pytest.approx(0.63, abs=0.01)
    assert {entry["name"] for entry in one["thresholds"]} >= {"pitch_deg", "u_row_mm"}


def test_an_unknown_name_is_reported_with_the_nearest() -> None:
    result = explain(DEMO, "found_upp")

    assert result.exit_code == 64
    assert "Did you mean `found_up`?" in result.stderr


def test_a_rule_that_does_not_speak_is_reported_with_what_it_asks(tmp_path: Path) -> None:
    shop = tmp_path / "shop.yaml"
    shop.write_text(
        "trimscribe: 1\nname: Netherby Loft\nrules:\n"
        "  edge: {place: found, when: found_judged > 900, text: So many.}\n"
    )
    result = explain(DEMO, "edge", "--shop", str(shop), "--root", "/")

    assert result.exit_code == 64
    assert f"Its rule, {shop}:4, does not speak here. It asks: found_judged > 900" in result.stderr
    assert "Did you mean" not in result.stderr
    assert "narrate/rules.yaml:" in explain(DEMO, "found_down").stderr


def test_findings_take_a_shop_file_too(tmp_path: Path) -> None:
    shop = tmp_path / "shop.yaml"
    shop.write_text("trimscribe: 1\nnam: Netherby Loft\n")
    result = CliRunner().invoke(main, ["findings", DEMO, "--shop", str(shop), "--root", "/"])

    assert "`nam` is not a key" in result.stderr


def test_a_broken_job_tells_its_faults() -> None:
    result = explain(str(ROOT / "examples" / "broken.yaml"))

    assert result.exit_code == 2
    assert result.stdout == ""
    assert "broken.yaml:" in result.stderr


def test_every_number_behind_a_sentence_has_a_source() -> None:
    """Sentences that are always said look at no fact; of the others each names where from."""
    registry = Registry.installed()
    for path in sorted((ROOT / "examples").glob("*.yaml")):
        if "service:" not in path.read_text(encoding="utf-8") or path.stem == "broken":
            continue
        content = prepare(path, registry)
        for statement in (*content.statements.sentences, *content.statements.cautions):
            assert statement.sources or not statement.numbers, statement.rule
