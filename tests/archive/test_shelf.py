"""A shelf: plain folders, one place for each service, an index that follows the reports."""

import contextlib
import io
import json
import resource
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import fields
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from trimscribe.archive.index import FORMAT
from trimscribe.archive.shelf import Shelf
from trimscribe.errors import Fault, ReadbackError
from trimscribe.model.report import Report

Make = Callable[..., Report]
Refused = Callable[[Callable[[], object]], Fault]


@pytest.fixture
def make() -> Make:
    return made


def made(
    service: str = "QH-1", *, text: str = "", listed: Sequence[Any] = (), **about: Any
) -> Report:
    """A PDF with a manifest that lists files as attached.

    `text` makes it another file without saying anything else.
    """
    words = dict.fromkeys(("workshop", "maker", "model", "size", "pilot", "language"), "x")
    reported = {
        **words,
        "service": service,
        "done": "2026-04-01",
        "serial_number": "MD-1",
        "hours": 12.5,
        "verdicts": {"lines": "pass", "cloth": "not assessed"},
        "replaces": None,
        "redacted": False,
        **about,
    }
    plain = {"format": 1, "about": reported, "theme": "base", "files": [*listed], "versions": {}}
    pdf = pikepdf.new()
    pdf.add_blank_page()
    pdf.docinfo["/Title"] = text
    data = json.dumps({**plain, "packages": [], "fonts": {}}).encode()
    pdf.attachments["manifest.json"] = pikepdf.AttachedFileSpec(pdf, data)
    out = io.BytesIO()
    pdf.save(out, static_id=True)
    return Report(data=out.getvalue(), suffix=".pdf", media_type="application/pdf", pages=1)


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    return Shelf(tmp_path / "shelf")


def files(shelf: Shelf) -> list[str]:
    found = (p.relative_to(shelf.folder).as_posix() for p in shelf.folder.rglob("*") if p.is_file())
    return sorted(found)


def replacing(report_sha256: str, service: str = "QH-1") -> dict[str, str]:
    return {"report": service, "sha256": report_sha256, "change": "The hours.", "reason": "A slip."}


def test_a_report_stands_by_year_wing_and_service(shelf: Shelf, make: Make) -> None:
    report = make("QH-2026/041", serial_number="MD 00731")

    record = shelf.put(report)

    assert record.path == shelf.folder / "2026" / "md-00731" / "qh-2026-041.pdf"
    assert record.path.read_bytes() == report.data
    assert files(shelf) == [".lock", "2026/md-00731/qh-2026-041.pdf", "index.sqlite"]


def test_the_index_knows_what_the_report_says_of_itself(shelf: Shelf, make: Make) -> None:
    record = shelf.put(make(pilot="Robin Hale", model="Medlar"))

    (entry,) = shelf.reports()
    assert (entry.service, entry.pilot, entry.model, entry.hours) == (
        "QH-1",
        "Robin Hale",
        "Medlar",
        12.5,
    )
    assert entry.verdict == "pass in part"  # what was not assessed is never hidden by what passed
    assert entry.sha256 == record.sha256


def test_the_same_report_again_is_left_alone(shelf: Shelf, make: Make) -> None:
    shelf.put(make())

    assert shelf.put(make()).unchanged
    assert len(shelf.reports()) == 1


@pytest.mark.parametrize("number", ["QH-1", "qh-1", "ＱＨ-1", "QH/1"])
def test_a_service_number_is_taken_once(
    shelf: Shelf, make: Make, refused: Refused, number: str
) -> None:
    first = shelf.put(make())

    fault = refused(lambda: shelf.put(make(number, text="another")))

    assert fault.code == "service-exists"
    assert fault.mark is not None
    assert fault.mark.file == first.path.as_posix()
    assert first.path.read_bytes() == make().data


def test_a_number_is_taken_whatever_the_year_and_the_wing(
    shelf: Shelf, make: Make, refused: Refused
) -> None:
    shelf.put(make())

    other = make(done="2027-01-01", serial_number="MD-2")
    assert refused(lambda: shelf.put(other)).code == "service-exists"


