"""What `read` makes of a job that is right."""

import datetime as dt
import json
from pathlib import Path

import pytest

from trimscribe.errors import Mark
from trimscribe.marked_yaml import load
from trimscribe.model.job import (
    Adjustment,
    Condition,
    InspectionItem,
    NextService,
    OffsetMethod,
    PorosityUnit,
    StrengthTest,
)
from trimscribe.model.wing import CascadeLine, GroupKind, Point, RiserLengths, Side, Tolerances
from trimscribe.model.workshop import Person

ROOT = Path(__file__).parents[2]


@pytest.fixture
def demo(monkeypatch, read_example):
    monkeypatch.chdir(ROOT)
    return read_example(Path("examples/demo.yaml"))


def test_the_demo_reads_as_it_is_written(demo) -> None:
    job = demo.job

    assert demo.warnings == ()
    assert job.service.done == dt.date(2026, 10, 16)
    assert job.service.technician == Person("Ines Corvin", "line technician")
    assert job.service.next_service == NextService(dt.date(2028, 10, 16), 100)
    assert job.workshop.address == ("Old Pump House", "Quarry Hill", "Netherby")
    assert job.wing.trim_speed_km_h == 38
    assert job.pilot is not None
    assert job.pilot.all_up_weight_kg == 92
    assert job.offset_method is OffsetMethod.MEAN
    assert job.before is not None
    assert job.before.lengths_mm[Side.LEFT, Point("A", 3)] == 7322
    assert job.before.lengths_mm[Side.RIGHT, Point("brake_main", 1)] == 2280
    assert job.before.free_travel_mm == {Side.LEFT: 98, Side.RIGHT: 110}
    assert job.before.risers[Side.LEFT, "A"] == RiserLengths(521, 386)
    assert job.before.risers[Side.LEFT, "B"] == RiserLengths(520, 431)
    assert job.after is not None
    assert job.after.lengths_mm[Side.RIGHT, Point("stabilo", 3)] == 6441
    assert len(job.before.lengths_mm) == len(job.after.lengths_mm) == 96
    assert job.loops.take_up_mm["main maillon"]["lark's foot"] == 21
    assert job.porosity is not None
    assert job.porosity.unit is PorosityUnit.SECONDS
    assert job.porosity.readings[1].value == 81
    assert job.tear is not None
    assert job.tear.limit_mm == 5
    assert job.strength == (StrengthTest("A4 middle line", 900, False, 867, Side.LEFT),)
    assert job.inspection[0] == InspectionItem("leading edge", Condition.GOOD)
    assert job.replacements[1].side is None
    assert job.notes.startswith("The wing is clean")


def test_an_adjustment_of_both_sides_is_one_for_each(demo) -> None:
    assert demo.job.adjustments[:2] == (
        Adjustment("c1", Side.LEFT, "double loop", "single loop"),
        Adjustment("c1", Side.RIGHT, "double loop", "single loop"),
    )
    assert len(demo.job.adjustments) == 12


def test_the_specification_reads_as_it_is_written(demo) -> None:
    specification = demo.job.specification

    assert [group.name for group in specification.rows] == ["A", "B", "C"]
    assert [group.kind for group in specification.groups[3:]] == [
        GroupKind.STABILO,
        GroupKind.BRAKE,
        GroupKind.BRAKE_MAIN,
    ]
    assert specification.specified_mm(Point("C", 12)) == 6816
    assert specification.group("B").chord_m[0] == 0.92
    assert specification.includes_risers is True
    assert specification.trailing_edge_m == 2.38
    assert specification.brake_free_travel_mm == 70
    assert specification.risers["B"] == RiserLengths(520, 430)


def test_the_cascade_becomes_lines_with_their_parents(demo) -> None:
    lines = {line.name: line for line in demo.job.specification.cascade}

    assert lines["a1"] == CascadeLine("a1", tuple(Point("A", n) for n in (1, 2, 3, 4)))
    assert lines["am2"] == CascadeLine("am2", (Point("A", 3), Point("A", 4)), "a1")
    assert lines["s1"].points == tuple(Point("stabilo", n) for n in (1, 2, 3))


def test_the_main_brake_line_carries_the_whole_fan_without_being_written(bench) -> None:
    lines = {line.name: line for line in bench.read().job.specification.cascade}
    fan = (Point("brake", 1), Point("brake", 2))

    assert lines["brake_main"] == CascadeLine("brake_main", fan)
    assert lines["kl1"] == CascadeLine("kl1", fan, "brake_main")


