"""`trimscribe import` and `trimscribe new`: what is shown, what is written, and when it is not."""

import json
import os
import re
import shutil
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result
from export_files import xlsx

from trimscribe.cli import importing
from trimscribe.marked_yaml import load

EXAMPLES = Path(__file__).parents[2] / "examples"
JIG, MAP, JOB = "exports/tape-jig.csv", "exports/tape-jig-map.yaml", "exports/job.yaml"

Run = Callable[..., Result]


def files() -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in Path().rglob("*") if path.is_file()}


def test_a_dry_run_tells_what_becomes_of_every_cell_and_writes_nothing(run: Run) -> None:
    before = files()
    done = run("import", JIG, "--map", MAP, "--into", JOB, "--dry-run")
    lines = done.stdout.splitlines()

    assert done.exit_code == 0
    assert files() == before
    assert lines[0] == "1:1 “Tape jig 2” left out: outside every table of the map"
    assert "3:6 “Length mm” left out: heading" in lines
    assert "4:1 “A1 L” left out: label" in lines
    assert "4:6 → before.left.A.1 = 7334.0 mm" in lines
    assert "4:14 “50” left out: in no column that the map names" in lines
    assert "+    brake_main: 2267" in lines
    assert done.stderr == f"{JIG}: 96 values, 199 cells left out, no faults\n"


def test_cells_of_a_spreadsheet_are_named_as_people_name_them(run: Run) -> None:
    bench = ("exports/laser-bench.xlsx", "--map", "exports/laser-bench-map.yaml")
    done = run("import", *bench, "--as", "before")

    assert "Bench!B5 → before.left.A.1 = 7334.0 mm" in done.stdout.splitlines()
    assert "Bench!M5 → before.right.brake_main.1 = 2247.0 mm" in done.stdout.splitlines()


def test_values_go_into_the_job_and_all_else_stays(run: Run) -> None:
    old = Path(JOB).read_text(encoding="utf-8")
    done = run("import", JIG, "--map", MAP, "--into", JOB)
    new = Path(JOB).read_text(encoding="utf-8")

    assert done.exit_code == 0
    assert done.stdout.splitlines()[-1] == JOB
    assert "+    A: [7334, 7334, 7322," in done.stdout
    start, end = new.index("  left:\n    A: [7334"), new.index("\nafter:")
    assert new[:start] + new[end:] == old
    again = run("import", JIG, "--map", MAP, "--into", JOB)
    assert again.stdout == ""
    assert again.stderr.endswith("no faults, nothing to change\n")
    assert Path(JOB).read_text(encoding="utf-8") == new


def test_the_job_then_says_what_the_demo_says(run: Run) -> None:
    run("import", JIG, "--map", MAP, "--into", JOB)

    first, second = (json.loads(run("findings", job).stdout) for job in (JOB, "demo.yaml"))
    assert first == second


def test_a_value_that_differs_stops_everything_without_force(run: Run) -> None:
    run("import", JIG, "--map", MAP, "--into", JOB)
    text = Path(JOB).read_text(encoding="utf-8").replace("[7334, 7334, 7322", "[7335, 7334, ~")
    Path(JOB).write_text(text, encoding="utf-8")

    refused = run("import", JIG, "--map", MAP, "--into", JOB)
    assert refused.exit_code == 2
    assert "`before.left.A1` is 7335 in the file and 7334 in the export." in refused.stderr
    assert refused.stderr.endswith("1 error, nothing is written\n")
    assert Path(JOB).read_text(encoding="utf-8") == text

    done = run("import", JIG, "--map", MAP, "--into", JOB, "--force")
    assert done.exit_code == 0
    assert "warning: value-differs" in done.stderr
    new = text.replace("[7335, 7334, ~", "[7334, 7334, 7322")
    assert Path(JOB).read_text(encoding="utf-8") == new


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("A1 L;7\u202f334,0", "A1 L;7\u202f334.0", "wrong-decimal-mark"),
        ("A1 L;7\u202f334,0", "A1 L;734,0", "unit-slip"),
        ("A1 L;7\u202f334,0", "A1 L;9\u202f334,0", "length-implausible"),
        ("A1 L;", "K1 L;", "unknown-row"),
        ("A1 L;", "A13 L;", "point-not-in-specification"),
    ],
)
def test_nothing_is_written_when_something_is_wrong(
    run: Run, old: str, new: str, code: str
) -> None:
    text = Path(JIG).read_bytes().decode()
    Path(JIG).write_bytes(text.replace(old, new).encode())
    before = files()
    done = run("import", JIG, "--map", MAP, "--into", JOB)

    assert done.exit_code == 2
    assert code in done.stderr
    assert f"{JIG}:4:" in done.stderr
    assert files() == before


