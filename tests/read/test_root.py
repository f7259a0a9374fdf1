"""A job reads below its root and nowhere else, whatever it, its map or its shop file says."""

from pathlib import Path

import pytest

from trimscribe.errors import InputError
from trimscribe.read import read
from trimscribe.registry import Registry

SECRET = "left;A;1;7001 password-of-the-bank"
JOB = """\
trimscribe: 1
workshop: {{name: Quarry Hill Canopy Works}}
service: {{number: QH-1, done: 2026-04-01}}
wing: {{maker: Pomeroy Wings, model: Damson, size: S, serial_number: DM-0001}}
specification: {specification}
before: {{file: {file}, map: map.yaml}}
"""
# Columns that fit any text, and an importer that takes any file.
MAP = """\
trimscribe: 1
format: {kind: csv, delimiter: semicolon}
tables:
  - labels: [{at: A, form: "{side}"}, {at: B, form: "{row}"}, {at: C, form: "{point}"}]
    values: [{at: D}]
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A stranger's folder, in a folder with things that are nobody's business."""
    for name in ("secret.csv", "secret.yaml", "passwd"):
        (tmp_path / name).write_text(SECRET)
    inside = tmp_path / "inbox" / "job"
    (inside / ".kept").mkdir(parents=True)
    for name in (".secret.csv", ".kept/secret.csv", "passwd", "secret.conf"):
        (inside / name).write_text(SECRET)
    (inside / "linked.csv").symlink_to(tmp_path / "secret.csv")
    (inside / "linked").symlink_to(tmp_path)
    (inside / "map.yaml").write_text(MAP)
    return inside / "job.yaml"


def faults_of(job: Path, *, root: str = "", **named: str) -> list[str]:
    job.write_text(JOB.format(**{"specification": "{}", "file": "none.csv", **named}))
    with pytest.raises(InputError) as caught:
        read(job, Registry.installed(), "", root)
    reported = [(f.message, f.hint, f.mark.source if f.mark else "") for f in caught.value.faults]
    assert "password" not in str(reported)
    return [fault.code for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("../../secret.csv", "file-outside"),
        ("../job/../../secret.csv", "file-outside"),
        ("../../../../../../../../etc/hosts.csv", "file-outside"),
        (".secret.csv", "file-hidden"),
        (".kept/secret.csv", "file-hidden"),
        ("linked.csv", "file-is-a-link"),
        ("linked/secret.csv", "file-is-a-link"),
        ("../../passwd", "no-importer"),
        ("passwd", "no-importer"),
        ("secret.conf", "no-importer"),
        ("/etc/passwd", "no-importer"),
    ],
)
def test_an_export_lies_below_the_root_and_has_its_ending(job: Path, name: str, code: str) -> None:
    assert code in faults_of(job, file=name)


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("../../secret.yaml", "file-outside"),
        ("../../passwd", "file-outside"),
        ("passwd", "file-wrong-type"),
        ("linked/secret.yaml", "file-is-a-link"),
    ],
)
def test_a_line_set_does_so_too(job: Path, name: str, code: str) -> None:
    assert code in faults_of(job, specification=name)


def test_the_folder_of_the_nearest_shop_file_is_the_root(job: Path, tmp_path: Path) -> None:
    (job.parent.parent / "shop.yaml").write_text("trimscribe: 1\nname: Quarry Hill\n")
    (job.parent.parent / "shared.csv").write_text("left;A;1;7001\n")

    assert "file-outside" not in faults_of(job, file="../shared.csv")
    assert "file-outside" in faults_of(job, file="../../secret.csv")

    (job.parent / "shop.yaml").write_text("trimscribe: 1\nname: Quarry Hill\n")
    assert "file-outside" in faults_of(job, file="../shared.csv")


def test_a_root_that_the_person_names_widens_it(job: Path, tmp_path: Path) -> None:
    (tmp_path / "shared.csv").write_text("left;A;1;7001\n")

    assert "file-outside" in faults_of(job, file="../../shared.csv")
    assert "file-outside" not in faults_of(job, file="../../shared.csv", root=str(tmp_path))


@pytest.mark.parametrize("name", ["../../coast", "/etc", "./../../coast"])
def test_a_theme_of_a_job_lies_there_too(job: Path, tmp_path: Path, name: str) -> None:
    (tmp_path / "coast").mkdir()
    (tmp_path / "coast" / "theme.yaml").write_text("trimscribe: 1\nname: coast\n")
    job.write_text(
        JOB.partition("specification:")[0].replace("{{", "{").replace("}}", "}")
        + f"report: {{theme: {name}}}\n"
    )

    with pytest.raises(InputError) as caught:
        read(job, Registry.installed())
    assert [fault.code for fault in caught.value.faults] == ["file-outside"]
    assert "file-outside" not in str(read(job, Registry.installed(), "", "/").warnings)