def test_the_reports_of_one_wing_come_oldest_first(shelf: Shelf, make: Make) -> None:
    for number, done, serial in (
        ("3", "2026-05-01", "MD-1"),
        ("1", "2022-05-01", "md-1"),
        ("2", "2024-05-01", "MD-2"),
    ):
        shelf.put(make(number, done=done, serial_number=serial))

    assert [entry.service for entry in shelf.wing("MD-1")] == ["1", "3"]
    assert [entry.service for entry in shelf.reports()] == ["1", "2", "3"]


def test_a_report_that_replaces_another_stands_beside_it(shelf: Shelf, make: Make) -> None:
    first = shelf.put(make())

    shelf.put(make("QH-1-A", replaces=replacing(first.sha256)))

    old, new = shelf.reports()
    assert first.path.is_file()
    assert (new.replaces, new.replaces_sha256) == ("QH-1", old.sha256)
    assert shelf.wing("MD-1") == (new,)


def test_a_report_with_the_wrong_serial_number_is_gone_from_that_wing_when_it_is_replaced(
    shelf: Shelf, make: Make, refused: Refused
) -> None:
    first = shelf.put(make(serial_number="MD-7"))
    mended = replacing(first.sha256) | {"change": "The serial number, which was MD-7."}
    shelf.put(make("QH-1-A", replaces=mended))

    assert shelf.wing("MD-7") == ()
    assert [entry.service for entry in shelf.wing("MD-1")] == ["QH-1-A"]
    again = make("QH-1-B", replaces=mended)
    assert refused(lambda: shelf.put(again)).code == "already-replaced"


def test_a_report_of_another_wing_is_not_replaced_by_a_slip(
    shelf: Shelf, make: Make, refused: Refused
) -> None:
    other = shelf.put(make(serial_number="MD-7"))

    fault = refused(lambda: shelf.put(make("QH-1-A", replaces=replacing(other.sha256))))

    assert fault.code == "replaced-other-wing"
    assert fault.mark is not None
    assert fault.mark.file.endswith("md-7/qh-1.pdf")
    assert [entry.service for entry in shelf.wing("MD-7")] == ["QH-1"]


@pytest.mark.parametrize(
    ("replaces", "code"),
    [(replacing("0" * 64), "replaced-differs"), (replacing("0" * 64, "QH-7"), "not-on-shelf")],
)
def test_what_is_replaced_must_be_what_stands_there(
    shelf: Shelf, make: Make, refused: Refused, replaces: dict[str, str], code: str
) -> None:
    shelf.put(make())

    assert refused(lambda: shelf.put(make("QH-1-A", replaces=replaces))).code == code
    assert len(shelf.reports()) == 1


def test_a_report_is_replaced_once(shelf: Shelf, make: Make, refused: Refused) -> None:
    first = shelf.put(make())
    shelf.put(make("QH-1-A", replaces=replacing(first.sha256)))

    fault = refused(lambda: shelf.put(make("QH-1-B", replaces=replacing(first.sha256))))

    assert fault.code == "already-replaced"
    assert fault.mark is not None
    assert fault.mark.file.endswith("qh-1-a.pdf")


def test_a_report_without_personal_data_is_not_for_the_shelf(
    shelf: Shelf, make: Make, refused: Refused
) -> None:
    assert refused(lambda: shelf.put(make(redacted=True))).code == "redacted-report"


def test_what_is_no_report_is_refused(shelf: Shelf) -> None:
    with pytest.raises(ReadbackError):
        shelf.put(Report(data=b"%PDF-1.7", suffix=".pdf", media_type="application/pdf", pages=1))
    assert not shelf.folder.exists()


def test_it_is_reported_which_file_is_not_the_one_that_the_report_names(shelf: Shelf) -> None:
    def named(name: str) -> dict[str, Any]:
        words = dict.fromkeys(("named", "media_type", "relationship", "sha256"), "x")
        return {"name": name, "role": "input", "size": 1, **words}

    listed = [named("manifest.json"), named("Jörg.yaml")]

    with pytest.raises(ReadbackError) as caught:
        shelf.put(made(listed=listed))
    (fault,) = caught.value.faults
    assert fault.code == "attachments-differ"
    assert "“manifest.json” is another file; “Jörg.yaml” is missing" in fault.message


