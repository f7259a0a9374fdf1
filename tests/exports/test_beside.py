"""What a file says beside its lengths is told, never guessed: its wing, remarks, date and force."""

import json
import os
import stat
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from click.testing import Result

from trimscribe.errors import Mark
from trimscribe.exports.guessing.beside import labelled_texts, offered, other_wing
from trimscribe.exports.line_sets import line_set
from trimscribe.model.tables import Cell

EXAMPLES = Path(__file__).parents[2] / "examples"
MEDLAR = line_set(EXAMPLES / "medlar-m.yaml")
JOB = "exports/job.yaml"  # of Pomeroy Wings Medlar M, MD-00731
HEAD = "Wing;Medlar M;Serial no;MD-00731\n"

Run = Callable[..., Result]


def export(head: str = "", remark: str = "", below: str = "") -> Path:
    """A file of both sides' A lines, with this above, beside and below them."""
    rows = [f"A{n};{mm - 2};{mm - 3};" for n, mm in enumerate(MEDLAR.lengths["A"], 1) if mm]
    rows[3] += remark
    text = "\n".join([f"{head}Line;Left before;Right before;Remark", *rows, below])
    Path("x.csv").write_text(text + "\n", encoding="utf-8")
    return Path("x.csv")


OTHERS = {
    "serial": "Serial no;MD-00999\n",
    "serial in one cell": "Serial number: MD-00999\n",
    "serial below": "Wing;Serial number;Pilot\nMedlar M;MD-00999;Robin\n\n",
    "German": "Gleitschirm;Häher S;Seriennr.;WH-1187\n",
    "French": "Voile;Medlar M;N° de série;MD-00999\n",
    "Polish": "Numer seryjny;MD-00999\n",
    "model": "Glider;Quince M\n",
    "size": "Model: Medlar S\n",
    "after the instrument": "Instrument;Bench 2;Wing;Medlar M;Serial no;MD-00999\n",
}


@pytest.mark.parametrize("head", OTHERS.values(), ids=[*OTHERS])
def test_an_export_of_another_wing_goes_into_no_job_unless_that_is_allowed(
    run: Run, head: str
) -> None:
    before = Path(JOB).read_bytes()
    refused = run("import", export(head), "--into", JOB)

    assert refused.exit_code == 2
    assert "x.csv:1:" in refused.stderr or "x.csv:2:" in refused.stderr
    assert ": other-wing" in refused.stderr
    assert Path(JOB).read_bytes() == before
    allowed = run("import", export(head), "--into", JOB, "--other-wing")
    assert allowed.exit_code == 0, allowed.stderr
    assert ": warning: other-wing" in allowed.stderr
    assert Path(JOB).read_bytes() != before


def test_to_allow_another_wing_replaces_no_value_and_to_replace_values_allows_none(
    run: Run,
) -> None:
    assert run("import", export(), "--into", JOB).exit_code == 0
    path = export(OTHERS["serial"])
    path.write_text(path.read_text("utf-8").replace("A1;7340", "A1;7347"))

    for flag, code in (("--other-wing", "value-differs"), ("--force", "other-wing")):
        done = run("import", path, "--into", JOB, flag)
        assert (done.exit_code, f"{code}\n" in done.stderr) == (2, True), done.stderr
    assert run("import", path, "--into", JOB, "--other-wing", "--force").exit_code == 0


def test_it_is_said_before_anything_is_asked(run: Run) -> None:
    path = export(OTHERS["serial"])
    path.write_text(path.read_text("utf-8").replace(" before", ""), encoding="utf-8")
    done = run("import", path, "--into", JOB)

    assert "other-wing" in done.stderr
    assert "question-open" not in done.stderr


