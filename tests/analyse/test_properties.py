"""What must hold for every wing."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_up_wings import Wanted, make

from trimscribe.model.findings import Verdict
from trimscribe.model.job import OffsetMethod
from trimscribe.model.plain import to_plain
from trimscribe.model.thresholds import NAMES, Thresholds
from trimscribe.model.wing import BRAKE, GroupKind, LineGroup, Side, Tolerances

POINTS = 5
ROWS = {
    2: {"A": 0.3, "B": 1.4},
    3: {"A": 0.25, "B": 0.9, "C": 1.55},
    4: {"A": 0.2, "B": 0.7, "C": 1.3, "D": 1.8},
    5: {"one": 0.2, "two": 0.6, "three": 1.0, "four": 1.5, "five": 1.9},
}
# The first example also loads numpy: time says nothing about the code here.
MM = st.integers(-40, 40).map(lambda n: n / 2)
ANGLES = ("wing", "effective", "twist")


@st.composite
def wings(draw, gaps=True):
    """Rows and, for either side, deviations in mm with a few lines not measured."""
    rows = ROWS[draw(st.integers(2, 5))]
    mm = st.one_of(*[MM] * 9, st.none()) if gaps else MM
    row = st.lists(mm, min_size=POINTS, max_size=POINTS)
    sides = [{name: draw(row) for name in [*rows, BRAKE]} for _ in Side]
    return rows, *sides


def analysed(build, wing, method=OffsetMethod.MEAN, spec=None, measured=None, **more):
    rows, left, right = wing
    spec = spec or build.specification(rows, POINTS, {BRAKE: POINTS}, trailing_edge_m=2.4)
    # Lengths that look like a slip are left out of the rest: whether they do is tested elsewhere.
    measured = replace(measured or build.measurement(spec, left=left, right=right), calculated=True)
    job = build.job(spec, measured, offset_method=method, **more)
    return build.findings(job).before


def shifted(side, mm):
    return {n: [None if v is None else v + mm for v in row] for n, row in side.items()}


def numbers(state):
    """Every value that a shift of all lines must leave alone."""
    effects = [
        state.pitch.wing,
        state.pitch.effective,
        state.pitch.twist,
        *state.pitch.sides.values(),
        *state.pitch.bands.values(),
        state.symmetry.angle,
        state.symmetry.all_lines,
        *state.symmetry.rows.values(),
        *state.residuals.values(),
        *(b.travel_change for b in state.brakes.values()),
        state.brake_difference,
    ]
    # Brake lines are compared with their table as it is.
    lines = [x.relative_mm for x in state.lines if x.kind is not GroupKind.BRAKE]
    return [*(e.value for e in effects), *(e.u for e in effects), *lines]


def close(first, second):
    assert [v is None for v in first] == [v is None for v in second]
    assert [v for v in first if v is not None] == pytest.approx(
        [v for v in second if v is not None], abs=1e-8
    )


@given(wing=wings(), mm=MM, method=st.sampled_from([OffsetMethod.MEAN, OffsetMethod.MEDIAN]))
def test_an_offset_on_every_line_changes_nothing_but_the_offset(build, wing, mm, method):
    rows, left, right = wing

    plain = analysed(build, wing, method)
    moved = analysed(build, (rows, shifted(left, mm), shifted(right, mm)), method)

    close(numbers(plain), numbers(moved))
    verdicts = (
        [x.verdict for x in state.lines if x.kind is not GroupKind.BRAKE]
        for state in (plain, moved)
    )
    assert next(verdicts) == next(verdicts)
    assert plain.verdict == moved.verdict
    for was, now in zip(plain.lines, moved.lines, strict=True):
        if was.kind is GroupKind.BRAKE and was.relative_mm is not None:
            assert now.relative_mm == pytest.approx(was.relative_mm + mm)
    assert (plain.offset is None) == (moved.offset is None)
    if plain.offset:
        assert moved.offset.value_mm - plain.offset.value_mm == pytest.approx(mm)


@given(wing=wings())
def test_a_mirrored_wing_keeps_its_pitch_and_turns_its_symmetry_round(build, wing):
    rows, left, right = wing

    seen, mirror = analysed(build, wing), analysed(build, (rows, right, left))

    for name in ANGLES:
        a, b = getattr(seen.pitch, name), getattr(mirror.pitch, name)
        close([a.value, a.u], [b.value, b.u])
    for side, other in ((Side.LEFT, Side.RIGHT), (Side.RIGHT, Side.LEFT)):
        close([seen.pitch.sides[side].value], [mirror.pitch.sides[other].value])
        close([seen.brakes[side].travel_change.value], [mirror.brakes[other].travel_change.value])
    turned = [
        (seen.symmetry.angle, mirror.symmetry.angle),
        (seen.symmetry.all_lines, mirror.symmetry.all_lines),
        (seen.brake_difference, mirror.brake_difference),
        *((seen.symmetry.rows[n], mirror.symmetry.rows[n]) for n in rows),
    ]
    for a, b in turned:
        close([a.value], [None if b.value is None else -b.value])


@given(wing=wings(gaps=False), factor=st.sampled_from([0.5, 2.0, 25.4]))
def test_lengths_in_another_unit_give_the_same_verdicts(build, wing, factor):
    """Scaling mm, positions, limits and uncertainties alike changes mm, not angles."""
    rows, left, right = wing
    plain = analysed(build, wing)
    spec = build.specification(rows, POINTS, {BRAKE: POINTS}, trailing_edge_m=2.4)
    scaled = replace(
        spec,
        groups=tuple(
            replace(
                g,
                lengths_mm=tuple(mm * factor for mm in g.lengths_mm),
                chord_m=tuple(x * factor for x in g.chord_m),
            )
            for g in spec.groups
        ),
        trailing_edge_m=2.4 * factor,
        tolerances=Tolerances(10.0 * factor, {BRAKE: 25.0 * factor}),
    )
    measured = build.measurement(spec, left=left, right=right)
    measured = replace(
        measured, lengths_mm={k: mm * factor for k, mm in measured.lengths_mm.items()}
    )
    in_mm = [name for name in NAMES if name.endswith("_mm")]

    limits = {name: getattr(Thresholds(), name) * factor for name in in_mm}

    other = analysed(build, wing, spec=scaled, measured=measured, thresholds=limits)

    for name in ANGLES:
        a, b = getattr(plain.pitch, name), getattr(other.pitch, name)
        close([a.value, a.u, a.probability], [b.value, b.u, b.probability])
    close([x.relative_mm * factor for x in plain.lines], [x.relative_mm for x in other.lines])
    a, b = plain.brakes[Side.LEFT].travel_change, other.brakes[Side.LEFT].travel_change
    close([a.value * factor, a.u * factor], [b.value, b.u])
    assert [x.verdict for x in plain.lines] == [x.verdict for x in other.lines]


@given(wing=wings(), data=st.data())
def test_neither_the_order_of_rows_nor_of_readings_matters(build, wing, data):
    rows, left, right = wing
    spec = build.specification(rows, POINTS, {BRAKE: POINTS}, trailing_edge_m=2.4)
    measured = build.measurement(spec, left=left, right=right)
    groups: list[LineGroup] = data.draw(st.permutations(spec.groups))
    readings = data.draw(st.permutations(list(measured.lengths_mm.items())))

    plain = analysed(build, wing, spec=spec, measured=measured)
    mixed = analysed(
        build,
        wing,
        spec=replace(spec, groups=tuple(groups)),
        measured=replace(measured, lengths_mm=dict(readings)),
    )

    for name in ANGLES:
        a, b = getattr(plain.pitch, name), getattr(mixed.pitch, name)
        close([a.value, a.u], [b.value, b.u])
    for name in plain.residuals:
        close([plain.residuals[name].value], [mixed.residuals[name].value])
    by_key = {(x.side, x.point): x for x in mixed.lines}
    for line in plain.lines:
        same = by_key[line.side, line.point]
        close([line.relative_mm], [same.relative_mm])
        assert line.verdict is same.verdict
    assert plain.verdict is mixed.verdict


@given(wing=wings())
def test_what_is_missing_is_never_shown_as_fine(build, wing):
    state = analysed(build, wing)

    for line in state.lines:
        assert (line.measured_mm is None) == (line.deviation_mm is None)
        if line.relative_mm is None:
            assert line.verdict is Verdict.NOT_ASSESSED
    effects = [
        state.pitch.wing,
        state.pitch.twist,
        *state.pitch.bands.values(),
        state.symmetry.angle,
        *state.residuals.values(),
        *(b.travel_change for b in state.brakes.values()),
    ]
    for effect in effects:
        missing = effect.value is None
        assert missing == (effect.expectation == "not assessed")
        assert missing == bool(effect.why_not)
        assert missing == (effect.probability is None)
        assert missing or 0 <= effect.probability <= 1
    counted = {t.group: t for t in state.tolerances}
    for group, count in counted.items():
        lines = [x for x in state.lines if x.point.group == group]
        assert count.missing == sum(x.measured_mm is None for x in lines)
        assert count.judged + count.missing <= len(lines)


@given(wing=wings(gaps=False), mm=st.floats(1, 30))
def test_shortening_the_rear_more_turns_the_nose_up(build, wing, mm):
    rows, left, right = wing
    rear = list(rows)[-1]
    shorter = [{**side, rear: [v - mm for v in side[rear]]} for side in (left, right)]

    before, after = analysed(build, wing), analysed(build, (rows, *shorter))

    assert after.pitch.wing.value > before.pitch.wing.value
    speeds = [x.speed.central_km_h if x.speed else None for x in (before, after)]
    if None not in speeds:  # beyond the angles that the estimate was checked for there is none
        assert speeds[1] < speeds[0]


def test_no_finding_depends_on_the_order_in_which_a_mapping_was_filled(build):
    for seed in range(10):
        job = make(seed, Wanted(missing=8)).job
        turned = replace(
            job,
            **{
                when: replace(m, lengths_mm=dict(reversed(m.lengths_mm.items())))
                for when, m in (("before", job.before), ("after", job.after))
            },
        )

        assert to_plain(build.findings(turned)) == to_plain(build.findings(job))
