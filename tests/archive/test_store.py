"""A report is whole or not there, and never replaces another unasked."""

import hashlib
import os
import stat
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from trimscribe.archive import put, put_new
from trimscribe.errors import Fault
from trimscribe.model.report import Report

Names = Callable[[Path], list[str]]
Refused = Callable[[Callable[[], object]], Fault]


def test_a_report_is_put_into_a_folder_that_is_made_for_it(
    report: Report, tmp_path: Path, names: Names
) -> None:
    target = tmp_path / "2026" / "reports" / "qh-1.pdf"

    record = put(report, target)

    assert target.read_bytes() == report.data
    assert record.path == target
    assert record.sha256 == hashlib.sha256(report.data).hexdigest()
    assert not record.unchanged
    assert names(target.parent) == ["qh-1.pdf"]


def test_a_report_has_the_permissions_of_any_new_file(report: Report, tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        put(report, tmp_path / "qh-1.pdf")
    finally:
        os.umask(before)

    assert stat.S_IMODE((tmp_path / "qh-1.pdf").stat().st_mode) == 0o640


@pytest.mark.parametrize("force", [False, True])
def test_the_same_report_is_left_alone(
    report: Report, tmp_path: Path, names: Names, force: bool
) -> None:
    target = tmp_path / "qh-1.pdf"
    put(report, target)
    os.utime(target, (1, 1))

    assert put(report, target, force=force).unchanged
    assert target.stat().st_mtime == 1
    assert names(tmp_path) == ["qh-1.pdf"]


def test_a_different_report_is_not_replaced(
    report: Report, other: Report, tmp_path: Path, names: Names, refused: Refused
) -> None:
    target = tmp_path / "qh-1.pdf"
    put(other, target)

    fault = refused(lambda: put(report, target))

    assert fault.code == "report-exists"
    assert "--force" in fault.hint
    assert fault.mark is not None
    assert fault.mark.file == target.as_posix()
    assert target.read_bytes() == other.data
    assert names(tmp_path) == ["qh-1.pdf"]


def test_a_different_report_is_replaced_when_that_is_asked_for(
    report: Report, other: Report, tmp_path: Path, names: Names
) -> None:
    target = tmp_path / "qh-1.pdf"
    put(other, target)

    assert not put(report, target, force=True).unchanged
    assert target.read_bytes() == report.data
    assert names(tmp_path) == ["qh-1.pdf"]


def test_a_report_of_the_same_length_is_still_another(
    report: Report, tmp_path: Path, refused: Refused
) -> None:
    target = tmp_path / "qh-1.pdf"
    target.write_bytes(report.data[:-1] + b"?")

    assert refused(lambda: put(report, target)).code == "report-exists"


def test_nothing_is_written_through_a_link(
    report: Report, tmp_path: Path, refused: Refused
) -> None:
    victim = tmp_path / "diary.txt"
    victim.write_text("dear diary")
    target = tmp_path / "qh-1.pdf"
    target.symlink_to(victim)

    assert refused(lambda: put(report, target)).code == "report-in-the-way"
    assert target.is_symlink()

    put(report, target, force=True)

    assert not target.is_symlink()
    assert target.read_bytes() == report.data
    assert victim.read_text() == "dear diary"


def test_a_link_to_nowhere_is_in_the_way_too(
    report: Report, tmp_path: Path, refused: Refused
) -> None:
    target = tmp_path / "qh-1.pdf"
    target.symlink_to(tmp_path / "not-there")

    assert refused(lambda: put(report, target)).code == "report-in-the-way"
    assert not (tmp_path / "not-there").exists()


def test_a_link_to_the_same_report_is_not_the_report(tmp_path: Path, refused: Refused) -> None:
    same = tmp_path / "same.pdf"
    # As long as the link itself, which is as long as the path that it holds.
    report = Report(
        data=b"x" * len(str(same)), suffix=".pdf", media_type="application/pdf", pages=1
    )
    same.write_bytes(report.data)
    target = tmp_path / "qh-1.pdf"
    target.symlink_to(same)

    assert refused(lambda: put(report, target)).code == "report-in-the-way"


@pytest.mark.parametrize("force", [False, True])
def test_a_folder_is_never_replaced(
    report: Report, tmp_path: Path, names: Names, refused: Refused, force: bool
) -> None:
    (tmp_path / "qh-1.pdf").mkdir()

    assert refused(lambda: put(report, tmp_path / "qh-1.pdf", force=force)).code == (
        "report-in-the-way"
    )
    assert names(tmp_path) == ["qh-1.pdf"]


def test_what_a_killed_run_left_is_in_nobodys_way_and_removed_after_a_day(
    report: Report, tmp_path: Path, names: Names
) -> None:
    fresh = tmp_path / ".qh-1.pdf.0123456789abcdef.part"
    stale = tmp_path / ".qh-1.pdf.fedcba9876543210.part"
    foreign = tmp_path / ".qh-12.pdf.0123456789abcdef.part"
    for path in (fresh, stale, foreign):
        path.write_bytes(b"%PDF-1.7 half")
    day_before_yesterday = time.time() - 48 * 3600
    for path in (stale, foreign):
        os.utime(path, (day_before_yesterday, day_before_yesterday))

    put(report, tmp_path / "qh-1.pdf")

    assert names(tmp_path) == sorted([fresh.name, foreign.name, "qh-1.pdf"])


def test_all_files_of_a_new_folder_are_written_and_named(tmp_path: Path) -> None:
    paths = put_new({"a.txt": "one", "in/b.txt": "two"}, tmp_path / "new")

    assert [path.read_text("utf-8") for path in paths] == ["one", "two"]