def test_points_without_a_value_are_named(run: Run) -> None:
    lines = Path(JIG).read_bytes().decode().splitlines(keepends=True)
    Path(JIG).write_bytes("".join(lines[:3] + lines[6:]).encode())
    done = run("import", JIG, "--map", MAP, "--into", JOB, "--dry-run")

    assert "without a value: before.left.A.1, before.left.A.2, before.right.A.1\n" in done.stderr


def test_everything_is_there_as_data(run: Run) -> None:
    done = run("import", JIG, "--map", MAP, "--into", JOB, "--json")
    reported = json.loads(done.stdout)

    assert done.stderr == ""
    assert (reported["format"], reported["exit_code"], reported["written"]) == (1, 0, JOB)
    assert reported["values"][0] == {
        "path": ["before", "left", "A", 1],
        "value": 7334.0,
        "cells": ["4:6"],
        "spread_mm": 0.0,
    }
    assert reported["left_out"][0]["reason"] == "outside every table of the map"
    assert sum(reported["reasons"].values()) == len(reported["left_out"])
    assert "+    brake_main: 2267" in reported["difference"]
    assert (reported["missing"], reported["faults"]) == ([], [])


def test_faults_are_data_too(run: Run) -> None:
    Path("x.xlsx").write_bytes(xlsx({"S": [["Line", "Length mm"], ["A1 L", "much"]]}))
    done = run("import", "x.xlsx", "--map", MAP, "--json")
    reported = json.loads(done.stdout)

    assert done.exit_code == reported["exit_code"] == 2
    assert [(fault["code"], fault["cell"]) for fault in reported["faults"]] == [
        ("length-not-a-number", "S!B2")
    ]


def test_a_plain_export_that_does_not_say_when_is_asked_about(run: Run) -> None:
    asked = run("import", "demo-before.csv", "--dry-run")
    chosen = run("import", "demo-before.csv", "--dry-run", "--as", "after")
    answered = run("import", "demo-before.csv", "--dry-run", "--answer", "when=after")

    assert (asked.exit_code, asked.stdout) == (2, "")
    assert "demo-before.csv: question-open\n   `when` is not answered: " in asked.stderr
    assert " → after.left.A.1 = 7334.0 mm" in chosen.stdout
    assert answered.stdout == chosen.stdout


@pytest.mark.parametrize("kept", [False, True], ids=["named", "kept"])
def test_a_map_that_does_not_say_when_is_asked_about(run: Run, kept: bool) -> None:
    text = Path(MAP).read_text(encoding="utf-8")
    shape = "shape:\n  - {headings: [Line, Length mm]}\n" if kept else ""
    text = "".join(x for x in text.splitlines(keepends=True) if not x.startswith("measuring"))
    Path("maps").mkdir()
    Path("maps/jig.yaml").write_text(text + shape, encoding="utf-8")
    Path("x.csv").write_text("Line;Length mm\nA1 L;7334\nA2 L;7334\nA1 R;7335\n", "utf-8")
    wanted = ("import", "x.csv", *(("--maps", "maps") if kept else ("--map", "maps/jig.yaml")))
    asked = run(*wanted, "--dry-run")
    after = run(*wanted, "--dry-run", "--answer", "when=after")

    assert asked.exit_code == 2
    assert "x.csv: question-open\n   `when` is not answered: " in asked.stderr
    assert " → after.left.A.1 = 7334.0 mm" in after.stdout
    assert ("The map maps/jig.yaml is for files of this shape" in after.stderr) is kept