def test_files_are_kept_byte_for_byte_in_the_order_named(demo) -> None:
    assert [(file.name, file.media_type) for file in demo.files] == [
        ("demo.yaml", "application/yaml"),
        ("shop.yaml", "application/yaml"),
        ("quarry-hill.svg", "image/svg+xml"),
        ("ines-corvin.svg", "image/svg+xml"),
        ("medlar-m.yaml", "application/yaml"),
        ("demo-before.csv", "text/csv"),
    ]
    for file in demo.files:
        assert file.data == (ROOT / "examples" / file.name).read_bytes()


def test_marks_count_points_from_one_and_follow_values_into_their_files(demo) -> None:
    marks = demo.marks

    assert str(marks["before", "left", "A", 3]) == "examples/demo-before.csv:4:10"
    assert marks["after", "left", "A", 3].source[20:].startswith("7322")
    assert str(marks["after", "left", "brake_main", 1]) == "examples/demo.yaml:66:17"
    assert str(marks["specification", "rows", "A", "lengths_mm", 1]).startswith(
        "examples/medlar-m.yaml:"
    )
    assert marks["workshop", "name"].file == "examples/shop.yaml"
    assert marks["pilot", "name"].source.strip() == "name: Robin Hale"


def test_every_length_has_a_mark_that_shows_it(demo) -> None:
    for when in ("before", "after"):
        for (side, point), length in getattr(demo.job, when).lengths_mm.items():
            mark = demo.marks[when, side.value, point.group, point.number]
            assert isinstance(mark, Mark)
            shown = mark.source[mark.column - 1 : mark.column - 1 + mark.width]
            assert float(shown) == length


def test_the_json_form_of_a_job_is_the_same_job(bench) -> None:
    yaml_job = bench.read().job
    data = load(bench.texts["job.yaml"].encode(), "job.yaml").data
    data["$schema"] = "../schemas/job.schema.json"  # how editors find it
    bench.texts["job.json"] = json.dumps(data, indent=1)
    reading = bench.read("job.json")

    assert reading.job == yaml_job
    assert reading.files[0].media_type == "application/json"
    assert reading.marks["pilot", "name"].file == "job.json"


def test_workshop_and_specification_may_stand_in_the_job_itself(bench) -> None:
    job = bench.read().job
    data = load(bench.texts["job.yaml"].encode(), "job.yaml").data
    for key, file in (("workshop", "shop.yaml"), ("specification", "sorrel-s.yaml")):
        data[key] = load(bench.texts.pop(file).encode(), file).data
        del data[key]["trimscribe"]
        (bench.folder / file).unlink()
    bench.texts["job.json"] = json.dumps(data)
    reading = bench.read("job.json")

    assert reading.job == job
    assert [file.name for file in reading.files] == ["job.json", "before.csv"]
    assert reading.marks["specification", "rows", "B", "lengths_mm", 3].file == "job.json"


def test_a_point_left_open_is_not_measured_and_warned_of(bench) -> None:
    reading = bench.read()

    assert (Side.RIGHT, Point("A", 2)) not in reading.job.after.lengths_mm
    assert (Side.RIGHT, Point("A", 2)) not in reading.job.before.lengths_mm
    assert [(f.code, f.message) for f in reading.warnings] == [
        ("point-not-measured", "A2 not measured on the right side."),
        ("point-not-measured", "A2 not measured on the right side."),
    ]
    assert [f.mark.file for f in reading.warnings if f.mark] == ["job.yaml", "before.csv"]


def test_a_gap_in_the_job_is_filled_by_the_file(bench) -> None:
    bench.spoil("job.yaml", "  file: before.csv", "  file: before.csv\n  left: {A: [6998, ~, ~]}")
    bench.spoil("before.csv", "left,A,1,6998\n", "")
    lengths = bench.read().job.before.lengths_mm

    assert [lengths[Side.LEFT, Point("A", n)] for n in (1, 2, 3)] == [6998, 6899, 6798]


def test_an_inspection_without_retrim_has_no_lengths_after(bench) -> None:
    text = bench.texts["job.yaml"]
    bench.texts["job.yaml"] = text[: text.index("after:")] + text[text.index("loops:") :]

    assert bench.read().job.after is None


