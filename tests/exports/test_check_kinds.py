"""`check` takes every kind of file for what it is; line sets are checked as hard as jobs."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

import trimscribe
from trimscribe.desk.work import kind_of_file
from trimscribe.pipeline import prepare
from trimscribe.registry import installed

EXAMPLES = Path(__file__).parents[2] / "examples"
TURNED = ("7055, 6975, 6884", "7055, 6795, 6884")  # A10, a digit turned round

Run = Callable[..., Result]


def change(path: str, old: str, new: str) -> None:
    text = Path(path).read_text(encoding="utf-8")
    assert old in text
    Path(path).write_text(text.replace(old, new), encoding="utf-8")


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("demo.yaml", "job"),
        ("medlar-m.yaml", "line set"),
        ("shop.yaml", "shop file"),
        ("exports/tape-jig-map.yaml", "import map"),
        ("exports/job.yaml", "job"),
        ("missing.yaml", "job"),
    ],
)
@pytest.mark.usefixtures("run")
def test_the_kind_shows_from_what_is_written(path: str, kind: str) -> None:
    assert kind_of_file(Path(path)) == kind


def test_a_folder_with_a_theme_is_a_theme(run: Run) -> None:
    assert run("theme", "new", "mine").exit_code == 0
    assert kind_of_file(Path("mine")) == "theme"
    assert kind_of_file(Path("mine/theme.yaml")) == "theme"


def test_each_kind_is_reported_and_free_of_faults(run: Run) -> None:
    done = run("check", "medlar-m.yaml", "shop.yaml", "exports/tape-jig-map.yaml")

    assert done.exit_code == 0
    assert done.stderr.splitlines() == [
        "medlar-m.yaml: line set, no faults",
        "shop.yaml: shop file, no faults",
        "exports/tape-jig-map.yaml: import map, no faults",
    ]
    data = json.loads(run("check", "medlar-m.yaml", "demo.yaml", "--json").stdout)
    assert [one["kind"] for one in data["jobs"]] == ["line set", "job"]


@pytest.mark.parametrize(
    ("path", "old", "new", "code"),
    [
        ("medlar-m.yaml", "maker: Pomeroy Wings", "makker: Pomeroy Wings", "unknown-key"),
        ("shop.yaml", "name:", "nome:", "unknown-key"),
        ("exports/tape-jig-map.yaml", "measuring: before", "measuring: twice", "not-one-of"),
    ],
)
def test_faults_of_each_kind_are_reported(
    run: Run, path: str, old: str, new: str, code: str
) -> None:
    change(path, old, new)
    done = run("check", path)

    assert done.exit_code == 2
    assert code in done.stderr


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("quarry-hill.svg", "quarry-hil.svg", "shop.yaml:9:7: file-not-found"),
        ("# fonts: fonts", "fonts: letters", "shop.yaml:13:8: file-not-found"),
        ("# theme: linden", "theme: lindn  ", "shop.yaml:14:8: theme-unknown"),
        ('"#24566b"', '"#f0d0e8"', "shop.yaml:10:9: contrast-too-low"),
        ("# font: Your Family", "font: Papyrus  ", "shop.yaml:12:7: font-missing"),
        ("# paper: us-letter", "tokens: {size_pt: 9}", "shop.yaml:15:1: unknown-key"),
    ],
)
def test_what_a_shop_file_names_and_how_it_looks_is_checked_without_a_job(
    run: Run, old: str, new: str, said: str
) -> None:
    change("shop.yaml", old, new)
    done = run("check", "shop.yaml")

    assert done.exit_code in (2, 3)
    assert said in done.stderr


def test_what_a_job_is_to_look_like_is_checked_with_it(run: Run) -> None:
    change("shop.yaml", "# theme: linden", "theme: lindn  ")
    done = run("check", "demo.yaml")

    assert done.exit_code == 3
    assert "shop.yaml:14:8: theme-unknown" in done.stderr
    assert [fault.code for fault in trimscribe.check("demo.yaml")] == ["theme-unknown"]


def test_the_cautions_that_the_example_proposes_are_each_one_sentence(run: Run) -> None:
    text = Path("shop.yaml").read_text(encoding="utf-8")
    proposed = re.search(r"^# cautions:.*\n(?:#   .*\n)*", text, re.MULTILINE)[0]
    Path("shop.yaml").write_text(text.replace(proposed, re.sub("(?m)^# ", "", proposed)))

    findings = prepare(Path("demo.yaml"), installed()).statements.cautions
    own = [caution.text for caution in findings if caution.title == "From your workshop"]
    assert len(own) == 1
    assert own[0].endswith(".")


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("medlar-m.yaml", "This file is a line set, not a job."),
        ("shop.yaml", "This file is a shop file, not a job."),
        ("exports/tape-jig-map.yaml", "This file is an import map, not a job."),
    ],
)
def test_a_file_of_another_kind_is_called_what_it_is_where_a_job_belongs(
    run: Run, path: str, said: str
) -> None:
    done = run("findings", path)  # it reads a job as `report` does

    assert done.exit_code == 2
    assert said in done.stderr
    assert "unknown-key" not in done.stderr


def test_a_language_that_nobody_has_is_reported_at_its_place_in_shop_file_and_job(run: Run) -> None:
    text = Path("shop.yaml").read_text(encoding="utf-8")
    Path("shop.yaml").write_text(f"{text}\nlanguage: de\n", encoding="utf-8")
    place = f"shop.yaml:{text.count(chr(10)) + 2}:11: plugin-unknown"

    shop, job = run("check", "shop.yaml"), run("check", "demo.yaml")

    assert shop.exit_code == job.exit_code != 0
    assert place in shop.stderr
    assert place in job.stderr


def test_a_digit_turned_round_is_doubted_at_its_place(run: Run) -> None:
    change("medlar-m.yaml", *TURNED)
    done = run("check", "medlar-m.yaml")

    assert done.exit_code == 0
    assert "medlar-m.yaml:17:72: warning: specified-length-doubtful" in done.stderr
    assert "Was 6975 meant?" in done.stderr
    assert run("check", "medlar-m.yaml", "--strict").exit_code == 1


def test_a_job_shows_the_doubts_of_its_line_set_until_they_are_confirmed(run: Run) -> None:
    change("medlar-m.yaml", *TURNED)
    reported = run("check", "demo.yaml").stderr
    assert "warning: specified-length-doubtful" in reported

    change(
        "medlar-m.yaml", "tolerances:", "confirmed: {specification.A10: as printed}\ntolerances:"
    )
    assert "specified-length-doubtful" not in run("check", "demo.yaml").stderr
    assert run("check", "medlar-m.yaml").stderr == "medlar-m.yaml: line set, no faults\n"


def test_one_job_may_confirm_it_for_itself(run: Run) -> None:
    change("medlar-m.yaml", *TURNED)
    text = Path("demo.yaml").read_text(encoding="utf-8")
    Path("demo.yaml").write_text(
        text + "\nconfirmed: {specification.A10: as printed}\n", encoding="utf-8"
    )

    assert "specified-length-doubtful" not in run("check", "demo.yaml").stderr


def test_a_line_set_that_cannot_be_read_is_named_when_none_fits(run: Run) -> None:
    change("quince-s.yaml", "maker: Pomeroy Wings", 'maker: "Pomeroy Wings')
    done = run("new", "new.yaml", "--wing", "quince s")

    assert done.exit_code == 2
    assert "line-set-not-found" in done.stderr
    assert "quince-s.yaml:" in done.stderr


@pytest.mark.typesets
def test_a_shelf_tells_when_a_wing_was_judged_by_another_revision(run: Run) -> None:
    Path("shelf").mkdir()
    assert run("report", "demo.yaml", "--shelf", "shelf").exit_code == 0
    change("medlar-m.yaml", 'revision: "3, March 2024"', 'revision: "4, May 2031"')
    change("demo.yaml", "  number: ", "  number: Z")
    text = Path("demo.yaml").read_text(encoding="utf-8")
    done = [line for line in text.splitlines() if line.strip().startswith("done:")]
    later = done[0].replace(done[0].split(":")[1].split("#")[0].strip(), "2028-01-02")
    Path("demo.yaml").write_text(text.replace(done[0], later), encoding="utf-8")
    reported = run("report", "demo.yaml", "--shelf", "shelf").stderr

    assert "line-set-changed" in reported
    assert "“Pomeroy Wings, Medlar line lengths, 3, March 2024”" in reported