def test_the_plain_form_needs_no_map(run: Run) -> None:
    text = Path(JOB).read_text(encoding="utf-8")
    Path(JOB).write_text(
        text.replace(
            "  file: laser-bench.xlsx       # read where it lies, by its map\n", ""
        ).replace("  map: laser-bench-map.yaml\n", ""),
        encoding="utf-8",
    )
    done = run("import", "demo-before.csv", "--into", JOB, "--as", "after")

    assert done.exit_code == 0
    data = load(Path(JOB).read_bytes(), JOB).data
    assert data["after"]["left"]["A"][0] == 7334
    assert "left" not in data["before"]


def test_what_a_file_does_not_say_is_asked_and_nothing_is_written(run: Run) -> None:
    before = files()
    done = run("import", "exports/laser-bench.xlsx", "--into", JOB)

    assert done.exit_code == 2
    assert "exports/laser-bench.xlsx: question-open" in done.stderr
    assert "`when` is not answered: " in done.stderr
    assert files() == before


def test_with_an_answer_it_reads_what_the_map_by_hand_reads(run: Run) -> None:
    export = ("import", "exports/laser-bench.xlsx", "--wing", "medlar m", "--json")
    guessed = json.loads(run(*export, "--answer", "when=before", "--maps", "shelf").stdout)
    by_hand = json.loads(
        run(*export, "--map", "exports/laser-bench-map.yaml", "--as", "before").stdout
    )

    assert guessed["values"] == by_hand["values"]
    assert len(guessed["values"]) == 96


def test_a_new_job_has_every_point_in_place_and_tells_what_is_missing(run: Run) -> None:
    done = run("new", "new.yaml", "--wing", "medlar m")
    data = load(Path("new.yaml").read_bytes(), "new.yaml").data

    assert (done.exit_code, done.stdout) == (0, "new.yaml\n")
    assert data["specification"] == "medlar-m.yaml"
    assert data["before"]["left"] == {
        "A": [None] * 12,
        "B": [None] * 12,
        "C": [None] * 12,
        "stabilo": [None] * 3,
        "brake": [None] * 8,
        "brake_main": [None],
    }
    checked = json.loads(run("check", "new.yaml", "--json").stdout)
    assert [fault["code"] for fault in checked["jobs"][0]["faults"]].count("missing-value") == 3
    assert {fault["code"] for fault in checked["jobs"][0]["faults"]} <= {
        "missing-value",
        "tension-not-stated",
        "side-not-measured",
        "point-not-measured",
    }


def test_a_new_job_names_the_shop_file_that_was_asked_for(run: Run) -> None:
    assert run("new", "a.yaml", "--wing", "medlar m").exit_code == 0
    assert run("new", "exports/b.yaml", "--wing", "medlar m", "--shop", "shop.yaml").exit_code == 0

    assert "workshop" not in load(Path("a.yaml").read_bytes(), "a.yaml").data
    assert load(Path("exports/b.yaml").read_bytes(), "b.yaml").data["workshop"] == "../shop.yaml"


def test_a_new_job_is_filled_by_an_export(run: Run) -> None:
    arguments = ["--map", MAP, "--new", "exports/new.yaml", "--wing", "medlar m"]
    done = run("import", JIG, *arguments)
    data = load(Path("exports/new.yaml").read_bytes(), "new.yaml").data

    assert (done.exit_code, done.stdout.splitlines()[-1]) == (0, "exports/new.yaml")
    assert data["specification"] == "../medlar-m.yaml"
    assert data["before"]["right"]["brake_main"] == [2280]
    assert "#   name:" in Path("exports/new.yaml").read_text(encoding="utf-8")


_EXAMPLE = re.compile(r"#( *)(- \{|[A-Za-z_ 0-9]+:(?: [\[{]| *(?:#|$)))")


