"""Which files are jobs."""

from pathlib import Path

import pytest

from trimscribe.batch.jobs import JOB_KEYS, find_jobs, is_job
from trimscribe.errors import InputError
from trimscribe.schemas.import_map import ImportMapFileSchema
from trimscribe.schemas.job import JobFileSchema
from trimscribe.schemas.shop import ShopFileSchema
from trimscribe.schemas.specification import SpecificationFileSchema
from trimscribe.schemas.theme import ThemeFileSchema

ROOT = Path(__file__).parents[2]


def test_a_folder_holds_its_jobs_and_no_line_sets_or_shop_files() -> None:
    found = find_jobs([str(ROOT / "examples")])

    names = {Path(path).stem for path in found.jobs}
    assert {"demo", "two-row", "four-row", "inspection", "outside", "broken"} <= names
    others = {"shop", "medlar-m", "bullace-l", "quince-s", "tape-jig-map"}
    assert not names & others
    assert others <= {Path(path).stem for path in found.passed_over}


def test_jobs_come_once_in_the_order_named_and_by_name_in_folders(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("b.yaml", "a.yml", "deep/er/c.yaml", "d.json", ".hidden/e.yaml", ".f.yaml"):
        path = tmp_path / "shelf" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text('{"service": {}}' if name == "d.json" else "wing: {}\nservice: {}\n")

    assert find_jobs(["shelf/b.yaml", "shelf", "elsewhere.yaml"]).jobs == (
        "shelf/b.yaml",
        "shelf/a.yml",
        "shelf/d.json",
        "shelf/deep/er/c.yaml",
        "elsewhere.yaml",
    )


def test_what_only_mentions_a_service_is_no_job(tmp_path: Path) -> None:
    (tmp_path / "notes.yaml").write_text("# service: yearly\nnotes: {service: none}\n")
    (tmp_path / "job.yaml").write_text("service: {}\n")

    assert [Path(path).name for path in find_jobs([str(tmp_path)]).jobs] == ["job.yaml"]


@pytest.mark.parametrize(
    "data",
    [
        b"servise: {number: 5}\nwing: {model: Medlar}\nbefore: {}\n",
        b"services: {number: 5}\nworkshop: shop.yaml\nwing: {model: Medlar}\n",
        "service: {number: 5}\n".encode("utf-16"),
        b"wing: {}\rservice: {number: 5}\r",
        b"\xef\xbb\xbfservice: {number: 5}\n",
        b"'service': {number: 5}\n",
        b"  service: {number: 5}\n",
        b"wing: [\n",
        b"wing: caf\xe9\n",
    ],
    ids=["typo", "plural", "UTF-16", "CR", "BOM", "quoted", "indented", "broken", "latin-1"],
)
def test_what_looks_like_a_job_or_cannot_be_read_is_one_so_that_it_is_reported(
    data: bytes, tmp_path: Path
) -> None:
    (tmp_path / "job.yaml").write_bytes(data)

    assert is_job(tmp_path / "job.yaml")


@pytest.mark.parametrize(
    "text", ["[1, 2]", "just words", '{"wing": "Medlar M", "lengths": []}', "name: Quarry Hill"]
)
def test_what_another_program_wrote_is_passed_over_and_named(text: str, tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text("service: {}\n")
    (tmp_path / "other.json").write_text(text)

    assert find_jobs([str(tmp_path)]).passed_over == ((tmp_path / "other.json").as_posix(),)


def test_a_file_that_is_named_is_not_passed_over_in_its_folder(tmp_path: Path) -> None:
    for name, text in {"job.yaml": "service: {}\n", "other.yaml": "name: x\n"}.items():
        (tmp_path / name).write_text(text)

    found = find_jobs([str(tmp_path), str(tmp_path / "other.yaml")])

    assert (len(found.jobs), found.passed_over) == (2, ())


def test_the_keys_that_tell_a_job_stand_in_jobs_alone() -> None:
    others = (ShopFileSchema, SpecificationFileSchema, ImportMapFileSchema, ThemeFileSchema)

    assert {*JobFileSchema().fields} - {k for other in others for k in other().fields} == JOB_KEYS


def test_folders_without_jobs_are_reported_all_at_once(tmp_path: Path) -> None:
    folders = [tmp_path / "one", tmp_path / "two"]
    for folder in folders:
        folder.mkdir()

    with pytest.raises(InputError) as reported:
        find_jobs(map(str, folders))

    assert [fault.code for fault in reported.value.faults] == ["no-jobs", "no-jobs"]
