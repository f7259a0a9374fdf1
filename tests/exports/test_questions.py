"""What only a person can know of an export is asked, answered, kept, and asked again in time."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from export_files import xlsx

from trimscribe.cli import importing, main
from trimscribe.exports.line_sets import line_set

EXAMPLES = Path(__file__).parents[2] / "examples"
QUINCE = line_set(EXAMPLES / "quince-s.yaml")
LINES = [(row, n + 1) for row in ("A", "B") for n in range(10)]

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    shutil.copytree(EXAMPLES, tmp_path / "wings")
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")

    def invoke(*arguments: object, pasted: bytes | str | None = None) -> Result:
        known = ["--lines", "../wings"] if "--wing" in arguments else []
        reported = [*map(str, arguments), *known]
        return CliRunner().invoke(main, reported, input=pasted)

    return invoke


def lengths(shift: int, side: int) -> list[tuple[str, float]]:
    """A measured length for each line, a few mm off the line set."""
    return [
        (f"{r}{n}", QUINCE.lengths[r][n - 1] + shift + (n * 7 + side * 3) % 5) for r, n in LINES
    ]


def listed(shift: int = -3, heads: str = "Line,Left,Right", title: str = "") -> str:
    pairs = zip(lengths(shift, 0), lengths(shift, 1), strict=True)
    rows = [f"{name},{left},{right}" for (name, left), (_, right) in pairs]
    return "\n".join([*([title] if title else []), heads, *rows]) + "\n"


def values(document: str) -> dict[tuple[object, ...], float]:
    return {tuple(one["path"]): one["value"] for one in json.loads(document)["values"]}


def test_a_program_reads_the_questions_and_gives_the_answers(run: Run) -> None:
    Path("x.csv").write_text(listed(), encoding="utf-8")
    asked = json.loads(run("import", "x.csv", "--wing", "quince s", "--json").stdout)
    question = asked["questions"][0]

    assert asked["exit_code"] == 2
    assert asked["values"] == []
    assert (question["id"], [*question["answers"]]) == ("when", ["before", "after"])
    answer = f"{question['id']}=after"
    done = run("import", "x.csv", "--wing", "quince s", "--json", "--answer", answer)
    assert values(done.stdout)["after", "left", "A", 1] == lengths(-3, 0)[0][1]
    assert json.loads(done.stdout)["answers"] == {"when": "after"}


@pytest.mark.parametrize("answer", ["when=never", "whence=before"])
def test_an_answer_that_fits_no_question_is_a_fault(run: Run, answer: str) -> None:
    Path("x.csv").write_text(listed(), encoding="utf-8")
    done = run("import", "x.csv", "--wing", "quince s", "--answer", answer)

    assert done.exit_code == 2
    assert "answer-not-known" in done.stderr


@pytest.mark.parametrize(
    ("heads", "more"),
    [
        ("Line,Left before,Right before", ()),
        ("Line,Left,Right", ("--as", "before")),
        ("Line,Left,Right", ("--answer", "when=before")),
        ("side,row,point,length_mm", ("--as", "before")),
        ("Line,Left,Right", ("--map", "map.yaml", "--as", "before")),
        ("Line,Value 1,Value 2", ("--answer", "columns=left,right", "--answer", "when=after")),
    ],
    ids=["all said", "as", "answered", "plain form", "map", "two answered"],
)
@pytest.mark.parametrize("answer", ["riser=62", "nonsense=1", "side=left"])
def test_an_answer_to_what_is_not_asked_is_refused_and_nothing_written(
    run: Run, heads: str, more: tuple[str, ...], answer: str
) -> None:
    plain = "".join(
        f"left,{r},{n},{mm}\n" for (r, n), (_, mm) in zip(LINES, lengths(0, 0), strict=True)
    )
    text = f"{heads}\n{plain}" if heads.startswith("side") else listed(heads=heads)
    Path("x.csv").write_text(text, encoding="utf-8")
    Path("map.yaml").write_text(
        "trimscribe: 1\ntables:\n  - header: 1\n    side: left\n"
        '    labels: [{column: Line, form: "{row}{point}"}]\n    values: [{column: Left}]\n',
        encoding="utf-8",
    )
    wanted = ("import", "x.csv", "--wing", "quince s", "--new", "job.yaml", *more)
    done = run(*wanted, "--answer", answer)

    assert done.exit_code == 2
    assert "answer-not-known" in done.stderr
    assert f"There is no question `{answer.partition('=')[0]}` about this file." in done.stderr
    assert not Path("job.yaml").exists()
    assert run(*wanted).exit_code == 0  # without it all is answered


@pytest.mark.parametrize("answer", ["when=never", "when=1"])
def test_in_the_plain_form_when_is_answered_in_its_words(run: Run, answer: str) -> None:
    rows = "".join(
        f"left,{r},{n},{mm}\n" for (r, n), (_, mm) in zip(LINES, lengths(0, 0), strict=True)
    )
    Path("x.csv").write_text(f"side,row,point,length_mm\n{rows}", encoding="utf-8")
    done = run("import", "x.csv", "--wing", "quince s", "--answer", answer)

    assert done.exit_code == 2
    assert "answer-not-known" in done.stderr
    assert "does not answer `when`" in done.stderr


def test_an_answer_waits_while_another_question_is_open(run: Run) -> None:
    """Whether it is asked shows only then; that there is no such question would be untrue."""
    Path("x.csv").write_text(listed(heads="Line,Value 1,Value 2"), encoding="utf-8")
    done = run("import", "x.csv", "--wing", "quince s", "--answer", "when=before")

    assert done.exit_code == 2
    assert "question-open" in done.stderr
    assert "`columns` is not answered" in done.stderr
    assert "answer-not-known" not in done.stderr


def test_what_a_kept_map_does_not_ask_is_refused_as_well(run: Run) -> None:
    Path("x.csv").write_text(listed(), encoding="utf-8")
    kept = ("--propose", "m.yaml", "--answer", "when=before")
    assert run("import", "x.csv", "--wing", "quince s", *kept).exit_code == 0
    wanted = ("import", "x.csv", "--wing", "quince s", "--answer", "when=after")
    done = run(*wanted, "--answer", "riser=62")

    assert done.exit_code == 2
    assert "There is no question `riser` about this file." in done.stderr
    assert run(*wanted).exit_code == 0


def test_an_answer_that_a_kept_map_has_is_asked_again_where_it_does_not_fit(run: Run) -> None:
    Path("x.csv").write_text(listed(500), encoding="utf-8")
    kept = ("--propose", "m.yaml", "--answer", "when=before", "--answer", "riser=500")
    assert run("import", "x.csv", "--wing", "quince s", *kept).exit_code == 0
    Path("y.csv").write_text(listed(300), encoding="utf-8")
    done = run("import", "y.csv", "--wing", "quince s", "--answer", "when=never")

    assert done.exit_code == 2
    assert "“never” does not answer `when`" in done.stderr
    assert "“500”" not in done.stderr


def test_an_answer_has_an_equals_sign(run: Run) -> None:
    Path("x.csv").write_text(listed(), encoding="utf-8")

    assert run("import", "x.csv", "--answer", "before").exit_code == 64


def test_in_a_terminal_it_is_asked(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trimscribe.cli.importing.somebody_is_there", lambda: True)
    Path("x.csv").write_text(listed(), encoding="utf-8")
    done = run("import", "x.csv", "--wing", "quince s", "--new", "job.yaml", pasted="never\n2\n")

    assert done.exit_code == 0, done.stderr
    assert "before or after the work" in done.stderr
    assert "“never” is not one of the answers." in done.stderr
    assert "\nafter:" in Path("job.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("typed", "mm"), [("62\n-500\n", -3), ("500\n", -3), ("1\n", 497)], ids=["sign", "length", "no"]
)
def test_in_a_terminal_a_length_of_either_sign_or_the_number_of_a_choice_answers(
    run: Run, monkeypatch: pytest.MonkeyPatch, typed: str, mm: float
) -> None:
    monkeypatch.setattr("trimscribe.cli.importing.somebody_is_there", lambda: True)
    Path("x.csv").write_text(listed(497), encoding="utf-8")
    wanted = ("import", "x.csv", "--wing", "quince s", "--as", "before", "--new", "job.yaml")
    done = run(*wanted, pasted=typed)

    assert done.exit_code == 0, done.stderr
    assert "Answer (or a number of mm from 4" in done.stderr
    assert ("“62” is not one of the answers." in done.stderr) is typed.startswith("62")
    assert ("far-off-line-set" in done.stderr) is (typed == "1\n")
    written = Path("job.yaml").read_text(encoding="utf-8")
    assert f"A: [{lengths(mm, 0)[0][1]:g}" in written


def test_nobody_is_there_where_an_end_is_no_terminal() -> None:
    assert not importing.somebody_is_there()


def test_what_is_pasted_is_laid_in_as_a_file_would_be(run: Run) -> None:
    pasted = listed().replace(",", "\t")
    done = run(
        *("import", "-", "--wing", "quince s", "--as", "before", "--new", "job.yaml"), pasted=pasted
    )

    assert done.exit_code == 0, done.stderr
    assert run("findings", "job.yaml").exit_code == 2  # what is still to be filled in
    assert f"A: [{lengths(-3, 0)[0][1]:g}" in Path("job.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize("data", ["", "hello\n", "\x00\x01"])
def test_pasted_nonsense_is_refused(run: Run, data: str) -> None:
    assert run("import", "-", "--wing", "quince s", "--as", "before", pasted=data).exit_code == 2


def test_a_whole_workbook_can_be_piped(run: Run) -> None:
    grid = [line.split(",") for line in listed().splitlines()]
    book = xlsx({"Before": [[n if not n[0].isdigit() else float(n) for n in r] for r in grid]})
    done = run("import", "-", "--wing", "quince s", "--json", pasted=book)

    assert values(done.stdout)["before", "right", "B", 10] == lengths(-3, 1)[-1][1]


def test_a_map_that_was_answered_is_found_by_headings_not_by_name(run: Run) -> None:
    rows = "Line,Value 1,Value 2"
    Path("x.csv").write_text(listed(heads=rows), encoding="utf-8")
    answers = ("--answer", "columns=right,left", "--answer", "when=before")
    assert (
        run("import", "x.csv", "--wing", "quince s", "--propose", "m.yaml", *answers).exit_code == 0
    )
    Path("other.csv").write_text(listed(-1, heads=rows), encoding="utf-8")

    asked = run("import", "other.csv", "--wing", "quince s")
    assert asked.exit_code == 2
    assert "m.yaml is for files of this shape" in asked.stderr
    assert "`when` is not answered" in asked.stderr
    assert "`columns`" not in asked.stderr
    done = run("import", "other.csv", "--wing", "quince s", "--as", "after", "--json")
    assert values(done.stdout)["after", "right", "A", 1] == lengths(-1, 0)[0][1]


@pytest.mark.parametrize(
    ("kept", "shift", "open_ones", "written"),
    [
        ("500", -503, [], -3),
        ("500", -3, [], -3),  # the risers are in these lengths: nothing is added
        ("500", -600, ["riser"], None),
        ("no", -503, ["riser"], None),
    ],
    ids=["as before", "in the lengths", "another length", "was no riser"],
)
def test_what_a_riser_added_is_held_against_the_next_wing(
    run: Run, kept: str, shift: int, open_ones: list[str], written: int | None
) -> None:
    Path("x.csv").write_text(listed(-503), encoding="utf-8")
    answers = ("--answer", f"riser={kept}", "--answer", "when=before")
    run("import", "x.csv", "--wing", "quince s", "--propose", "m.yaml", *answers)
    Path("y.csv").write_text(listed(shift), encoding="utf-8")
    document = run("import", "y.csv", "--wing", "quince s", "--json", "--as", "before").stdout

    assert [one["id"] for one in json.loads(document)["questions"]] == open_ones
    if written is not None:
        assert values(document)["before", "left", "A", 1] == lengths(written, 0)[0][1]


def test_a_kept_map_says_what_differs_and_is_not_used(run: Run) -> None:
    Path("x.csv").write_text(listed(heads="Line,Before left,Before right"), encoding="utf-8")
    assert run("import", "x.csv", "--wing", "quince s", "--propose", "m.yaml").exit_code == 0
    Path("y.csv").write_text(listed(heads="Line,Before left,Before rechts"), encoding="utf-8")
    done = run("import", "y.csv", "--wing", "quince s")

    assert done.exit_code == 0
    assert "m.yaml is for such files, but not for this one" in done.stderr
    assert "“before right” is not there; “before rechts” is new" in done.stderr


def test_another_title_is_another_shape(run: Run) -> None:
    """`After` over the same headings must not be read by the map of `Before`."""
    Path("x.csv").write_text(listed(title="Before work"), encoding="utf-8")
    assert run("import", "x.csv", "--wing", "quince s", "--propose", "m.yaml").exit_code == 0
    Path("y.csv").write_text(listed(title="After work"), encoding="utf-8")
    done = run("import", "y.csv", "--wing", "quince s", "--json")

    assert {path[0] for path in values(done.stdout)} == {"after"}


def test_a_map_with_open_questions_does_not_import(run: Run) -> None:
    Path("x.csv").write_text(listed(), encoding="utf-8")
    proposed = run("import", "x.csv", "--wing", "quince s", "--propose", "m.yaml")
    done = run("import", "x.csv", "--wing", "quince s", "--map", "m.yaml")

    assert proposed.exit_code == 2
    assert done.exit_code == 2
    assert "question-open" in done.stderr


def test_specified_lengths_make_a_line_set(run: Run) -> None:
    rows = [
        f"{r}{n},{QUINCE.lengths[r][n - 1]:g},{QUINCE.lengths[r][n - 1] - 4:g}" for r, n in LINES
    ]
    Path("t.csv").write_text("Line,Nominal,Left before\n" + "\n".join(rows), encoding="utf-8")
    first = run("new", "--line-set", "a.yaml", "--from", "t.csv")
    second = run("import", "t.csv", "--new-line-set", "b.yaml")

    assert (first.exit_code, second.exit_code) == (0, 0), first.stderr
    made = Path("a.yaml").read_text(encoding="utf-8")
    assert "lengths_mm: [6418, 6405, 6380, 6344, 6296, 6236, 6165, 6081, 5987, 5880]" in made
    assert Path("b.yaml").read_text(encoding="utf-8") == made


def test_a_table_of_lengths_alone_makes_a_line_set(run: Run) -> None:
    rows = [f"{r};{n};{QUINCE.lengths[r][n - 1] / 1000:.3f}".replace(".", ",") for r, n in LINES]
    Path("t.csv").write_text("Ebene;Nr.;Länge (m)\n" + "\n".join(rows), encoding="cp1252")

    assert run("new", "--line-set", "a.yaml", "--from", "t.csv").exit_code == 0
    assert "[6472, 6459, 6433," in Path("a.yaml").read_text(encoding="utf-8")


def test_of_a_makers_table_of_several_sizes_one_is_chosen_and_no_mean(run: Run) -> None:
    rows = [
        ",".join([f"{r}{n}", *(f"{QUINCE.lengths[r][n - 1] + mm:g}" for mm in (-300, 0, 300))])
        for r, n in LINES
    ]
    Path("t.csv").write_text("Line,S,M,L\n" + "\n".join(rows), encoding="utf-8")
    asked = json.loads(run("import", "t.csv", "--new-line-set", "b.yaml", "--json").stdout)
    done = run("new", "--line-set", "a.yaml", "--from", "t.csv", "--answer", "columns=2")

    assert [one["id"] for one in asked["questions"]] == ["columns"]
    assert asked["questions"][0]["answers"] == {
        "1": "only column B “S” is imported",
        "2": "only column C “M” is imported",
        "3": "only column D “L” is imported",
    }
    assert done.exit_code == 0
    assert f"[{QUINCE.lengths['A'][0]:g}, " in Path("a.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize("heads", ["Line,mm", "Line (from the tip),mm"])
def test_a_makers_table_that_may_count_from_the_tip_is_asked_about(run: Run, heads: str) -> None:
    rows = [f"{r}{11 - n},{QUINCE.lengths[r][n - 1]:g}" for r, n in LINES]
    Path("t.csv").write_text(heads + "\n" + "\n".join(rows), encoding="utf-8")
    asked = json.loads(run("import", "t.csv", "--new-line-set", "b.yaml", "--json").stdout)
    done = run("new", "--line-set", "a.yaml", "--from", "t.csv", "--answer", "points=tip")

    assert [one["id"] for one in asked["questions"]] == ["points"]
    assert done.exit_code == 0
    assert f"[{QUINCE.lengths['A'][0]:g}, " in Path("a.yaml").read_text(encoding="utf-8")


def test_a_line_set_needs_both_options(run: Run) -> None:
    assert run("new", "--line-set", "a.yaml").exit_code == 64
    assert run("new").exit_code == 64


def test_a_workshop_adds_words(run: Run) -> None:
    Path("x.csv").write_text(listed(heads="Line,Skerry left,Skerry right"), encoding="utf-8")
    assert run("import", "x.csv", "--wing", "quince s").exit_code == 2
    shop = Path("shop.yaml")
    shop.write_text(
        "trimscribe: 1\nname: Loft\nexport_words: {before: [skerry]}\n", encoding="utf-8"
    )
    done = run("import", "x.csv", "--wing", "quince s", "--json")

    assert {path[0] for path in values(done.stdout)} == {"before"}


def test_lengths_that_are_those_of_the_line_set_are_no_measuring(run: Run) -> None:
    """A map that was made without a line set cannot know it; the import does."""
    pairs = [(f"{r}{n}", QUINCE.lengths[r][n - 1]) for r, n in LINES]
    rows = [f"{name},{mm:g},{mm:g}" for name, mm in pairs]
    Path("x.csv").write_text("\n".join(["Line,Left before,Right before", *rows]), encoding="utf-8")
    assert run("import", "x.csv", "--propose", "m.yaml").exit_code == 0
    done = run("import", "x.csv", "--map", "m.yaml", "--wing", "quince s")

    assert done.exit_code == 2
    assert "lengths-are-specified" in done.stderr
    refused = run("import", "x.csv", "--wing", "quince s", "--maps", "../wings")
    assert "equal to the line set, line for line" in refused.stderr


def test_without_a_line_set_inches_and_centimetres_are_asked_about(run: Run) -> None:
    rows = [f"{name},{mm / 25.4:.3f},{mm / 25.4:.3f}" for name, mm in lengths(-3, 0)]
    Path("x.csv").write_text("\n".join(["Line,Left before,Right before", *rows]), encoding="utf-8")
    asked = json.loads(run("import", "x.csv", "--json").stdout)

    assert [one["id"] for one in asked["questions"]] == ["unit"]
    found = values(run("import", "x.csv", "--json", "--answer", "unit=in").stdout)
    assert found["before", "left", "A", 1] == pytest.approx(lengths(-3, 0)[0][1], abs=0.02)


def both_sides(heads: str, form: str) -> str:
    """A list with a row for each side of a line."""
    rows = [
        form.format(name=name, mm=f"{mm:g}", L="LR"[side], links=("links", "rechts")[side])
        for side in (0, 1)
        for name, mm in lengths(-3, side)
    ]
    return "\n".join([heads, *rows]) + "\n"


@pytest.mark.parametrize(
    ("heads", "form"),
    [
        ("Leine;Wert;Seite", "{name};{mm};{links}"),
        ("Leine;L;Seite", "{name};{mm};{L}"),  # L is the length here
        ("Seite;Leine;L", "{L};{name};{mm}"),
        ("Leine;mm;Seite;Notiz", "{name};{mm};{L};"),
    ],
)
def test_the_side_in_a_column_of_its_own_is_read_wherever_that_is(
    run: Run, heads: str, form: str
) -> None:
    Path("x.csv").write_text(both_sides(heads, form), encoding="utf-8")
    found = run("import", "x.csv", "--wing", "quince s", "--json", "--answer", "when=before")

    read = values(found.stdout)
    assert len(read) == 2 * len(LINES)
    for n, side in enumerate(("left", "right")):
        assert [read["before", side, r, p] for r, p in LINES] == [mm for _, mm in lengths(-3, n)]


def test_a_side_seen_from_the_front_is_asked_about(run: Run) -> None:
    heads = "Leine,Links (von vorne gesehen),Rechts (von vorne gesehen)"
    Path("x.csv").write_text(listed(heads=heads), encoding="utf-8")
    wanted = ("import", "x.csv", "--wing", "quince s", "--json", "--answer", "when=before")
    done = run(*wanted, "--answer", "columns=right,left")

    assert [one["id"] for one in json.loads(run(*wanted).stdout)["questions"]] == ["columns"]
    assert values(done.stdout)["before", "right", "A", 1] == lengths(-3, 0)[0][1]


def test_a_line_that_nobody_measured_on_either_side_is_not_measured(run: Run) -> None:
    name, left = lengths(-3, 0)[3]
    text = listed().replace(f"{name},{left},{lengths(-3, 1)[3][1]}", f"{name},n.g.,n.g.")
    Path("x.csv").write_text(text, encoding="utf-8")
    done = run("import", "x.csv", "--wing", "quince s", "--answer", "when=before")

    assert done.exit_code == 0, done.stderr
    assert "2 cells “n.g.” are read as not measured: line 5." in done.stderr


@pytest.mark.parametrize("behind", [False, True])
def test_in_and_out_that_part_the_lines_are_no_times(run: Run, behind: bool) -> None:
    """They may say which lines are within their limits."""
    text = ["Line,Left,Right,State" if behind else "Line,State,Left,Right"]
    for n, row in enumerate(listed().splitlines()[1:]):
        name, left, right = row.split(",")
        state = ("in", "out")[n % 5 == 0]
        text.append(
            f"{name},{left},{right},{state}" if behind else f"{name},{state},{left},{right}"
        )
    Path("x.csv").write_text("\n".join(text), encoding="utf-8")
    done = run("import", "x.csv", "--wing", "quince s", "--json", "--answer", "when=before")

    assert done.exit_code == 0, done.stdout
    assert {path[0] for path in values(done.stdout)} == {"before"}


def test_in_and_out_of_every_line_are_times(run: Run) -> None:
    pairs = [*zip(lengths(-3, 0), lengths(-1, 0), strict=True)]
    rows = [f"{name},in,{was:g}\n{name},out,{now:g}" for (name, was), (_, now) in pairs]
    Path("x.csv").write_text("Line,Check,Left\n" + "\n".join(rows), encoding="utf-8")
    read = values(run("import", "x.csv", "--wing", "quince s", "--json").stdout)

    assert read["before", "left", "A", 1] == pairs[0][0][1]
    assert read["after", "left", "A", 1] == pairs[0][1][1]


@pytest.mark.parametrize("heads", ["Nr;L", "Nr;R"])
def test_one_column_called_by_a_letter_may_be_of_either_side(run: Run, heads: str) -> None:
    rows = "\n".join(f"{name};{mm:g}" for name, mm in lengths(-3, 0))
    Path("x.csv").write_text(f"{heads}\n{rows}\n", encoding="utf-8")
    asked = run("import", "x.csv", "--wing", "quince s", "--json", "--answer", "when=before")

    assert [one["id"] for one in json.loads(asked.stdout)["questions"]] == ["side"]


def test_a_question_about_readings_names_a_line_and_its_places(run: Run) -> None:
    text = listed() + "A3,6431,6425\n"
    Path("x.csv").write_text(text, encoding="utf-8")
    asked = run("import", "x.csv", "--wing", "quince s", "--answer", "when=before")

    assert "2 lines have several numbers in different rows, such as A3" in asked.stderr
    assert "in line 4 and line 22, " in asked.stderr


@pytest.mark.parametrize(("last", "open_ones"), [(0, []), (4, ["readings"])], ids=["equal", "not"])
def test_a_makers_table_with_both_sides_makes_a_line_set(
    run: Run, last: int, open_ones: list[str]
) -> None:
    rows = [f"{r}{n},{QUINCE.lengths[r][n - 1]:g},{QUINCE.lengths[r][n - 1]:g}" for r, n in LINES]
    end = QUINCE.lengths["B"][9]
    rows[LINES.index(("B", 10))] = f"B10,{end:g},{end - last:g}"
    Path("t.csv").write_text("Line,Left,Right\n" + "\n".join(rows), encoding="utf-8")
    asked = json.loads(run("import", "t.csv", "--new-line-set", "b.yaml", "--json").stdout)

    assert [one["id"] for one in asked["questions"]] == open_ones
    answers = [f"--answer={name}=mean" for name in open_ones]
    assert run("new", "--line-set", "a.yaml", "--from", "t.csv", *answers).exit_code == 0
    assert f", {end - last / 2:g}]" in Path("a.yaml").read_text(encoding="utf-8")
