"""`trimscribe report`: where the PDF is, what was found, and never over another report."""

import hashlib
import json
import re
from pathlib import Path
from typing import Any

import pytest

from trimscribe.desk import work
from trimscribe.model.report import Report

NAME = "qh-1-damson-s.pdf"


@pytest.fixture
def without_typesetting(here: None, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Make a report of the serial number alone, at once; the list holds the themes asked for."""
    themes: list[str] = []

    def outputs(
        content: Any, registry: Any, world: Any, names: Any, *, theme: str
    ) -> tuple[Report, ...]:
        assert names == ("pdf",)
        themes.append(theme)
        data = content.reading.job.wing.serial_number.encode()
        return (Report(data=data, suffix=".pdf", media_type="application/pdf", pages=1),)

    monkeypatch.setattr(work, "outputs", outputs)
    return themes


@pytest.mark.quick
def test_a_report_is_made_where_one_stands_and_its_path_is_printed(run: Any, folder: Path) -> None:
    done = run("report", "fine.yaml")

    assert done.exit_code == 0
    assert done.stdout == f"{NAME}\n"
    assert re.fullmatch(r"fine\.yaml: [1-9] pages?, no faults\n", done.stderr)
    assert (folder / NAME).read_bytes().startswith(b"%PDF-")


@pytest.mark.usefixtures("without_typesetting")
def test_a_folder_is_made_for_the_reports(run: Any, folder: Path) -> None:
    done = run("report", "fine.yaml", "--out", "for pilots/2026")

    assert done.stdout == f"for pilots/2026/{NAME}\n"
    assert (folder / "for pilots" / "2026" / NAME).exists()


@pytest.mark.usefixtures("without_typesetting")
def test_the_same_report_is_left_alone(run: Any) -> None:
    run("report", "fine.yaml")

    done = run("report", "fine.yaml")

    assert done.exit_code == 0
    assert done.stderr == "fine.yaml: 1 page, unchanged, no faults\n"


@pytest.mark.usefixtures("without_typesetting")
def test_a_different_report_is_replaced_only_by_force(run: Any, folder: Path) -> None:
    (folder / NAME).write_bytes(b"another")

    refused = run("report", "fine.yaml")

    assert refused.exit_code == 6
    assert refused.stdout == ""
    assert f"{NAME}: report-exists\n" in refused.stderr
    assert (folder / NAME).read_bytes() == b"another"
    assert run("report", "fine.yaml", "--force").exit_code == 0
    assert (folder / NAME).read_bytes() == b"DM-0001"


@pytest.mark.usefixtures("without_typesetting")
@pytest.mark.parametrize("force", [[], ["--force"]])
def test_two_jobs_with_the_same_number_and_wing_never_replace_each_other(
    run: Any, folder: Path, force: list[str]
) -> None:
    text = (folder / "fine.yaml").read_text(encoding="utf-8")
    (folder / "twin.yaml").write_text(text.replace("DM-0001", "DM-0002"), encoding="utf-8")

    done = run("report", "fine.yaml", "twin.yaml", *force)

    assert done.exit_code == 6
    assert "“fine.yaml” of this run has the same service number and wing" in done.stderr
    assert (folder / NAME).read_bytes() == b"DM-0001"


@pytest.mark.usefixtures("without_typesetting")
def test_the_same_job_named_twice_is_no_fault(run: Any) -> None:
    assert run("report", "fine.yaml", "fine.yaml", "--force").exit_code == 0


@pytest.mark.usefixtures("without_typesetting")
def test_the_faults_of_one_job_do_not_stop_the_others(run: Any) -> None:
    done = run("report", "faulty.yaml", "nowhere.yaml", "fine.yaml")

    assert done.exit_code == 2
    assert done.stdout == f"{NAME}\n"
    assert "faulty.yaml:3:31: not-a-date" in done.stderr
    assert "faulty.yaml: 1 error\n" in done.stderr
    assert "nowhere.yaml: file-not-found" in done.stderr


@pytest.mark.usefixtures("without_typesetting")
def test_a_bug_in_one_job_does_not_stop_the_others(
    run: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    prepare = work.prepare
    monkeypatch.setattr(
        work,
        "prepare",
        lambda job, *rest, **_: 1 / 0 if job == "heavy.yaml" else prepare(job, *rest),
    )

    done = run("report", "heavy.yaml", "faulty.yaml", "fine.yaml")

    assert done.exit_code == 70
    assert done.stdout == f"{NAME}\n"


@pytest.mark.usefixtures("without_typesetting")
def test_warnings_are_reported_and_the_report_is_made(run: Any) -> None:
    done = run("report", "heavy.yaml")

    assert done.exit_code == 0
    assert done.stdout == f"{NAME}\n"
    assert ": warning: pilot-outside-weight-range\n" in done.stderr
    assert done.stderr.endswith("heavy.yaml: 1 page, 1 warning\n")


@pytest.mark.typesets
def test_warnings_of_the_job_are_reported_also_when_the_theme_is_wrong(
    run: Any, folder: Path
) -> None:
    (folder / "plain").mkdir()
    (folder / "plain" / "theme.yaml").write_text("trimscribe: 1\nname: plain\ncolour: red\n")

    done = run("report", "heavy.yaml", "--theme", "./plain")

    assert done.exit_code == 3
    assert "plain/theme.yaml:3:1: unknown-key\n" in done.stderr
    assert done.stderr.endswith("heavy.yaml: 1 error and 1 warning\n")


@pytest.mark.typesets
def test_a_theme_that_hides_the_cautions_makes_no_report(run: Any, folder: Path) -> None:
    (folder / "plain" / "templates").mkdir(parents=True)
    (folder / "plain" / "theme.yaml").write_text("trimscribe: 1\nname: plain\nextends: base\n")
    (folder / "plain" / "templates" / "cautions.typ.j2").write_text('#import "kit.typ": *\n')

    done = run("report", "fine.yaml", "--theme", "./plain")

    assert done.exit_code == 5
    assert "required-text-missing" in done.stderr
    assert not (folder / NAME).exists()


@pytest.mark.typesets
def test_a_theme_that_nobody_knows_is_reported_with_those_there_are(run: Any) -> None:
    done = run("report", "fine.yaml", "--theme", "bse")

    assert done.exit_code == 3
    assert "Did you mean `base`?" in done.stderr


def test_the_theme_is_handed_on(run: Any, without_typesetting: list[str]) -> None:
    run("report", "fine.yaml")
    run("report", "fine.yaml", "--theme", "coast")

    assert without_typesetting == ["", "coast"]


@pytest.mark.usefixtures("without_typesetting")
def test_json_is_one_document_for_the_whole_run(run: Any) -> None:
    done = run("report", "fine.yaml", "faulty.yaml", "--out", "pdf", "--json")
    reported = json.loads(done.stdout)

    assert done.exit_code == reported["exit_code"] == 2
    assert done.stderr == ""
    assert list(reported) == ["format", "exit_code", "faults", "jobs"]
    assert reported["format"] == 1
    assert reported["faults"] == []
    assert reported["jobs"][0] == {
        "job": "fine.yaml",
        "kind": "job",
        "exit_code": 0,
        "report": {
            "path": f"pdf/{NAME}",
            "pages": 1,
            "sha256": hashlib.sha256(b"DM-0001").hexdigest(),
            "unchanged": False,
        },
        "outputs": {
            "pdf": {
                "path": f"pdf/{NAME}",
                "sha256": hashlib.sha256(b"DM-0001").hexdigest(),
                "unchanged": False,
            }
        },
        "faults": [],
    }
    assert reported["jobs"][1]["report"] is None
    assert [fault["code"] for fault in reported["jobs"][1]["faults"]] == ["not-a-date"]


@pytest.mark.usefixtures("without_typesetting")
def test_a_file_in_place_of_the_folder_is_reported(run: Any) -> None:
    done = run("report", "fine.yaml", "--out", "heavy.yaml")

    assert done.exit_code == 6
    assert done.stderr.startswith("heavy.yaml: not-a-folder\n")


@pytest.mark.parametrize("name", ["fine job.yaml", "Prüfung №1.yaml", "検査.yaml", "[a]*.yaml"])
@pytest.mark.usefixtures("without_typesetting")
def test_a_job_may_have_any_name(run: Any, folder: Path, name: str) -> None:
    (folder / "fine.yaml").rename(folder / name)

    done = run("report", name)

    assert done.stdout == f"{NAME}\n"
    assert done.stderr == f"{name}: 1 page, no faults\n"


@pytest.mark.usefixtures("without_typesetting")
@pytest.mark.parametrize("typed", [["--", "-odd.yaml"], ["./-odd.yaml"]])
def test_a_name_may_start_with_a_hyphen(run: Any, folder: Path, typed: list[str]) -> None:
    (folder / "fine.yaml").rename(folder / "-odd.yaml")

    assert run("report", *typed).exit_code == 0