def test_nothing_in_a_report_leads_out_of_the_shelf(shelf: Shelf, make: Make) -> None:
    record = shelf.put(make("../../x", serial_number="/etc/../.."))

    assert record.path == shelf.folder / "2026" / "etc" / "x.pdf"


def test_an_index_that_is_gone_broken_or_of_another_kind_is_made_anew(
    shelf: Shelf, make: Make
) -> None:
    for number in range(5):
        shelf.put(make(f"QH-{number}"))
    before, index = shelf.reports(), shelf.folder / "index.sqlite"

    for damage in (index.unlink, lambda: index.write_bytes(b"\0" * 5000), lambda: foreign(index)):
        damage()
        assert shelf.reports() == before
    shelf.rebuild()
    assert shelf.reports() == before


def foreign(index: Path) -> None:
    index.unlink()
    base = sqlite3.connect(index)
    base.executescript("CREATE TABLE other (x); PRAGMA user_version = 99;")
    base.close()


def test_an_index_of_another_version_gets_the_words_of_this_one(shelf: Shelf, make: Make) -> None:
    """And still knows of reports that were lost or changed meanwhile."""
    paths = [shelf.put(make(f"QH-{number}")).path for number in range(3)]
    with contextlib.closing(sqlite3.connect(shelf.folder / "index.sqlite")) as base:
        base.executescript("UPDATE reports SET verdict = 'fine'; PRAGMA application_id = 7;")
    paths[1].unlink()
    paths[2].write_bytes(make("QH-2", text="another").data)

    for _ in range(2):
        assert [entry.verdict for entry in shelf.reports()] == ["pass in part", "fine", "fine"]
        assert {one.code for one in shelf.problems()} == {"report-lost", "report-changed"}


def test_a_report_copied_there_by_hand_comes_into_the_index(shelf: Shelf, make: Make) -> None:
    shelf.put(make())
    place = shelf.folder / "2026" / "md-1" / "copied.pdf"
    place.write_bytes(make("QH-2").data)

    assert [entry.path for entry in shelf.reports()] == [
        "2026/md-1/qh-1.pdf",
        "2026/md-1/copied.pdf",
    ]


def test_a_copy_by_hand_is_reported_and_counts_once_among_the_services_of_its_wing(
    shelf: Shelf, make: Make
) -> None:
    first = shelf.put(make())
    copy = shelf.folder / "2026" / "md-1" / "qh-1 (2).pdf"
    copy.write_bytes(first.path.read_bytes())

    assert len(shelf.reports()) == 2
    assert len(shelf.wing("MD-1")) == 1
    assert [f.code for f in shelf.problems()] == ["service-twice"]


def test_a_shelf_that_moved_is_the_same_shelf(shelf: Shelf, make: Make, tmp_path: Path) -> None:
    shelf.put(make())
    before = shelf.reports()
    shelf.folder.rename(tmp_path / "moved")

    assert Shelf(tmp_path / "moved").reports() == before


def test_reports_that_are_lost_or_changed_and_strangers_are_reported(
    shelf: Shelf, make: Make
) -> None:
    for number in ("QH-1", "QH-2", "QH-3"):
        shelf.put(make(number))
    folder = shelf.folder / "2026" / "md-1"
    assert [*shelf.problems()] == []

    (folder / "qh-1.pdf").unlink()
    (folder / "qh-2.pdf").write_bytes(make("QH-2", text="another").data)
    (folder / "letter.pdf").write_bytes(b"Dear pilot")

    assert {f.code: Path(f.mark.file).name for f in shelf.problems()} == {
        "report-lost": "qh-1.pdf",
        "report-changed": "qh-2.pdf",
        "stray-file": "letter.pdf",
    }


def test_a_shelf_that_is_not_there_is_empty_and_is_not_made_by_looking(shelf: Shelf) -> None:
    assert shelf.reports() == shelf.wing("MD-1") == ()
    assert not shelf.folder.exists()


@contextmanager
def room_for(size: int) -> Iterator[None]:
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_disk_without_room_for_the_report_leaves_the_shelf_as_it_was(
    shelf: Shelf, make: Make, refused: Refused
) -> None:
    shelf.put(make())
    large = make("QH-2", text="x" * 100_000)

    with room_for(50_000):
        assert refused(lambda: shelf.put(large)).code == "no-room"

    assert [entry.service for entry in shelf.reports()] == ["QH-1"]
    assert shelf.put(large).path.is_file()