def test_a_job_may_have_no_measurements_at_all(bench) -> None:
    text = bench.texts["job.yaml"]
    bench.texts["job.yaml"] = text[: text.index("specification:")] + text[text.index("cloth:") :]
    reading = bench.read()

    assert (reading.job.before, reading.job.specification) == (None, None)
    assert reading.warnings == ()


@pytest.mark.parametrize(
    ("written", "method", "row"),
    [
        ("median", OffsetMethod.MEDIAN, ""),
        ("none", OffsetMethod.NONE, ""),
        ("{row: B}", OffsetMethod.ROW, "B"),
    ],
)
def test_the_way_of_the_common_offset(bench, written: str, method: OffsetMethod, row: str) -> None:
    bench.spoil("job.yaml", "trimscribe: 1", f"trimscribe: 1\ncommon_offset: {written}")
    job = bench.read().job

    assert (job.offset_method, job.offset_row) == (method, row)


def test_one_position_holds_for_every_point_of_a_row(bench) -> None:
    specification = bench.read().job.specification

    assert specification.group("A").chord_m == (0.2, 0.2, 0.2)
    assert specification.group("B").chord_m == (0.9, 0.8, 0.7)


@pytest.mark.parametrize("rows", [2, 3, 4, 5])
def test_two_to_five_rows_with_any_names(bench, rows: int) -> None:
    names = ["front", "Ä", "C'", "rear main", "Z"][:rows]
    lines = "\n".join(
        f"  {json.dumps(name)}: {{lengths_mm: [7000, 6900], chord_m: {n / 2}}}"
        for n, name in enumerate(names)
    )
    measured = ", ".join(f"{json.dumps(name)}: [7001, 6899]" for name in names)
    head = "trimscribe: 1\nmaker: Pomeroy Wings\nmodel: Sorrel\nsize: S\nsource: manual\n"
    bench.texts["sorrel-s.yaml"] = f"{head}rows:\n{lines}\ntolerances: {{default_mm: 10}}\n"
    text = bench.texts["job.yaml"]
    bench.texts["job.yaml"] = (
        text[: text.index("before:")]
        + f"before: {{tension_n: 50, left: {{{measured}}}, right: {{{measured}}}}}\n"
    )
    job = bench.read().job

    assert [row.name for row in job.specification.rows] == names
    assert len(job.before.lengths_mm) == rows * 4


def test_thresholds_of_the_job_override_those_of_the_workshop(bench) -> None:
    bench.texts["shop.yaml"] += "thresholds: {pitch_deg: 0.7, band_deg: 2}\n"
    bench.texts["job.yaml"] += "thresholds: {pitch_deg: 0.4}\n"

    assert bench.read().job.thresholds == {"pitch_deg": 0.4, "band_deg": 2}


MANUAL = Tolerances(10, {"A": 8, "brake": 25, "brake_main": 25}, None, None, "Sorrel manual")


@pytest.mark.parametrize(
    ("job", "shop", "expected"),
    [
        ("", "", MANUAL),
        (
            "tolerances: {rows: {A: 6}, riser_mm: 5, source: order}\n",
            "",
            Tolerances(
                10, {"A": 6, "brake": 25, "brake_main": 25}, 5, None, "order; Sorrel manual"
            ),
        ),
        (
            "tolerances: {default_mm: 12}\n",
            "tolerances: {default_mm: 15, left_right_mm: 7, source: bench rules}\n",
            Tolerances(
                12,
                {"A": 8, "brake": 25, "brake_main": 25},
                None,
                7,
                "the job; Sorrel manual; bench rules",
            ),
        ),
    ],
)
def test_tolerances_override_value_by_value_and_name_their_sources(
    bench, job: str, shop: str, expected: Tolerances
) -> None:
    bench.texts["job.yaml"] += job
    bench.texts["shop.yaml"] += shop

    assert bench.read().job.tolerances == expected


@pytest.mark.parametrize("file", ["job.yaml", "shop.yaml"])
def test_loads_are_compared_by_the_threshold_that_the_analysis_uses(bench, file: str) -> None:
    bench.spoil("job.yaml", "tension_n: 50\n  file", "tension_n: 60\n  file")
    assert "tension-differs" in [f.code for f in bench.read().warnings]

    bench.texts[file] += "thresholds: {load_ratio: 0.3}\n"
    assert "tension-differs" not in [f.code for f in bench.read().warnings]


