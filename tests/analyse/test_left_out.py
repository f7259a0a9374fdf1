"""A value in doubt is left out of all that others depend on, and what hangs on it says so."""

from dataclasses import replace

import pytest

from trimscribe.model.findings import DoubtKind, Expectation, Verdict, WhyNot
from trimscribe.model.wing import Point, Side

ROWS = {"A": 0.25, "B": 0.90, "C": 1.55}
WORN = {"A": 2.0, "B": -3.0, "C": (-9, -8, -9, -10, -9, -8, -9, -10)}
CELL = Point("A", 4)


@pytest.fixture
def spec(build):
    return build.specification(ROWS, 8)


@pytest.fixture
def sound(build, spec):
    """A worn wing whose lengths were written down right."""
    return build.job(spec, build.measurement(spec, WORN), after=build.measurement(spec, WORN))


def specified_wrong(job, mm=630.0):
    """The job with a digit turned in the specified length of A4."""
    groups = tuple(
        replace(g, lengths_mm=tuple(
            x + mm * (g.name == CELL.group and n == CELL.number)
            for n, x in enumerate(g.lengths_mm, 1)
        ))
        for g in job.specification.groups
    )  # fmt: skip
    return replace(job, specification=replace(job.specification, groups=groups))


def misread(job, when, key=(Side.LEFT, CELL), mm=90.0):
    written = getattr(job, when)
    lengths = {**written.lengths_mm, key: written.lengths_mm[key] + mm}
    return replace(job, **{when: replace(written, lengths_mm=lengths)})


def named(findings):
    """The doubts that leave a line out; the sides and times of a made-up wing are equal."""
    stay = (DoubtKind.SIDES_EQUAL, DoubtKind.TIMES_EQUAL)
    return [doubt.name for doubt in findings.doubts if doubt.kind not in stay]


def unmeasured(job, whens, keys):
    return replace(job, **{when: getattr(job, when).without(frozenset(keys)) for when in whens})


def without_entry(state):
    """What a state says of all other lines and of the wing."""
    rest = [x for x in state.lines if x.point != CELL]
    sizes = [
        state.offset.value_mm,
        state.pitch.wing.value,
        state.pitch.wing.u,
        state.pitch.twist.value,
        state.symmetry.all_lines.value,
        *(effect.value for effect in state.residuals.values()),
        *(x.relative_mm for x in rest if x.relative_mm is not None),
    ]
    return sizes, [x.verdict for x in rest], state.verdict


def test_a_wrong_specified_length_changes_nothing_but_its_own_entry(build, sound):
    """As if nobody had measured that point; one wrong length once put every line outside."""
    wrong = build.findings(specified_wrong(sound))
    keys = [(side, CELL) for side in Side]
    gap = build.findings(unmeasured(sound, ["before", "after"], keys))

    assert named(wrong) == ["specification.A4"]
    for state, expected in ((wrong.before, gap.before), (wrong.after, gap.after)):
        (sizes, *verdicts), (others, *like) = without_entry(state), without_entry(expected)
        assert verdicts == like
        # The wrong length is a scale's as well, which changes a weight by a millionth.
        assert sizes == pytest.approx(others, abs=1e-4)
        assert {x.verdict for x in state.lines if x.doubted} == {Verdict.NOT_ASSESSED}
        assert [(x.side, x.point) for x in state.lines if x.doubted] == keys
        assert [x.deviation_mm for x in state.lines if x.doubted] == pytest.approx([-628.0] * 2)
        assert all(x.relative_mm is None for x in state.lines if x.doubted)


def test_a_wrong_specified_length_is_the_same_both_times_and_changes_no_change(build, sound):
    wrong, right = build.findings(specified_wrong(sound)), build.findings(sound)

    assert wrong.change.pitch == right.change.pitch
    assert wrong.change.lines_mm == pytest.approx(right.change.lines_mm)


@pytest.mark.parametrize("when", ["before", "after"])
def test_a_misread_length_is_left_out_of_its_measuring_and_of_the_change(build, sound, when):
    key = (Side.LEFT, CELL)
    wrong = build.findings(misread(sound, when))
    right = build.findings(sound)
    alone = build.job(sound.specification, sound.before)
    gap = build.findings(unmeasured(alone, ["before"], [key])).before
    other = {"before": "after", "after": "before"}[when]

    assert named(wrong) == [f"{when}.left.A4"]
    assert getattr(wrong, when).pitch == gap.pitch
    assert getattr(wrong, when).offset == gap.offset
    assert getattr(wrong, other) == getattr(right, other)
    assert key not in wrong.change.lines_mm


def test_pairs_of_a_line_in_doubt_are_not_compared(build, spec, sound):
    limited = replace(sound, tolerances=replace(sound.tolerances, left_right_mm=10.0))
    found = build.findings(misread(limited, "before")).before

    (pairs,) = [t for t in found.tolerances if t.group == "left_right"]
    assert (pairs.judged, pairs.outside, pairs.missing) == (23, 0, 1)


def test_what_hangs_on_a_row_in_doubt_names_the_doubt(build, spec):
    """Without its rear row a wing of three has no angle and no common offset."""
    found = build.findings(build.job(spec, build.measurement(spec, {**WORN, "C": 90.0}))).before

    assert found.pitch.wing.expectation is Expectation.NOT_ASSESSED
    assert found.pitch.wing.why_not is WhyNot.IN_DOUBT
    assert found.offset_why is WhyNot.IN_DOUBT
    assert {x.verdict for x in found.lines if x.point.group in ROWS} == {Verdict.NOT_ASSESSED}


def test_what_was_not_known_anyhow_does_not_name_the_doubt(build, spec):
    """One row alone has no angle, with a doubt or without."""
    lengths = {"A": (0, 0, 0, 90, 0, 0, 0, 0)}
    found = build.findings(build.job(spec, build.measurement(spec, left=lengths, right=lengths)))

    assert found.doubts
    assert found.before.pitch.wing.why_not is WhyNot.TOO_FEW_ROWS


@pytest.mark.parametrize("how", ["confirmed", "calculated"])
def test_what_was_confirmed_or_calculated_counts(build, sound, how):
    job = misread(sound, "before")
    sure = (
        replace(job, confirmed={"before.left.A4": "measured three times"})
        if how == "confirmed"
        else replace(job, before=replace(job.before, calculated=True))
    )
    found = build.findings(sure).before

    assert not any(x.doubted for x in found.lines)
    assert found.line(Side.LEFT, CELL).verdict is Verdict.FAIL


@pytest.mark.parametrize("mm", [15.5, 40.0])
def test_a_line_that_is_really_off_is_never_passed(build, sound, mm):
    """The doubt is false then: the line has no verdict, and the rest is as it was."""
    found = build.findings(misread(sound, "before", mm=mm)).before

    line = found.line(Side.LEFT, CELL)
    assert (line.doubted, line.verdict) == (True, Verdict.NOT_ASSESSED)
    assert not any(x.verdict is Verdict.FAIL for x in found.lines)