def uncommented(text: str) -> str:
    """A new file with the # taken off all that could be said; prose stays a comment."""

    def line(written: str) -> str:
        found = _EXAMPLE.match(written)
        # Keys of their own stand behind "# ", those within a block right behind the #.
        return written[2 - (len(found[1]) + 1) % 2 :] if found else written

    return "\n".join(map(line, text.splitlines()))


@pytest.mark.parametrize(
    ("arguments", "keys"),
    [
        (
            ["new", "n.yaml", "--wing", "medlar m"],
            {"pilot", "free_travel_mm", "risers", "tear_mm", "load_n", "reason", "flight", "tied"},
        ),
        (
            ["new", "--line-set", "n.yaml", "--from", "table.csv"],
            {"stabilo_mm", "fan_mm", "main_mm", "free_travel_mm", "risers", "cascade", "retrim"},
        ),
    ],
)
def test_what_a_new_file_offers_as_a_comment_is_known_once_the_sign_is_taken_off(
    run: Run, arguments: list[str], keys: set[str]
) -> None:
    Path("table.csv").write_text("row,length mm\nA1,7000\nA2,6900\nA3,6800\n")
    run(*arguments)
    text = uncommented(Path("n.yaml").read_text(encoding="utf-8"))
    Path("n.yaml").write_text(text, encoding="utf-8")

    loaded = load(text.encode(), "n.yaml")

    assert not loaded.faults
    assert keys <= {str(path[-1]) for path in loaded.keys}
    assert "unknown-key" not in run("check", "n.yaml").stderr


@pytest.mark.parametrize("arguments", [["new"], ["import", JIG, "--map", MAP, "--new"]])
def test_a_different_file_is_not_replaced_without_force(run: Run, arguments: list[str]) -> None:
    Path("old.yaml").write_text("mine: true\n")
    done = run(*arguments, "old.yaml", "--wing", "medlar m")

    assert done.exit_code == 6
    assert "old.yaml: file-exists" in done.stderr
    assert Path("old.yaml").read_text() == "mine: true\n"
    assert run(*arguments, "old.yaml", "--wing", "medlar m", "--force").exit_code == 0


SET_MAP = """\
trimscribe: 1
tables:
  - gives: specification
    labels: [{column: nr, form: "{point}"}]
    values: [{form: "{row}"}]
"""


def test_a_length_table_becomes_a_line_set(run: Run) -> None:
    Path("table.csv").write_text(
        "nr,A,B,stabilo,brake,brake_main\n1,70,80,60,75,22\n2,69,79,,74,\n"
    )
    Path("map.yaml").write_text(SET_MAP)
    done = run("import", "table.csv", "--map", "map.yaml", "--new", "set.yaml")
    data = load(Path("set.yaml").read_bytes(), "set.yaml").data

    assert done.exit_code == 0
    assert data["rows"] == {"A": {"lengths_mm": [70, 69]}, "B": {"lengths_mm": [80, 79]}}
    assert (data["stabilo_mm"], data["brake"]) == ([60], {"fan_mm": [75, 74], "main_mm": 22})
    assert data["source"] == "imported from table.csv"
    Path("set.yaml").write_text(
        Path("set.yaml").read_text().replace("[70, 69]", "[70, 69]  # checked")
    )
    Path("table.csv").write_text("nr,C\n1,81\n2,80.5\n")
    assert run("import", "table.csv", "--map", "map.yaml", "--into", "set.yaml").exit_code == 0
    text = Path("set.yaml").read_text()
    assert "[70, 69]  # checked\n" in text
    assert "  C:\n    lengths_mm: [81, 80.5]\n" in text


def test_what_belongs_into_the_other_kind_of_file_is_reported(run: Run) -> None:
    Path("table.csv").write_text("nr,A\n1,7342\n")
    Path("map.yaml").write_text(SET_MAP)
    before = files()
    done = run("import", "table.csv", "--map", "map.yaml", "--into", JOB)

    assert "warning: belongs-elsewhere" in done.stderr
    assert "1 value of the export belongs into a line set." in done.stderr
    assert files() == before