def test_without_any_line_tolerance_common_practice_is_used_and_said(bench) -> None:
    """±10 mm: common practice, no source."""
    bench.spoil("sorrel-s.yaml", "default_mm: 10, rows: {A: 8}, brake_mm: 25, ", "riser_mm: 5, ")
    reading = bench.read()

    assert reading.job.tolerances == Tolerances(
        10, {}, 5, None, "Sorrel manual; common practice, no source"
    )
    assert [f.code for f in reading.warnings if f.code != "point-not-measured"] == [
        "default-tolerance"
    ]


@pytest.mark.parametrize(
    ("stated", "without"), [("rows: {A: 8}", "B lines"), ("brake_mm: 25", "the lines")]
)
def test_common_practice_holds_for_lines_that_a_partial_tolerance_leaves_out(
    bench, stated: str, without: str
) -> None:
    bench.spoil("sorrel-s.yaml", "default_mm: 10, rows: {A: 8}, brake_mm: 25, ", f"{stated}, ")
    reading = bench.read()

    assert reading.job.tolerances.default_mm == 10
    (warning,) = [f for f in reading.warnings if f.code == "default-tolerance"]
    assert f"Nobody gives a tolerance for {without}; ±10 mm is used" in warning.message


def test_a_file_in_a_folder_above_may_be_named(bench) -> None:
    (bench.folder / "jobs").mkdir()
    text = bench.texts.pop("job.yaml")
    for name in ("shop.yaml", "sorrel-s.yaml", "before.csv"):
        text = text.replace(f": {name}", f": ../{name}")
    bench.texts["jobs/job.yaml"] = text
    reading = bench.read("jobs/job.yaml")

    assert [file.name for file in reading.files][1] == "../shop.yaml"
    assert reading.marks["workshop", "name"].file == "jobs/../shop.yaml"


def test_one_file_named_twice_is_kept_once(bench) -> None:
    text = bench.texts["job.yaml"]
    left, right = text.index("  left: {A: [7001"), text.index("loops:")
    bench.texts["job.yaml"] = text[:left] + "  file: before.csv\n" + text[right:]

    assert [file.name for file in bench.read().files].count("before.csv") == 1


def test_files_with_a_byte_order_mark_are_read_and_kept_as_they_are(bench) -> None:
    plain = bench.read()
    bench.texts = {name: "\ufeff" + text for name, text in bench.texts.items()}

    reading = bench.read()

    assert (reading.job, reading.marks, reading.warnings) == (
        plain.job,
        plain.marks,
        plain.warnings,
    )
    assert len(reading.files) == 4
    for file in reading.files:
        assert file.data == (bench.folder / file.name).read_bytes()
        assert file.data.startswith(b"\xef\xbb\xbf")


def gaps(bench) -> list[tuple[str, str]]:
    return [(f.message, str(f.mark)) for f in bench.faults() if f.code == "point-not-measured"]


@pytest.mark.parametrize(
    ("line", "new", "message", "mark"),
    [
        ("left,A,2,6899", "left,A,2,", "A2 not measured on the left side.", "before.csv:3:10"),
        ("left,B,3,6890\n", "", "B3 not measured on the left side.", "before.csv:6:10"),
        ("left,A,1,6998\n", "", "A1 not measured on the left side.", "before.csv:2:10"),
    ],
    ids=["empty", "no line", "no first line"],
)
def test_a_gap_in_a_table_is_reported_where_it_is(bench, line, new, message, mark) -> None:
    found = gaps(bench.spoil("before.csv", line, new))

    assert [at for said, at in found if said == message] == [mark]


def test_a_faulty_cell_of_a_table_is_reported_once(bench) -> None:
    bench.spoil("before.csv", "left,A,2,6899", "left,A,2,68x9")

    assert [f.code for f in bench.faults() if f.mark and f.mark.line == 3] == [
        "length-not-a-number"
    ]
    assert not [message for message, _ in gaps(bench) if "A2 not measured on the left" in message]


def test_lines_of_a_table_for_rows_that_the_wing_lacks_may_be_empty(bench) -> None:
    bench.spoil("before.csv", "right,A,2,\n", "right,A,2,\nright,C,1,\nright,B,4,\n")

    assert not {"unknown-row", "point-not-in-specification"} & {f.code for f in bench.faults()}


def test_one_number_for_both_brakes_is_reported_with_what_to_write(bench) -> None:
    bench.spoil("job.yaml", "  date: 2026-03-05\n", "  date: 2026-03-05\n  free_travel_mm: 70\n")

    (fault,) = [f for f in bench.faults() if f.code == "not-a-mapping"]
    assert "{left: 70, right: 65}" in fault.message
