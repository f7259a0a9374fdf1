"""The bench of one run, with a worker that answers at once and a shelf that only notes."""

from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.archive import shelf
from trimscribe.cli.output import Exit
from trimscribe.cli.run import Workbench
from trimscribe.desk.wish import Done, Named, Wish
from trimscribe.errors import Fault, InputError
from trimscribe.model.report import Report
from trimscribe.verification import validator

PASSED_OVER = Fault("plugin-faulty", "It does not load.")


def named(output: str, data: bytes = b"") -> Named:
    report = Report(
        data=data or output.encode(), suffix=f".{output}", media_type="application/x", pages=3
    )
    return Named(output, f"a.{output}", report)


@dataclass
class Worker:
    """Gives the same answer to whatever it is asked, or fails."""

    answer: Done | Exception
    asked: list[Wish] = field(default_factory=list)

    def call(self, place: str, work: str, wish: Wish, *given: Any, reads: Any = ()) -> Done:
        self.asked.append(wish)
        if isinstance(self.answer, Exception):
            raise self.answer
        return self.answer


@pytest.fixture
def kept(monkeypatch: pytest.MonkeyPatch) -> list[bytes]:
    """What was put on the shelf, on which each wing has one earlier report."""
    put: list[bytes] = []
    stand_in = SimpleNamespace(
        kept=lambda serial: (f"earlier of {serial}",), put=lambda report: put.append(report.data)
    )
    monkeypatch.setattr(shelf, "Shelf", lambda *_: stand_in)
    return put


def bench(answer: Done | Exception, tmp_path: Path, **more: Any) -> Any:
    return Workbench(("a.yaml",), tmp_path, cell=Worker(answer), **more)  # type: ignore[arg-type]


BOTH = Done(files=(named("pdf"), named("html")), passed_over=(PASSED_OVER,))


def there(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_files_are_put_into_the_folder_and_what_was_passed_over_is_kept(tmp_path: Path) -> None:
    one = bench(BOTH, tmp_path)
    outcome = one.report("a.yaml")

    assert (outcome.exit_code, outcome.pages, [*outcome.records]) == (0, 3, ["pdf", "html"])
    assert there(tmp_path) == ["a.html", "a.pdf"]
    assert [*one.passed_over] == [PASSED_OVER]
    assert one.cell.asked[0].earlier == ()


@pytest.mark.usefixtures("kept")
def test_where_nothing_was_made_nothing_is_put_anywhere(tmp_path: Path) -> None:
    outcome = bench(Done(exit_code=2, kind="line set"), tmp_path).report("a.yaml")

    assert (outcome.exit_code, outcome.records, outcome.kind) == (2, {}, "line set")
    assert there(tmp_path) == []


@pytest.mark.parametrize(
    ("error", "code", "exit_code"),
    [
        (InputError.of("not-a-date", "x"), "not-a-date", Exit.INPUT),
        (KeyError("x"), "bug", Exit.BUG),
    ],
)
def test_what_stops_a_job_is_a_fault_of_its_own(
    tmp_path: Path, error: Exception, code: str, exit_code: int
) -> None:
    outcome = bench(error, tmp_path).report("a.yaml")

    assert ([fault.code for fault in outcome.faults], outcome.exit_code) == ([code], exit_code)
    assert (outcome.done, outcome.kind) == (None, "")


def test_with_a_shelf_the_pdf_goes_there_and_the_rest_beside(
    tmp_path: Path, kept: list[bytes]
) -> None:
    one = bench(BOTH, tmp_path, shelf=tmp_path / "s", serials={"a.yaml": "7"})
    one.report("a.yaml")

    assert kept == [b"pdf"]
    assert there(tmp_path) == ["a.html"]
    assert one.cell.asked[0].earlier == ("earlier of 7",)


def test_a_redacted_copy_goes_to_the_folder(tmp_path: Path, kept: list[bytes]) -> None:
    bench(BOTH, tmp_path, shelf=tmp_path / "s", redact=True).report("a.yaml")

    assert kept == []
    assert there(tmp_path) == ["a.html", "a.pdf"]


@pytest.mark.usefixtures("kept")
def test_a_wing_without_a_serial_number_has_no_earlier_services(tmp_path: Path) -> None:
    one = bench(BOTH, tmp_path, shelf=tmp_path / "s", serials={"a.yaml": ""})
    one.report("a.yaml")

    assert one.cell.asked[0].shelf == str(tmp_path / "s")
    assert one.cell.asked[0].earlier == ()


def test_force_replaces_what_was_there_and_never_what_another_job_has_made(tmp_path: Path) -> None:
    (tmp_path / "a.pdf").write_bytes(b"old")
    (refusal,) = bench(BOTH, tmp_path).report("a.yaml").faults
    assert refusal.code == "report-exists"

    one = bench(BOTH, tmp_path, force=True)
    assert one.report("a.yaml").faults == []
    one.cell.answer = Done(files=(named("pdf", b"another"),))
    (refusal,) = one.report("b.yaml").faults

    assert (refusal.code, "a.yaml" in f"{refusal.message} {refusal.hint}") == (
        "report-exists",
        True,
    )
    assert (tmp_path / "a.pdf").read_bytes() == b"pdf"


def test_only_the_pdf_is_validated_and_only_where_that_is_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[bytes] = []

    def wrong(data: bytes, command: tuple[str, ...]) -> list[Fault]:
        seen.append(data)
        return [Fault("not-conforming", f"By {command[0]}.")]

    monkeypatch.setattr(validator, "nonconformities", wrong)
    assert bench(BOTH, tmp_path / "1").report("a.yaml").faults == []
    html = Done(files=(named("html"),))
    assert bench(html, tmp_path / "2", validator=("v",)).report("a.yaml").faults == []
    assert seen == []

    outcome = bench(BOTH, tmp_path / "3", validator=("v",)).report("a.yaml")

    assert seen == [b"pdf"]
    assert ([fault.code for fault in outcome.faults], outcome.exit_code) == (
        ["not-conforming"],
        Exit.TYPESETTING,
    )
    assert not (tmp_path / "3").exists()

    monkeypatch.setattr(validator, "nonconformities", lambda *_: [])
    assert bench(BOTH, tmp_path / "3", validator=("v",)).report("a.yaml").faults == []