def test_a_disk_without_room_for_the_index_is_reported_and_mended_later(
    shelf: Shelf, make: Make, refused: Refused
) -> None:
    shelf.put(make())
    report = make("QH-2")

    with room_for(len(report.data) + 100):
        fault = refused(lambda: shelf.put(report))

    assert fault.code == "index-failed"
    assert [entry.service for entry in shelf.reports()] == ["QH-1", "QH-2"]


RACE = """
import sys
sys.path.insert(0, sys.argv[1])
from pathlib import Path
from test_shelf import made
from trimscribe.archive.shelf import Shelf
from trimscribe.errors import ArchiveError
reports = [made(f"QH-{n}", text=sys.argv[3]) for n in range(40)]
print("ready", flush=True)
sys.stdin.readline()
for report in reports:
    try:
        Shelf(Path(sys.argv[2])).put(report)
        print("won", flush=True)
    except ArchiveError as error:
        print(error.faults[0].code, flush=True)
"""


@pytest.mark.processes
def test_of_two_processes_at_once_each_number_goes_to_one(shelf: Shelf) -> None:
    command = [sys.executable, "-c", RACE, str(Path(__file__).parent), str(shelf.folder)]
    racers = [
        subprocess.Popen([*command, me], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        for me in "AB"
    ]
    for racer in racers:
        assert racer.stdout is not None
        assert racer.stdout.readline() == "ready\n"
    reported = []
    for racer in racers:
        racer.stdin.write("go\n")
        racer.stdin.flush()
    reported = [racer.communicate()[0].split() for racer in racers]

    assert [sorted(pair) for pair in zip(*reported, strict=True)] == [
        ["service-exists", "won"]
    ] * 40
    before = shelf.reports()
    assert len(before) == len({entry.service for entry in before}) == 40
    shelf.rebuild()
    assert shelf.reports() == before


def test_a_lock_is_not_left_behind_by_a_process_that_was_killed(shelf: Shelf, make: Make) -> None:
    shelf.put(make())
    holder = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "import sys, time\nfrom pathlib import Path\n"
            "from trimscribe.archive.lock import locked\n"
            "with locked(Path(sys.argv[1])):\n    print('held', flush=True)\n    time.sleep(60)",
            str(shelf.folder / ".lock"),
        ],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert holder.stdout is not None
    assert holder.stdout.readline() == "held\n"
    holder.kill()
    holder.communicate()

    assert not shelf.put(make("QH-2")).unchanged


def test_an_index_that_computes_without_end_is_thrown_away(shelf: Shelf, make: Make) -> None:
    """A stranger's shelf may bring one: a view in the place of the table."""
    shelf.put(make())
    known = shelf.reports()
    (shelf.folder / "index.sqlite").unlink()
    names = [field.name for field in fields(known[0])] + ["service_key", "serial_key"]
    shown = ", ".join(f"'a' || x AS {name}" for name in names)
    endless = "WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c)"
    with contextlib.closing(sqlite3.connect(shelf.folder / "index.sqlite")) as base:
        base.executescript(
            f"PRAGMA user_version = {FORMAT}; "
            f"CREATE VIEW reports AS {endless} SELECT {shown} FROM c;"
        )

    assert shelf.reports() == known


def test_an_index_with_more_than_its_table_is_thrown_away(shelf: Shelf, make: Make) -> None:
    """Such as what would change a row as it comes."""
    shelf.put(make())
    with contextlib.closing(sqlite3.connect(shelf.folder / "index.sqlite")) as base:
        base.executescript(
            "CREATE TRIGGER lies AFTER INSERT ON reports BEGIN "
            "UPDATE reports SET verdict = 'pass'; END;"
        )

    shelf.put(make("QH-2"))

    with contextlib.closing(sqlite3.connect(shelf.folder / "index.sqlite")) as base:
        assert not base.execute("SELECT 1 FROM sqlite_master WHERE type = 'trigger'").fetchone()
    assert {entry.verdict for entry in shelf.reports()} != {"pass"}