SAME = {
    "both": HEAD,
    "without signs": "Serial no;md00731\n",
    "its end": "Serial no;00731\n",
    "maker and model": "Wing;Pomeroy Medlar\n",
    "nothing": "",
    "headings of a table": "Wing;Line;Side\n\n",
    "a title": "Wing check at Netherby\n",
    "a serial number of the instrument": "Instrument;Bench 2;Serial no;L-8812\n",
    "a serial number below the instrument": "Laser: LM-3\nSerial number: 8812\nModel: X 200\n",
    "the model of the instrument": "Gerät;LM-3;Modell;X 200\n",
}


@pytest.mark.parametrize("head", SAME.values(), ids=[*SAME])
def test_an_export_of_the_same_wing_or_of_none_is_imported(run: Run, head: str) -> None:
    done = run("import", export(head), "--into", JOB)

    assert done.exit_code == 0, done.stderr
    assert "other-wing" not in done.stderr


def test_a_map_does_not_hide_that_it_is_another_wing(run: Run) -> None:
    Path("m.yaml").write_text(
        "trimscribe: 1\nformat: {delimiter: semicolon}\ntables:\n  - when: before\n"
        '    labels: [{column: Line, form: "{row}{point}"}]\n'
        "    values: [{column: Left before, side: left}]\n",
        encoding="utf-8",
    )
    done = run("import", export(OTHERS["serial"]), "--map", "m.yaml", "--into", JOB)

    assert done.exit_code == 2
    assert "The export is of “MD-00999”" in done.stderr


def test_a_new_job_is_of_the_line_set_that_the_export_names(run: Run) -> None:
    wanted = ("--wing", "medlar m", "--new", "new.yaml")
    refused = run("import", export("Glider;Quince S\n"), *wanted)

    assert refused.exit_code == 2
    assert "other-wing" in refused.stderr
    assert not Path("new.yaml").exists()
    assert run("import", export(HEAD), *wanted).exit_code == 0


@pytest.mark.parametrize(
    ("said", "ours", "same"),
    [("Haeher S", "Häher", True), ("HÄHER", "Häher", True), ("S", "Häher", False),
     ("Häher L", "Häher", False), ("Schlehe S", "Häher", False)],
)  # fmt: skip
def test_names_are_compared_as_people_write_them(said: str, ours: str, same: bool) -> None:
    cells = [Cell(1, 1, "Wing", Mark("x.csv", 1, 1)), Cell(1, 2, said, Mark("x.csv", 1, 6))]
    wing = {"maker": "Wacholder", "model": ours, "size": "S"}

    faults = [*other_wing(labelled_texts(cells), wing, "job.yaml", allowed=False)]

    assert [fault.code for fault in faults] == ([] if same else ["other-wing"])


def test_remarks_are_told_with_their_places_before_the_difference(run: Run) -> None:
    done = run("import", export(HEAD, "sheath torn", "B lines were knotted"), "--into", JOB)

    assert done.exit_code == 0
    told = "2 texts are left out: 6:18 “sheath torn”, 15:1 “B lines were knotted”."
    assert told in done.stderr.splitlines()
    data = json.loads(run("import", "x.csv", "--wing", "medlar m", "--json").stdout)
    assert told in data["beside"]


def test_one_remark_is_one_text_and_none_is_no_line(run: Run) -> None:
    one = run("import", export(HEAD, "sheath torn"), "--into", JOB, "--force")
    none = run("import", export(HEAD), "--into", JOB, "--force")

    assert "1 text is left out: 6:18 “sheath torn”." in one.stderr.splitlines()
    assert "left out:" not in none.stderr


def test_a_kept_map_does_not_swallow_a_remark(run: Run) -> None:
    assert run("import", export(), "--wing", "medlar m", "--propose", "m.yaml").exit_code == 0
    done = run("import", export("", "sheath torn"), "--into", JOB)

    assert "The map m.yaml is for files of this shape, and is used." in done.stderr
    assert "1 text is left out: 5:18 “sheath torn”." in done.stderr.splitlines()


def cells(*rows: Sequence[str]) -> list[Cell]:
    return [
        Cell(r, c, text, Mark("x.csv", r, c))
        for r, row in enumerate(rows, 1)
        for c, text in enumerate(row, 1)
        if text
    ]


