"""`trimscribe archive`, `trimscribe shelf` and `report --shelf`."""

import errno
import json
import os
from pathlib import Path
from typing import Any

import pytest

from trimscribe.model.manifest import Role
from trimscribe.readback.contents import read_back

PLACE = "shelf/2026/dm-0001/qh-1.pdf"


@pytest.mark.typesets
def test_a_report_goes_straight_to_the_shelf(run: Any, folder: Path) -> None:
    done = run("report", "fine.yaml", "--shelf", "shelf")

    assert (done.exit_code, done.stdout) == (0, f"{PLACE}\n")
    again = run("report", "fine.yaml", "--shelf", "shelf")
    assert "unchanged" in again.stderr
    assert not list(folder.glob("*.pdf"))


def jobs_of_years(folder: Path, *years: int) -> None:
    """A service of one wing in each year, as H-2024.yaml and so on."""
    text = (folder / "fine.yaml").read_text(encoding="utf-8")
    for year in years:
        service = text.replace("QH-1", f"H-{year}").replace("2026-04-01", f"{year}-04-01")
        (folder / f"H-{year}.yaml").write_text(service, encoding="utf-8")


def history(report: Path) -> list[str]:
    """The services that a report shows."""
    reported = json.loads(read_back(report.read_bytes()).data(Role.FINDINGS) or b"")["history"]
    return [service["service"] for service in reported["services"]] if reported else []


@pytest.mark.typesets
def test_the_oldest_service_is_made_first_in_whatever_order_they_are_named(
    run: Any, folder: Path
) -> None:
    jobs_of_years(folder, 2022, 2024, 2026)

    done = run("report", "H-2026.yaml", "faulty.yaml", "H-2022.yaml", "H-2024.yaml", "--shelf", "s")

    wing = folder / "s"
    assert done.exit_code == 2
    assert "later-service" not in done.stderr
    assert history(wing / "2026/dm-0001/h-2026.pdf") == ["H-2022", "H-2024", "H-2026"]
    assert history(wing / "2024/dm-0001/h-2024.pdf") == ["H-2022", "H-2024"]


@pytest.mark.typesets
def test_a_service_that_comes_after_a_later_one_of_its_wing_is_reported(
    run: Any, folder: Path
) -> None:
    jobs_of_years(folder, 2022, 2024, 2026)
    assert "later-service" not in run("report", "H-2024.yaml", "--shelf", "s").stderr

    late = run("report", "H-2022.yaml", "--shelf", "s")

    assert late.exit_code == 0
    assert "s/2024/dm-0001/h-2024.pdf: warning: later-service" in late.stderr
    again = run("report", "H-2022.yaml", "H-2026.yaml", "--shelf", "s")
    assert "later-service" not in again.stderr


@pytest.mark.typesets
def test_finished_reports_are_put_on_a_shelf_and_one_refusal_stops_no_other(
    run: Any, folder: Path
) -> None:
    run("report", "fine.yaml", "--out", "reports")
    (folder / "reports" / "letter.pdf").write_bytes(b"Dear pilot")

    done = run("archive", "shelf", "reports")

    assert done.exit_code == 8
    assert done.stdout == f"{PLACE}\n"
    assert "reports/letter.pdf: not-a-pdf" in done.stderr
    reported = json.loads(run("archive", "shelf", "reports", "--json").stdout)
    assert [(r["path"], r["unchanged"]) for r in reported["reports"]] == [
        (None, False),
        (PLACE, True),
    ]


@pytest.mark.typesets
def test_a_number_that_is_taken_is_refused_with_the_way_out(run: Any, folder: Path) -> None:
    run("report", "fine.yaml", "--shelf", "shelf")

    done = run("report", "heavy.yaml", "--shelf", "shelf")

    assert done.exit_code == 6
    assert f"{PLACE}: service-exists" in done.stderr
    assert "`replaces`" in done.stderr


@pytest.fixture
def filled(run: Any, folder: Path) -> Path:
    """A report, and a correction of it."""
    run("report", "fine.yaml", "--shelf", "shelf")
    (first,) = json.loads(run("shelf", "shelf", "--json").stdout)["reports"]
    text = (folder / "heavy.yaml").read_text()
    replaces = (
        f"number: QH-1-A, replaces: {{report: QH-1, sha256: {first['sha256']},"
        " change: The pilot was added, reason: It was forgotten}"
    )
    (folder / "heavy.yaml").write_text(text.replace("number: QH-1", replaces))
    assert run("report", "heavy.yaml", "--shelf", "shelf").exit_code == 0
    return folder


