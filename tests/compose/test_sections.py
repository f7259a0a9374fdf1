"""What sections say where a job says little."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from trimscribe.compose.sections import changes, checks, letter, lines, record
from trimscribe.compose.sections.record import line_table
from trimscribe.compose.sections.record_facts import method_facts
from trimscribe.contracts import View
from trimscribe.model.decision import Acceptance, DecisionRule
from trimscribe.model.findings import Verdict
from trimscribe.model.job import Measurement, OffsetMethod
from trimscribe.model.statements import Weight

GUARDED = DecisionRule(Acceptance.GUARDED, 2.0)


def test_a_measurement_that_nobody_described_is_no_empty_line(see: Callable[[str], View]) -> None:
    view = see("demo")
    silent = Measurement(lengths_mm=view.job.before.lengths_mm)

    facts = dict(map(tuple, method_facts(replace(view, job=replace(view.job, before=silent)))))

    assert facts["Measured before"] == "Nothing was recorded."


def test_a_ring_is_explained_where_a_line_has_one(see: Callable[[str], View]) -> None:
    outside, none = (line_table(see(name)) for name in ("outside", "planned"))
    ringed = [
        any("○" in cell for g in t["groups"] for r in g for cell in r) for t in (outside, none)
    ]

    assert ringed == ["A ring marks" in table["explained"] for table in (outside, none)]
    assert ringed == [True, False]


def test_an_asterisk_marks_the_lines_that_are_close_and_is_explained_with_them(
    see: Callable[[str], View],
) -> None:
    view = see("planned")
    before = view.findings.before
    near = replace(before.lines[0], verdict=Verdict.CONDITIONAL_PASS)
    close = replace(before, lines=(near, *before.lines[1:]))
    tables = [
        line_table(view),
        line_table(replace(view, findings=replace(view.findings, before=close))),
    ]
    marked = [
        [cell for g in t["groups"] for r in g for cell in r if cell.startswith("* ")]
        for t in tables
    ]

    assert [len(cells) for cells in marked] == [0, 1]
    assert ["An asterisk marks" in t["explained"] for t in tables] == [False, True]


@pytest.mark.parametrize(
    ("mm", "rule", "text", "why"),
    [
        (9.7, DecisionRule(), "+9.7", "a value at its limit or on the wrong side"),
        (9.4, DecisionRule(), "+9", ""),
        (3.86, GUARDED, "+3.86", "or of where it becomes too close to be sure"),
        (3.4, GUARDED, "+3", ""),
    ],
)
def test_decimals_among_whole_numbers_are_explained_where_there_are_any(
    see: Callable[[str], View], mm: float, rule: DecisionRule, text: str, why: str
) -> None:
    view = see("planned")
    before = view.findings.before
    even = [replace(x, relative_mm=0.0, tolerance_mm=10.0, u_mm=3.068) for x in before.lines]
    job = replace(view.job, decision_rule=rule)

    def shown(first_mm: float) -> tuple[str, str]:
        lines = (replace(even[0], relative_mm=first_mm), *even[1:])
        one = replace(view.findings, before=replace(before, lines=lines), after=None)
        table = line_table(replace(view, job=job, findings=one))
        return table["groups"][0][0][3], table["explained"]

    assert shown(mm)[0] == text
    assert ("Decimals are printed" in shown(mm)[1]) is bool(why)
    assert why in shown(mm)[1]
    assert "Decimals" not in shown(0.0)[1]


@pytest.mark.parametrize(
    ("differs", "columns"),
    [
        ((), None),
        (("found",), "Deviation before"),
        (("now",), "Deviation now"),
        (("found", "now"), "Deviation before, Deviation now"),
    ],
)
def test_deviations_at_another_tension_are_said_to_have_no_verdict(
    see: Callable[[str], View], differs: tuple[str, ...], columns: str | None
) -> None:
    view = see("demo")
    facts = {**view.assessment.facts, **{f"{state}_load_differs": True for state in differs}}
    table = line_table(replace(view, assessment=replace(view.assessment, facts=facts)))

    _, said, named = table["explained"].partition(
        "tension than the maker's, and so without a verdict"
    )
    assert bool(said) is (columns is not None)
    assert named == (f": {columns}." if columns else "")


def test_the_tables_of_brakes_and_risers_explain_their_decimals_too(
    see: Callable[[str], View],
) -> None:
    view = see("demo")

    def explained(title: str, mm: float) -> bool:
        before = view.findings.before
        brakes = {
            side: replace(brake, relative_mm=mm, furthest_mm=mm, tolerance_mm=25.0)
            for side, brake in before.brakes.items()
        }
        risers = tuple(replace(r, trim_mm=mm / 5.0, tolerance_mm=5.0) for r in before.risers)
        before = replace(before, brakes=brakes, risers=risers)
        found = replace(view.findings, before=before, after=None)
        parts = checks.section.view(replace(view, findings=found)).values["parts"]
        (part,) = [p for p in parts if p["title"] == title]
        return any("Decimals are printed" in text for text in part["sentences"])

    assert [explained("Brakes", mm) for mm in (24.0, 24.8)] == [False, True]
    assert [explained("Risers", mm) for mm in (20.0, 24.8)] == [False, True]


def test_risers_are_of_the_measuring_that_they_were_read_in(see: Callable[[str], View]) -> None:
    def of_one(view: View) -> list[str]:
        (risers,) = [p for p in checks.section.view(view).values["parts"] if p["title"] == "Risers"]
        names = [row["cells"][0] for row in risers["rows"]]
        return [name for name in names if name.startswith("A, left")]

    demo, once = see("demo"), see("planned")
    once = replace(once, findings=replace(once.findings, before=demo.findings.before))
    again = replace(demo.findings.after, risers=demo.findings.before.risers)

    both = replace(demo, findings=replace(demo.findings, after=again))

    assert of_one(demo) == ["A, left, before"]
    assert of_one(both) == ["A, left, before", "A, left, now"]
    assert of_one(once) == ["A, left"]


@pytest.mark.parametrize("job", ["inspection", "cloth-only", "missing-data", "four-row"])
def test_what_was_not_assessed_is_one_list_in_the_letter_and_behind(
    see: Callable[[str], View], job: str
) -> None:
    view = see(job)
    (letter,) = [
        s.text.partition(": ")[2]
        for s in view.statements.sentences
        if s.rule == "before_not_assessed"
    ] or [""]
    behind = checks.section.view(view).values["not_assessed"].partition(": ")[2]

    words = {"visual inspection": "Inspection"}
    named = letter.rstrip(".").replace(" and ", ", ").split(", ")
    assert [words.get(name, name.capitalize()) for name in named] == behind.split(" · ")


def test_found_is_reported_in_short_paragraphs_that_lose_no_sentence(
    see: Callable[[str], View],
) -> None:
    view = see("outside")
    found, done, *_ = letter.section.view(view).values["paragraphs"]

    assert " ".join(found["parts"]) == found["text"]
    assert [part.split()[0] for part in found["parts"]] == ["You", "In", "14", "Compared", "Worn,"]
    assert [part.split()[0] for part in done["parts"]] == ["We", "Measured"]


def test_each_mark_beside_a_verdict_has_a_word(see: Callable[[str], View]) -> None:
    for job in ("demo", "outside", "cloth-only"):
        values = letter.section.view(see(job)).values
        key = {item["shape"]: item["label"] for item in values["verdict_key"]}
        marks = {values["decision"]["shape"], *(v["shape"] for v in values["verdicts"])}
        if any(c.weight is Weight.WARNING for c in see(job).statements.cautions):
            marks.add("triangle")
        assert set(key) == marks
        assert len(set(key.values())) == len(key)


def test_the_table_of_changes_says_from_where_on_a_change_counts_as_shown(
    see: Callable[[str], View],
) -> None:
    """The letter's count, solid arrows and the note below the table are of one threshold."""
    view = see("demo")
    (least,) = {entry.least_mm for entry in view.findings.ledger}
    values = changes.section.view(view).values

    assert f"A measured change of up to {least:.1f} mm may be chance." in values["note"]
    for entry in view.findings.ledger:
        assert bool(entry.shown) is (abs(entry.measured_mm) > least)