def test_a_proposed_map_is_written_with_its_reasons_and_never_over_another(run: Run) -> None:
    done = run("import", JIG, "--propose", "map.yaml", "--wing", "medlar m", "--as", "before")

    assert (done.exit_code, done.stdout) == (0, "map.yaml\n")
    assert "delimiter: semicolon (sure: " in done.stderr
    assert run("import", JIG, "--map", "map.yaml", "--into", JOB).exit_code == 0
    Path("map.yaml").write_text("mine: true\n")
    assert run("import", JIG, "--propose", "map.yaml").exit_code == 6
    shown = run("import", JIG, "--propose", "map.yaml", "--dry-run")
    assert shown.stdout.startswith("# Proposed from tape-jig.csv: ")
    shutil.copy(JIG, "tape jig.csv")
    spaced = run("import", "tape jig.csv", "--propose", "other.yaml", "--dry-run")
    assert '# `trimscribe import "tape jig.csv" --map THIS-FILE --dry-run` shows' in spaced.stdout
    assert Path("map.yaml").read_text() == "mine: true\n"


def test_a_file_in_the_way_of_a_new_job_is_reported_with_what_this_command_can_do(run: Run) -> None:
    Path("new.yaml").write_text("mine\n", encoding="utf-8")
    done = run("new", "new.yaml", "--wing", "medlar m")

    assert done.exit_code == 6
    assert "Choose another name, or replace it with --force." in done.stderr


def test_a_shop_file_that_is_not_there_is_reported_before_a_job_is_written(run: Run) -> None:
    before = files()
    done = run("new", "new.yaml", "--wing", "medlar m", "--shop", "missing.yaml")

    assert done.exit_code == 2
    assert "missing.yaml: file-not-found" in done.stderr
    assert files() == before


def test_the_command_in_a_new_job_can_be_copied_as_it_is(run: Run) -> None:
    for name, shown in {"first job.yaml": '"first job.yaml"', "Jörg-2.yaml": "Jörg-2.yaml"}.items():
        assert run("new", name, "--wing", "medlar m").exit_code == 0
        assert f"`trimscribe check {shown}` says" in Path(name).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "reported"),
    [
        (["import", JIG, "--into", JOB, "--new", "x.yaml"], "Only one of --into, --new"),
        (["import", JIG, "--map", MAP, "--new", "x.yaml"], "A new job needs a line set"),
        (["new", "x.yaml"], "Missing option '--wing'"),
        (["import"], "Missing argument 'EXPORT'"),
        (["import", JIG, "--as", "later"], "'later' is not one of"),
    ],
)
def test_wrong_use_is_reported(run: Run, arguments: list[str], reported: str) -> None:
    done = run(*arguments)

    assert done.exit_code == 64
    assert reported in done.stderr
    assert not Path("x.yaml").exists()


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["none.csv", "--map", MAP], "file-not-found"),
        ([JIG, "--map", "none.yaml"], "file-not-found"),
        ([JIG, "--map", "shop.yaml"], "missing-key"),
        ([JIG, "--map", MAP, "--into", "none.yaml"], "file-not-found"),
        ([JIG, "--map", MAP, "--into", JIG], "layout-not-safe"),
        ([JIG, "--map", MAP, "--wing", "larch"], "line-set-not-found"),
        (["shop.yaml", "--map", MAP], "no-importer"),
    ],
)
def test_files_that_are_not_there_or_not_right_are_reported(
    run: Run, arguments: list[str], code: str
) -> None:
    before = files()
    done = run("import", *arguments)

    assert done.exit_code == 2
    assert code in done.stderr
    assert files() == before


def test_a_point_that_the_plain_form_leaves_empty_is_not_measured(run: Run) -> None:
    Path("bench.csv").write_text("side,row,point,length_mm\nleft,A,1,\nleft,A,2,7333\n", "utf-8")
    done = run("import", "bench.csv", "--wing", "medlar-m.yaml", "--dry-run", "--as", "before")

    assert done.exit_code == 0
    assert "3:10 → before.left.A.2 = 7333.0 mm" in done.stdout
    assert "before.left.A.1," in done.stderr


