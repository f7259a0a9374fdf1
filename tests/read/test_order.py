"""Jobs by the date of their service."""

from pathlib import Path

from trimscribe.read.files import oldest_first


def test_jobs_come_oldest_first_and_those_of_one_day_as_they_were_named(tmp_path: Path) -> None:
    texts = {
        "late.yaml": "service: {done: 2026-04-01}\nwing: {serial_number: MD-7}",
        "b.yaml": "service: {done: 2024-04-01}",
        "a.json": '{"service": {"done": "2024-04-01"}}',
        "early.yaml": "service:\n  done: 2022-04-01\n",
    }
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")

    found = oldest_first([str(tmp_path / name) for name in texts])

    assert [Path(job).name for job, _ in found] == ["early.yaml", "b.yaml", "a.json", "late.yaml"]
    assert [serial for _, serial in found] == ["", "", "", "MD-7"]


def test_what_has_no_date_or_is_not_there_is_left_for_reading_to_tell(tmp_path: Path) -> None:
    texts = {"list.yaml": "[1]", "word.yaml": "service: x", "broken.yaml": "a: ["}
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "dated.yaml").write_text("service: {done: 2022-04-01}", encoding="utf-8")
    jobs = ["dated.yaml", "list.yaml", "word.yaml", "broken.yaml", "missing.yaml"]

    found = oldest_first([str(tmp_path / name) for name in jobs])

    assert [Path(job).name for job, _ in found] == [*jobs[1:], jobs[0]]