@pytest.mark.parametrize(
    ("rows", "found"),
    [
        ([("Gerät", "LM-3", "Datum", "27.11.2026", "Zugkraft", "50 N")],
         {"date": "2026-11-27", "instrument": "LM-3", "tension_n": "50"}),
        ([("Date: 2026-11-27",), ("Force", "49,5 N")],
         {"date": "2026-11-27", "tension_n": "49.5"}),
        ([("Load", "5 kg")], {"tension (in N?)": "5 kg"}),
        ([("Date", "11/27/2026")], {"date": "11/27/2026"}),  # as it is: who knows which is the day
        ([("Date", "1.2.2026"), ("Date", "3.2.2026")], {}),  # two: neither is offered
        ([("Line", "Date", "Left"), ("A1", "7", "6640")], {}),
    ],
)  # fmt: skip
def test_date_instrument_and_tension_are_offered_where_the_file_says_one(
    rows: list[Sequence[str]], found: dict[str, str]
) -> None:
    assert offered(labelled_texts(cells(*rows))) == found


def test_what_is_offered_is_not_written(run: Run) -> None:
    job = Path(JOB).read_text(encoding="utf-8")
    done = run("import", export("Date;27.11.2031;Load;43 N\n"), "--into", JOB)

    assert "The file also says date: 2031-11-27, tension_n: 43. This is not written" in done.stderr
    after = Path(JOB).read_text(encoding="utf-8")
    assert after != job
    assert "2031-11-27" not in after


@pytest.mark.parametrize("target", ["shop.yaml", "exports/tape-jig-map.yaml"])
def test_only_a_job_takes_measurements(run: Run, target: str) -> None:
    before = Path(target).read_bytes()
    done = run("import", export(HEAD), "--wing", "medlar m", "--into", target)

    assert done.exit_code == 2
    assert f"{target}:1:1: not-a-job" in done.stderr
    assert Path(target).read_bytes() == before


@pytest.mark.skipif(os.name == "nt", reason="needs rights of a Unix disk")
def test_a_protected_job_is_not_replaced(run: Run) -> None:
    before = Path(JOB).stat()
    Path(JOB).chmod(0o444)
    text = Path(JOB).read_bytes()
    done = run("import", export(HEAD), "--into", JOB)

    assert done.exit_code == 6
    assert f"{JOB}: no-permission" in done.stderr
    assert Path(JOB).read_bytes() == text
    assert Path(JOB).stat().st_ino == before.st_ino
    assert stat.S_IMODE(Path(JOB).stat().st_mode) == 0o444


@pytest.mark.skipif(not hasattr(os, "getuid") or os.getuid() != 0, reason="only root gives away")
def test_the_owner_of_a_job_stays(run: Run) -> None:
    os.chown(JOB, 12345, 12346)
    Path(JOB).chmod(0o664)
    done = run("import", export(HEAD), "--into", JOB)

    assert done.exit_code == 0, done.stderr
    now = Path(JOB).stat()
    assert (now.st_uid, now.st_gid, stat.S_IMODE(now.st_mode)) == (12345, 12346, 0o664)


def test_inches_become_hundredths_of_a_millimetre(run: Run) -> None:
    inches = [f"{(mm or 0) / 25.4 - 0.1:.3f}" for mm in MEDLAR.lengths["A"]]
    rows = [f"A{n};{one};{one}" for n, one in enumerate(inches, 1)]
    text = "\n".join(["Line;Left before [in];Right before [in]", *rows])
    Path("x.csv").write_text(text, encoding="utf-8")
    done = run("import", "x.csv", "--wing", "medlar m", "--json")
    found = [one["value"] for one in json.loads(done.stdout)["values"]]

    assert len(found) == 24
    assert all(round(mm, 2) == mm for mm in found)
    assert found[0] == round(float(inches[0]) * 25.4, 2)
