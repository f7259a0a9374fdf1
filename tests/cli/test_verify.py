"""`trimscribe verify`: a line for people, a document for programs."""

import json
import os
import shutil
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.processes


@pytest.fixture
def reports(run: Any, folder: Path) -> Path:
    """A folder of reports below the one where the person is."""
    assert run("report", "fine.yaml", "--out", "reports").exit_code == 0
    return folder / "reports"


def test_each_report_of_a_folder_is_reported_and_counted(run: Any, reports: Path) -> None:
    (reports / "deeper").mkdir()
    shutil.copy(reports / "qh-1-damson-s.pdf", reports / "deeper" / "copy.PDF")
    (reports / "link.pdf").symlink_to(reports / "qh-1-damson-s.pdf")
    (reports / "notes.txt").write_text("no report")

    done = run("verify", "reports")

    assert done.exit_code == 0
    assert sorted(done.stdout.splitlines()) == [
        "reports/deeper/copy.PDF: identical: made again, it is the same to the last byte",
        "reports/qh-1-damson-s.pdf: identical: made again, it is the same to the last byte",
    ]
    assert done.stderr.splitlines() == [
        "reports/link.pdf: not looked at: a link, or not to be read",
        "2 identical",
    ]


def test_what_is_no_report_is_reported_with_its_reason_and_exit_code(
    run: Any, folder: Path
) -> None:
    (folder / "letter.pdf").write_bytes(b"Dear pilot")

    done = run("verify", "letter.pdf", "none.pdf")

    assert done.exit_code == 8
    assert "letter.pdf: unreadable" in done.stdout
    assert "   The file cannot be read as a PDF.\n" in done.stdout
    assert done.stderr == "2 unreadable\n"


@pytest.mark.skipif(os.name == "nt", reason="links are for administrators there")
def test_what_is_not_looked_at_is_reported(run: Any, reports: Path) -> None:
    (reports / "linked.pdf").symlink_to("qh-1-damson-s.pdf")
    (reports / "others").symlink_to(".")

    reported = run("verify", "reports")
    data = json.loads(run("verify", "reports", "--json").stdout)

    assert reported.exit_code == 0
    assert reported.stderr.splitlines()[:2] == [
        f"reports/{name}: not looked at: a link, or not to be read"
        for name in ("others", "linked.pdf")
    ]
    assert data["passed_over"] == ["reports/others", "reports/linked.pdf"]


@pytest.mark.skipif(os.name == "nt", reason="needs pipes")
def test_a_certificate_is_a_plain_file(run: Any, folder: Path) -> None:
    os.mkfifo(folder / "pipe.pem")

    for name, why in (("pipe.pem", "not a file"), ("none.pem", "No such file")):
        done = run("verify", "letter.pdf", "--trust", name)
        assert done.exit_code == 64
        assert why in done.stderr


def test_as_data_it_is_one_document_with_a_summary(run: Any, reports: Path) -> None:
    report = reports / "qh-1-damson-s.pdf"
    (reports / "altered.pdf").write_bytes(report.read_bytes().replace(b"/Lang(en)", b"/Lang(de)"))

    done = run("verify", "reports", "--json")
    reported = json.loads(done.stdout)

    assert done.exit_code == reported["exit_code"] == 9
    assert done.stderr == ""
    assert {name: n for name, n in reported["summary"].items() if n} == {
        "identical": 1,
        "altered": 1,
    }
    altered, identical = reported["reports"]
    assert [d["code"] for d in altered["differences"]] == ["metadata-altered"]
    assert identical == {
        "path": "reports/qh-1-damson-s.pdf",
        "standing": "identical",
        "sha256": identical["sha256"],
        "service": "QH-1",
        "differences": [],
        "versions": [],
        "signature": None,
    }


def test_an_empty_folder_is_reported_so(run: Any, folder: Path) -> None:
    (folder / "empty").mkdir()

    done = run("verify", "empty")

    assert (done.exit_code, done.stdout, done.stderr) == (0, "", "no PDF found\n")
