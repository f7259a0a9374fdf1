"""What must hold for any job: mirrored sides, common offsets, loads, order, prose."""

import re
from dataclasses import replace
from types import SimpleNamespace

from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from trials import trials

from trimscribe.model.job import Job, Measurement, Pilot
from trimscribe.model.statements import Place, Statements

PAGE_ONE = (Place.HEADLINE, Place.FOUND, Place.DONE, Place.AIR, Place.BEFORE_FLYING)
HANDLING = ("air_launch", "air_faster", "air_slower", "air_brakes", "air_sharper", "air_softer")
# No round numbers: at a limit met exactly, the order of a sum would decide.
deviations = st.fixed_dictionaries(
    {row: st.integers(-25, 25).map(lambda n: n * 1.0371) for row in ("A", "B", "C", "brake")}
)


def texts(statements: Statements, *places: Place) -> list[str]:
    return [s.text for s in statements.sentences if not places or s.place in places]


def exchanged(text: str) -> str:
    swap = {"left": "right", "right": "left", "Left": "Right", "Right": "Left"}
    return re.sub(r"\b(left|right|Left|Right)\b", lambda m: swap[m[1]], text)


def words(text: str) -> list[str]:
    return sorted(re.findall(r"\w+", text.lower()))


def same_but_for_order(one: str, other: str) -> bool:
    """Two sentences that list the same things; a mirrored list may be sorted otherwise."""
    return words(one) == words(other)


@settings(max_examples=trials(40))
@given(left=deviations, right=deviations)
@example(  # no angle at all, but for what arithmetic leaves over
    left={"A": -2.0742, "B": -12.4452, "C": 7.2597, "brake": 0.0},
    right={"A": 17 * 1.0371, "B": -3.1113, "C": 8.2968, "brake": 0.0},
)
def test_a_mirrored_wing_is_reported_mirrored(
    left: dict[str, float], right: dict[str, float], bench: SimpleNamespace
) -> None:
    job = bench.job(bench.measured(left=left, right=right), bench.measured(), adjustments=())
    plain, turned = bench.narrated(job), bench.narrated(bench.mirrored(job))
    assert [s.rule for s in plain.sentences] == [s.rule for s in turned.sentences]
    for one, other in zip(texts(plain), texts(turned), strict=True):
        assert same_but_for_order(exchanged(one), other), (one, other)


def test_a_mirrored_example_is_reported_mirrored(bench: SimpleNamespace) -> None:
    job = bench.example("outside")
    plain, turned = bench.narrated(job), bench.narrated(bench.mirrored(job))
    for one, other in zip(texts(plain, *PAGE_ONE), texts(turned, *PAGE_ONE), strict=True):
        if "“" not in one and "(" not in one:  # the pilot's and the workshop's own words
            assert same_but_for_order(exchanged(one), other)
    assert "pulled to the left" in " ".join(texts(turned, Place.FOUND))


@settings(max_examples=trials(40))
@given(before=deviations, after=deviations)
def test_shrinkage_that_all_lines_share_changes_nothing_in_the_air(
    before: dict[str, float], after: dict[str, float], bench: SimpleNamespace
) -> None:
    assume(before != after)  # those would be copied, and doubted
    job = bench.job(bench.measured(before), bench.measured(after), adjustments=bench.adjusted(9))
    shorter = replace(job, after=_shifted(job.after, -20.0))
    assert texts(bench.narrated(job), Place.AIR) == texts(bench.narrated(shorter), Place.AIR)


def _shifted(m: Measurement, mm: float) -> Measurement:
    return replace(m, lengths_mm={key: length + mm for key, length in m.lengths_mm.items()})


@settings(max_examples=trials(40))
@given(before=deviations, after=deviations)
def test_no_handling_is_reported_when_the_load_differs(
    before: dict[str, float], after: dict[str, float], bench: SimpleNamespace
) -> None:
    job = bench.job(
        bench.measured(before, tension_n=100.0),
        bench.measured(after, tension_n=100.0),
        adjustments=bench.adjusted(9),
    )
    statements = bench.narrated(job)
    rules = [s.rule for s in statements.sentences]
    assert not [rule for rule in rules if rule.startswith(HANDLING)]
    page_one = " ".join(texts(statements, *PAGE_ONE))
    unsure = "We cannot say whether its lines are now within limits."
    assert unsure in page_one
    assert "within limits" not in page_one.replace(unsure, "")


@settings(max_examples=trials(30))
@given(row=st.sampled_from("ABC"), point=st.integers(0, 5), mm=st.sampled_from([-12.0, 12.0]))
def test_a_single_line_makes_no_statement_about_handling(
    row: str, point: int, mm: float, bench: SimpleNamespace
) -> None:
    one_line = [0.0] * 6
    one_line[point] = mm
    work = bench.adjusted(1, "B3")
    job = bench.job(bench.measured(left={row: one_line}), bench.measured(), adjustments=work)
    assert texts(bench.narrated(job), Place.AIR) == ["You will probably not notice a change."]


def test_no_change_is_never_reported_while_the_tips_were_not_assessed(
    bench: SimpleNamespace,
) -> None:
    no_tips = {row: [0.0, 0.0, 0.0, 0.0, None, None] for row in ("A", "B", "C")}
    work = bench.adjusted(1, "B3")
    reported = bench.narrated(
        bench.job(bench.measured(no_tips), bench.measured(no_tips), adjustments=work)
    )
    assert texts(reported, Place.AIR) == ["Launch and speed will probably feel as before."]


def test_the_same_job_is_reported_in_the_same_words(bench: SimpleNamespace) -> None:
    assert bench.narrated(bench.example("demo")) == bench.narrated(bench.example("demo"))


def test_prose_of_the_job_is_said_in_quotes_or_brackets_and_nowhere_else(
    example_job: Job, bench: SimpleNamespace
) -> None:
    marked = replace(
        example_job,
        notes="Zebra notes.",
        pilot=Pilot("Zebra Pilot", reported="Zebra report."),
        inspection=tuple(replace(item, remark="Zebra") for item in example_job.inspection),
        adjustments=tuple(replace(a, remark="Zebra") for a in example_job.adjustments),
        replacements=tuple(replace(r, reason="Zebra") for r in example_job.replacements),
    )
    statements = bench.narrated(marked)
    everything = [s.text for s in (*statements.sentences, *statements.cautions)]
    own = [re.sub(r"“[^”]*”|\([^()]*\)", "", text) for text in everything]
    assert not [text for text in own if "Zebra" in text]


def test_text_of_the_job_is_never_read_as_a_template(bench: SimpleNamespace) -> None:
    reported = " ".join(texts(bench.narrated(bench.example("long-words"))))
    assert "({{ part }})" in reported
