"""File names that are safe everywhere, and apart where the words are."""

import datetime as dt
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimscribe.archive import file_name
from trimscribe.archive.names import bare, plain_name
from trimscribe.errors import ArchiveError
from trimscribe.model.job import Job, Service
from trimscribe.model.wing import Wing
from trimscribe.model.workshop import Workshop

JOB = Job(
    Service("QH-2026-041", dt.date(2026, 10, 16)),
    Workshop("Quarry Hill Canopy Works"),
    Wing("Pomeroy Wings", "Medlar", "M", "MD-00731"),
)


def named(number: str, model: str = "", size: str = "") -> str:
    return file_name(
        replace(
            JOB,
            service=replace(JOB.service, number=number),
            wing=replace(JOB.wing, model=model, size=size),
        ),
        ".pdf",
    )


def test_a_name_is_the_service_number_and_the_wing() -> None:
    assert file_name(JOB, ".pdf") == "qh-2026-041-medlar-m.pdf"


@pytest.mark.parametrize(
    ("number", "name"),
    [
        ("Ä-1 Größe", "a-1-grosse.pdf"),
        ("Łódź/2026", "lodz-2026.pdf"),
        ("Æble Øst", "aeble-ost.pdf"),
        ("№ ７", "no-7.pdf"),
        ("İĞ 1", "ig-1.pdf"),
        ("Ⓐ1", "a1.pdf"),
        ("заказ 12", "заказ-12.pdf"),
        ("検査第3号", "検査第3号.pdf"),
        ("हिन्दी 4", "हिन्दी-4.pdf"),
    ],
)
def test_letters_become_ascii_where_they_can_and_stay_apart_where_not(
    number: str, name: str
) -> None:
    assert named(number) == name


@pytest.mark.parametrize(
    ("number", "name"),
    [
        ("", "report.pdf"),
        ("...", "report.pdf"),
        ("🪂", "report.pdf"),
        ("con", "report-con.pdf"),
        ("COM1", "report-com1.pdf"),
        ("LPT¹", "report-lpt1.pdf"),
        ("nul.", "report-nul.pdf"),
        ("con-1", "con-1.pdf"),
    ],
)
def test_a_name_is_never_empty_and_never_a_device(number: str, name: str) -> None:
    assert named(number) == name


def test_nothing_in_a_number_can_leave_the_folder() -> None:
    assert named("../../etc/passwd") == "etc-passwd.pdf"
    assert named("C:\\Windows\\x") == "c-windows-x.pdf"
    assert named("-rf .hidden") == "rf-hidden.pdf"


def test_names_that_had_to_be_cut_stay_apart() -> None:
    long = "x" * 200

    first, second = named(long + "1"), named(long + "2")

    assert first != second
    assert len(first) == len(second) == 104


def test_names_that_differ_by_case_alone_are_one_name_on_every_system() -> None:
    assert named("qh-1") == named("QH-1")


@given(st.text(), st.text(max_size=20))
def test_any_name_is_one_plain_part_of_a_path(number: str, model: str) -> None:
    name = named(number, model)

    assert re.fullmatch(r"[\w\u0300-\U0010ffff]+(-[\w\u0300-\U0010ffff]+)*\.pdf", name)
    assert len(name.encode()) <= 104
    assert name == name.casefold() or not name.isascii()
    assert named(number, model) == name


@pytest.mark.parametrize(
    "name",
    [
        "../x.pdf",
        "/etc/x.pdf",
        ".profile",
        "a/b.pdf",
        "a\\b.pdf",
        "x",
        "con.pdf",
        "x.",
        "x.p/f",
        "",
    ],
)
def test_a_name_from_a_worker_is_one_that_reports_have(name: str) -> None:
    """A worker that was taken over would choose where its bytes go."""
    with pytest.raises(ArchiveError) as caught:
        bare(name)
    assert caught.value.faults[0].code == "bad-name"


@pytest.mark.parametrize("words", ["QH-1 Damson S", "x" * 300, "жанна 7", "con", "ÄÖ ß"])
def test_every_name_of_a_report_is_such_a_name(words: str) -> None:
    assert bare(f"{plain_name(words)}.tar.gz") == f"{plain_name(words)}.tar.gz"
