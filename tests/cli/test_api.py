"""The Python interface does what the commands do."""

from pathlib import Path

import pytest

import trimscribe


def test_the_public_names_are_few_and_sorted() -> None:
    assert trimscribe.__all__ == ["TrimscribeError", "prepare", "render", "report"]
    assert trimscribe.__all__ == sorted(trimscribe.__all__)


def test_a_job_is_read_analysed_and_rendered(folder: Path) -> None:
    content = trimscribe.prepare("fine.yaml")
    finished = trimscribe.render(content)

    assert content.reading.job.service.number == "QH-1"
    assert content.statements.cautions
    assert finished.data.startswith(b"%PDF-")


def test_a_report_is_put_into_a_folder(folder: Path) -> None:
    record = trimscribe.report("fine.yaml", "reports")

    assert record.path == Path("reports/qh-1-damson-s.pdf")
    assert record.path.read_bytes() == trimscribe.render(trimscribe.prepare("fine.yaml")).data
    assert trimscribe.report(Path("fine.yaml"), Path("reports")).unchanged


def test_what_goes_wrong_is_one_kind_of_error_with_faults(folder: Path) -> None:
    with pytest.raises(trimscribe.TrimscribeError) as caught:
        trimscribe.prepare("faulty.yaml")

    assert [fault.code for fault in caught.value.faults] == ["not-a-date"]
