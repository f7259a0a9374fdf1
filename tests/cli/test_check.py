"""`trimscribe check`, `findings` and `plugins`."""

import json
import os
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest

from trimscribe.cli.output import Exit
from trimscribe.model.plain import to_plain
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry

ROOT = Path(__file__).parents[2]
PACKAGES = ROOT / "tests" / "fake_plugin"


def test_a_job_without_faults_is_reported_so(run: Any, folder: Path) -> None:
    before = sorted(folder.iterdir())

    done = run("check", "fine.yaml")

    assert (done.exit_code, done.stdout, done.stderr) == (0, "", "fine.yaml: no faults\n")
    assert sorted(folder.iterdir()) == before


@pytest.mark.parametrize(
    ("jobs", "strict", "code"),
    [
        (["fine.yaml"], True, 0),
        (["heavy.yaml"], False, 0),
        (["heavy.yaml"], True, 1),
        (["fine.yaml", "heavy.yaml", "fine.yaml"], True, 1),
        (["faulty.yaml"], False, 2),
        (["faulty.yaml", "heavy.yaml"], True, 2),
    ],
)
def test_the_exit_code_is_that_of_the_worst_job(
    run: Any, jobs: list[str], strict: bool, code: int
) -> None:
    strictly = ["--strict"] if strict else []

    assert run("check", *jobs, *strictly).exit_code == code
    as_data = run("check", *jobs, *strictly, "--json")
    assert as_data.exit_code == json.loads(as_data.stdout)["exit_code"] == code


def test_all_faults_of_the_broken_example_are_reported_with_their_lines(
    run: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)

    done = run("check", "examples/broken.yaml")
    as_data = json.loads(run("check", "examples/broken.yaml", "--json").stdout)

    faults = as_data["jobs"][0]["faults"]
    assert done.exit_code == 2
    assert len(faults) > 20
    for fault in faults:
        assert f"{fault['file']}:{fault['line']}:{fault['column']}: " in done.stderr
        assert fault["message"] in done.stderr
        assert fault["source"][:20] in done.stderr
    assert str(ROOT) not in done.stderr


@pytest.mark.typesets
def test_no_more_of_a_path_is_shown_than_was_typed(run: Any, folder: Path) -> None:
    (folder / "faulty.yaml").write_text("trimscribe: 1\nworkshop: shop.yaml\n", encoding="utf-8")

    for arguments in (["check"], ["report", "--out", "out"], ["check", "--json"], ["findings"]):
        done = run(*arguments, "faulty.yaml")
        assert done.exit_code == 2
        assert str(folder) not in done.stdout + done.stderr


def test_findings_are_printed_as_json(run: Any) -> None:
    job = ROOT / "examples" / "demo.yaml"

    done = run("findings", job)

    assert done.exit_code == 0
    found = prepare(job, Registry.installed()).findings
    assert json.loads(done.stdout) == json.loads(json.dumps(to_plain(found)))
    assert json.loads(done.stdout)["after"]


def test_findings_of_a_faulty_job_are_not_printed(run: Any) -> None:
    done = run("findings", "faulty.yaml")

    assert done.exit_code == 2
    assert done.stdout == ""
    assert "not-a-date" in done.stderr


@pytest.mark.skipif(os.name == "nt", reason="links are for administrators there")
@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (["report", "ring"], "file-not-found"),
        (["report", "fine.yaml", "--shop", "ring"], "file-not-found"),
        (["report", "fine.yaml", "--theme", "./ring"], "theme-missing"),
        (["report", "fine.yaml", "--root", "ring"], "file-outside"),
        (["theme", "check", "./ring"], "theme-missing"),
    ],
)
@pytest.mark.typesets
def test_links_that_lead_in_a_ring_are_reported(
    run: Any, folder: Path, arguments: list[str], expected: str
) -> None:
    (folder / "ring").symlink_to("ring")
    (folder / "shop.yaml").write_text("trimscribe: 1\nname: Quarry Hill\n", encoding="utf-8")
    job = folder / "fine.yaml"
    text = job.read_text(encoding="utf-8").replace("{name: Quarry Hill Canopy Works}", "shop.yaml")
    job.write_text(text, encoding="utf-8")

    done = run(*arguments)

    assert done.exit_code in (Exit.INPUT, Exit.THEME)
    assert f"{expected}\n" in done.stderr