def test_the_table_of_changes_says_what_counts_where_lines_did_not_move_together(
    see: Callable[[str], View],
) -> None:
    view = see("outside")
    first, *others = view.findings.ledger
    apart = (replace(first, apart=True), *others)
    torn = replace(view, findings=replace(view.findings, ledger=apart))
    said = "there “Measured” is the middle one of their changes."

    assert said in changes.section.view(torn).values["note"]
    assert said not in changes.section.view(view).values["note"]


@pytest.mark.parametrize(
    ("before", "now", "said"),
    [
        (-11.5, -6.3, "the common offset, −11.5 mm before and −6.3 mm now; above it"),
        (-6.32, -6.3, "out the common offset of −6.3 mm; above it"),
    ],
    ids=["two offsets", "one offset"],
)
def test_the_charts_name_each_offset_that_was_taken_out(
    see: Callable[[str], View], before: float, now: float, said: str
) -> None:
    view = see("demo")
    states = {
        when: replace(state, offset=replace(state.offset, value_mm=mm))
        for when, mm in (("before", before), ("after", now))
        if (state := getattr(view.findings, when)) and state.offset
    }

    shown = lines.section.view(replace(view, findings=replace(view.findings, **states)))

    assert shown is not None
    assert said in shown.values["explained"].replace("\xa0", " ")
    assert shown.values["title"] == "Each line, before and now"


def test_what_one_row_sets_is_not_called_what_all_lines_share(see: Callable[[str], View]) -> None:
    view = see("demo")
    states = {
        when: replace(state, offset=replace(state.offset, method=OffsetMethod.ROW, row="A"))
        for when in ("before", "after")
        if (state := getattr(view.findings, when)) and state.offset
    }
    view = replace(view, findings=replace(view.findings, **states))

    shown, record = lines.section.view(view), line_table(view)
    reported = str(shown and shown.values["explained"]).replace("\xa0", " ")
    assert (
        "taking out the mean of the A lines, −11.5 mm before and −7.9 mm now, from all lines"
        in reported
    )
    assert "the mean of the A lines out of all lines" in str(record and record["explained"])
    for text in (reported, str(record)):
        assert "share" not in text
        assert "common offset of all" not in text


def test_a_wing_measured_once_was_not_measured_before(see: Callable[[str], View]) -> None:
    once, twice = (dict(map(tuple, method_facts(see(name)))) for name in ("inspection", "demo"))

    assert {"Measured", "Common offset"} <= set(once)
    assert not {"Measured before", "Common offset before"} & set(once)
    assert {"Measured before", "Measured after", "Common offset after"} <= set(twice)


@pytest.mark.parametrize(
    ("job", "measured"),
    [("demo", True), ("four-row", True), ("cloth-only", False), ("sparse", False)],
)
def test_what_sentences_about_flying_rest_on_is_told_where_a_length_was_measured(
    see: Callable[[str], View], job: str, measured: bool
) -> None:
    scope = record.section.view(see(job)).values["scope"]

    assert any("estimates from measured lengths" in text for text in scope) is measured
    assert len(scope) == 2 + measured