@pytest.mark.typesets
def test_a_shelf_shows_the_chain(run: Any, filled: Path) -> None:
    done = run("shelf", "shelf")

    first, second = done.stdout.splitlines()[1:]
    assert "replaced by QH-1-A" in first
    assert "replaces QH-1" in second
    assert done.stderr == "2 of 2 reports\n"


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (("--serial", "dm-0001"), ["QH-1", "QH-1-A"]),
        (("--serial", "DM-0002"), []),
        (("--service", "qh-1-a"), ["QH-1-A"]),
        (("--pilot", "hale"), ["QH-1-A"]),
        (("--model", "damson"), ["QH-1", "QH-1-A"]),
        (("--verdict", "not assessed"), ["QH-1", "QH-1-A"]),
        (("--verdict", "pass"), []),
        (("--since", "2026-04-01", "--until", "2026-04-01"), ["QH-1", "QH-1-A"]),
        (("--since", "2026-04-02"), []),
        (("--until", "2026-03-31"), []),
        (("--until", "2026-4-2"), ["QH-1", "QH-1-A"]),
        (("--pilot", "hale", "--service", "QH-1"), []),
    ],
)
@pytest.mark.typesets
def test_a_shelf_is_asked_by_what_people_know(
    run: Any, filled: Path, wanted: tuple[str, ...], found: list[str]
) -> None:
    reported = json.loads(run("shelf", "shelf", *wanted, "--json").stdout)

    assert [report["service"] for report in reported["reports"]] == found


def test_a_verdict_that_no_report_can_have_is_refused_with_those_that_one_can(run: Any) -> None:
    done = run("shelf", "shelf", "--verdict", "outside")

    assert done.exit_code == 64
    words = " ".join(done.stderr.split())
    for outcome in ("pass", "pass in part", "conditional fail", "fail", "not assessed"):
        assert f"'{outcome}'" in words


@pytest.mark.typesets
def test_a_day_that_is_none_is_refused(run: Any, filled: Path) -> None:
    done = run("shelf", "shelf", "--since", "01.04.2026")

    assert done.exit_code == 64
    assert "“01.04.2026” is not a date such as 2026-10-16" in done.stderr


@pytest.mark.parametrize("option", ["--check", "--rebuild"])
@pytest.mark.typesets
def test_a_mistyped_folder_is_no_shelf_on_which_all_is_well(
    run: Any, filled: Path, option: str
) -> None:
    done = run("shelf", "shlef", option)

    assert (done.exit_code, done.stdout) == (6, "")
    assert "no-shelf" in done.stderr
    assert not (filled / "shlef").exists()


@pytest.mark.typesets
def test_a_lost_report_is_reported_by_checking_and_forgotten_by_rebuilding(
    run: Any, filled: Path
) -> None:
    (filled / PLACE).unlink()

    checked = run("shelf", "shelf", "--check")
    assert checked.exit_code == 6
    assert f"{PLACE}: report-lost" in checked.stderr
    assert run("shelf", "shelf", "--rebuild", "--check").exit_code == 0


@pytest.mark.typesets
def test_a_shared_copy_goes_to_a_folder_and_not_to_the_shelf(run: Any, filled: Path) -> None:
    done = run("report", "heavy.yaml", "--shelf", "shelf", "--redact", "pilot", "--out", "share")

    assert done.exit_code == 0
    assert done.stdout == "share/qh-1-a-damson-s-redacted.pdf\n"
    assert len(json.loads(run("shelf", "shelf", "--json").stdout)["reports"]) == 2


@pytest.mark.typesets
def test_a_report_that_does_not_prove_itself_is_refused(run: Any, folder: Path) -> None:
    assert run("report", "fine.yaml", "--out", "reports").exit_code == 0
    report = folder / "reports" / "qh-1-damson-s.pdf"
    report.write_bytes(report.read_bytes().replace(b"/Lang(en)", b"/Lang(de)"))

    for wish in ((), ("--unproven",)):
        refused = run("archive", "shelf", "reports", *wish)
        assert refused.exit_code == 8
        assert "not-proven" in refused.stderr
    assert not list((folder / "shelf").rglob("*.pdf"))


@pytest.mark.parametrize("place", [".lock", "index.sqlite", "2026", "2026/dm-0001", "x.pdf"])
def test_a_shelf_with_links_is_refused_and_nothing_is_written_through_them(
    run: Any, folder: Path, place: str
) -> None:
    away = folder / "away"
    away.mkdir()
    link = folder / "shelf" / place
    link.parent.mkdir(parents=True)
    link.symlink_to(away / "file" if "." in place else away)

    done = run("report", "fine.yaml", "--shelf", "shelf")

    assert done.exit_code == 6
    assert "shelf-link" in done.stderr
    assert not [*away.iterdir()]


@pytest.mark.typesets
def test_the_files_of_a_report_are_put_there_together_or_not_at_all(
    run: Any, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on a disk that is full after the first file."""
    real, count = os.fsync, [0]

    def full(handle: int) -> None:
        count[0] += 1
        if count[0] == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(handle)

    monkeypatch.setattr(os, "fsync", full)
    done = run("report", "fine.yaml", "--output", "html,json", "--out", "sent")

    assert done.exit_code == 6
    assert not [*(folder / "sent").iterdir()]