def test_a_language_without_words_is_reported(
    run: Any, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(PACKAGES / "wordless")
    text = (folder / "fine.yaml").read_text(encoding="utf-8")
    (folder / "fine.yaml").write_text(text.replace("Works}", "Works, language: mute}"))

    done = run("check", "fine.yaml")

    assert done.exit_code == 3
    assert str(PACKAGES) not in done.stderr


def test_plugins_are_listed_with_their_packages(run: Any) -> None:
    done = run("plugins")
    rows = [line.split() for line in done.stdout.splitlines()]

    assert done.exit_code == 0
    assert rows[0] == ["kind", "name", "package", "version", "can", "be", "used"]
    assert ["importers", "csv", "trimscribe", version("trimscribe"), "yes"] in rows
    assert {row["name"] for row in json.loads(run("plugins", "--json").stdout)["plugins"]} == {
        row[1] for row in rows[1:]
    }


def test_plugins_that_cannot_be_used_are_marked_and_explained(
    run: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(PACKAGES / "bad")

    done = run("plugins")
    rows = json.loads(run("plugins", "--json").stdout)["plugins"]

    assert done.exit_code == 0
    assert "no: plugin-contract" in done.stdout
    assert "“storm” in figures, from storm-tools, lacks `draw()`." in done.stderr
    broken = {row["kind"]: row["fault"]["code"] for row in rows if row["fault"]}
    assert len(broken) == 7
    assert broken["outputs"] == "plugin-name"


@pytest.mark.parametrize("command", ["check", "report"])
@pytest.mark.typesets
def test_a_bad_plugin_is_reported_once_and_stops_nothing(
    run: Any, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    monkeypatch.syspath_prepend(PACKAGES / "bad")

    done = run(command, "fine.yaml", "fine.yaml")

    assert done.exit_code == 0
    assert done.stderr.count("“storm” in analyses, from storm-tools, does not load") == 1
    assert "“storm” in figures" not in done.stderr
    assert "fine.yaml: " in done.stderr


def test_a_bad_plugin_is_in_the_data_too_and_counts_when_strict(
    run: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(PACKAGES / "bad")

    done = run("check", "fine.yaml", "--json")
    strict = run("check", "fine.yaml", "--strict")

    reported = json.loads(done.stdout)
    assert [(fault["code"], fault["severity"]) for fault in reported["faults"]] == [
        ("plugin-broken", "warning")
    ]
    assert (done.exit_code, strict.exit_code) == (0, 1)


def test_a_clash_with_a_built_in_plugin_names_both_packages(
    run: Any, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(PACKAGES / "clash")

    done = run("check", ROOT / "examples" / "demo.yaml")

    assert done.exit_code == 2
    assert "“csv” in importers is offered by tide-tools and trimscribe." in done.stderr
    assert "no-importer" in done.stderr


def test_the_sections_that_a_shop_file_adds_are_checked_without_a_job(
    run: Any, folder: Path
) -> None:
    (folder / "shop.yaml").write_text(
        "trimscribe: 1\nname: Fern Works\nadd_sections: {storage: {after: cautoins}}\n",
        encoding="utf-8",
    )

    done = run("check", "shop.yaml", "--json")

    (fault,) = json.loads(done.stdout)["jobs"][0]["faults"]
    assert (fault["code"], fault["line"], fault["column"]) == ("section-misplaced", 3, 16)


def test_the_rules_of_a_shop_file_are_checked_without_a_job(run: Any, folder: Path) -> None:
    (folder / "shop.yaml").write_text(
        "{trimscribe: 1, name: Fern Works, rules: {\n"
        "  dry: {place: found, when: remeasurd, text: '{{ found_lins }}'}}}\n",
        encoding="utf-8",
    )

    done = run("check", "shop.yaml", "--json")

    faults = json.loads(done.stdout)["jobs"][0]["faults"]
    assert done.exit_code == 3
    assert [(f["code"], f["line"], f["column"]) for f in faults] == [
        ("unknown-fact", 2, 29),
        ("unknown-fact", 2, 50),
    ]