def test_a_number_that_is_no_length_is_reported_of_the_plain_form_too(run: Run) -> None:
    Path("bench.csv").write_text("side,row,point,length_mm\nleft,A,1,1e400\n", "utf-8")
    done = run("import", "bench.csv", "--wing", "medlar-m.yaml", "--dry-run", "--as", "before")

    assert done.exit_code == 2
    assert "bench.csv:2:10: length-not-a-number" in done.stderr


def test_an_empty_workbook_is_reported(run: Run) -> None:
    Path("bench.xlsx").write_bytes(xlsx({"Bench": {}}))
    done = run("import", "bench.xlsx", "--wing", "medlar-m.yaml")

    assert done.exit_code == 2
    assert "bench.xlsx: empty-file" in done.stderr


@pytest.mark.skipif(sys.platform in {"win32", "darwin"}, reason="names are text there")
def test_names_that_are_no_text_are_read_and_never_written(run: Run) -> None:
    bad = os.fsdecode(b"\xff")
    shutil.copy(JIG, f"{bad}.csv")
    Path(bad).mkdir()
    shutil.copy("medlar-m.yaml", f"{bad}/medlar-m.yaml")

    guessed = run("import", f"{bad}.csv", "--answer", "when=before", "--propose", "map.yaml")
    new = run("new", "new.yaml", "--wing", f"{bad}/medlar-m.yaml")

    assert guessed.exit_code == 0
    assert "?.csv" in Path("map.yaml").read_text("utf-8")
    assert new.exit_code == 2
    assert "name-not-text" in new.stderr
    assert not Path("new.yaml").exists()


def test_a_byte_order_mark_stays_in_front_of_the_job(run: Run) -> None:
    bom = b"\xef\xbb\xbf"
    assert run("import", JIG, "--map", MAP, "--into", JOB, "--dry-run").exit_code == 0
    Path("exports/marked.yaml").write_bytes(bom + Path(JOB).read_bytes())

    for job in ("exports/marked.yaml", JOB):
        assert run("import", JIG, "--map", MAP, "--into", job).exit_code == 0

    assert Path("exports/marked.yaml").read_bytes() == bom + Path(JOB).read_bytes()


@pytest.mark.skipif(os.name == "nt", reason="needs links and rights of a Unix disk")
def test_a_link_and_the_rights_of_the_job_stay(run: Run) -> None:
    Path(JOB).chmod(0o640)
    Path("exports/link.yaml").symlink_to("job.yaml")
    done = run("import", JIG, "--map", MAP, "--into", "exports/link.yaml")

    assert done.exit_code == 0
    assert Path("exports/link.yaml").is_symlink()
    assert stat.S_IMODE(Path(JOB).stat().st_mode) == 0o640
    assert "7334" in Path(JOB).read_text(encoding="utf-8")
    assert sorted(path.name for path in Path("exports").iterdir() if path.name[0] == ".") == []


def test_a_job_that_changes_meanwhile_is_left_alone(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    print_faults = importing.print_faults

    def somebody_saves(faults: Any) -> None:
        Path(JOB).write_text("other: true\n")
        print_faults(faults)

    monkeypatch.setattr(importing, "print_faults", somebody_saves)
    done = run("import", JIG, "--map", MAP, "--into", JOB)

    assert done.exit_code == 2
    assert "file-changed" in done.stderr
    assert Path(JOB).read_text() == "other: true\n"


def test_help_of_the_commands_loads_no_library(tmp_path: Path) -> None:
    code = (
        "import sys\nfrom trimscribe.cli import main\n"
        "try: main(['import', '--help'])\n"
        "except SystemExit: pass\n"
        "print(sorted({'python_calamine', 'xlrd', 'yaml', 'numpy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.splitlines()[-1] == "[]"
    assert "Exit codes" in done.stdout
