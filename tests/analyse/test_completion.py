"""Estimates with gaps: check values of our own study, and the textbook's equations.

The wing is W of the study. What the study gives to this many digits is compared to those digits.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from wing_w import at_two_mm, every_line, measured, study_job, wing_w

from trimscribe.analyse.measurings import measurings_of
from trimscribe.analyse.offsets import common_offset
from trimscribe.model.findings import Verdict, WhyNot
from trimscribe.model.job import OffsetMethod
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Band, Side

LEVELS = {"A": -2.0, "B": -6.0, "C": -14.0}
ROWS = {2: "AB", 3: "ABC", 4: "ABCD", 5: "ABCDE"}
MAIN_LINE = 3  # points


def where(wing, missing):
    return [key for key in every_line(wing) if missing(*key)]


def before_of(wing, missing=lambda side, point: False, deviation=lambda s, p: LEVELS[p.group]):
    """One measuring of W, each length uncertain by 2 mm."""
    made = at_two_mm(measured(wing, deviation, where(wing, missing)))
    return measurings_of(study_job(wing, made)).before


def offset_of(before, method=OffsetMethod.MEAN, row=""):
    return common_offset(before.lines, method, row, Thresholds())


def flat(side, point):
    return 0.0


GAPS = {
    "nothing": (lambda s, p: False, (-7.3333, 0.5606, 1.2438, 0.1033)),
    "row B": (lambda s, p: p.group == "B", (-8.0000, 0.5762, 2.2837, 0.1119)),
    "the right side": (lambda s, p: s is Side.RIGHT, (-7.3333, 0.5444, 2.1719, 0.1495)),
    "row C": (lambda s, p: p.group == "C", (-5.3104, 0.3049, 3.5278, 0.5201)),
    "row A": (lambda s, p: p.group == "A", (-8.6383, 0.3785, 2.9901, 0.3838)),
    "outer five of C": (lambda s, p: p.group == "C" and p.number > 7,
                        (-6.9721, 0.5424, 1.3427, 0.1039)),
}  # fmt: skip


@pytest.mark.parametrize("name", GAPS)
def test_offset_and_angle_with_gaps_are_those_of_our_own_study(name):
    """Section 0."""
    missing, (offset, angle, u_offset, u_angle) = GAPS[name]
    before = before_of(wing_w(), missing)

    found, pitch = offset_of(before).offset, before.pitch.angle()

    assert (found.value_mm, found.u_mm) == pytest.approx((offset, u_offset), abs=5.1e-5)
    assert (pitch.deg, pitch.u_deg) == pytest.approx((angle, u_angle), abs=5.1e-5)


@pytest.mark.parametrize(("neighbours_mm", "filled"), [(0.0, -2.0385), (9.0, 4.7617)])
def test_a_line_is_filled_in_from_its_main_line_as_in_our_own_study(neighbours_mm, filled):
    """Section 0: left A1 was not measured; its two neighbours hang on the same main line."""
    wing = wing_w()

    def deviation(side, point):
        near = side is Side.LEFT and str(point) in ("A2", "A3")
        return LEVELS[point.group] + neighbours_mm * near

    before = before_of(wing, lambda s, p: (s, str(p)) == (Side.LEFT, "A1"), deviation)
    only = np.zeros(len(every_line(wing)))
    only[0] = 1.0

    assert before.lines.estimate(only).value == pytest.approx(filled, abs=5.1e-5)


@pytest.mark.parametrize("rows", [2, 3, 4, 5])
@pytest.mark.parametrize("share", [0.1, 0.4, 0.7])
def test_a_plane_comes_back_whichever_lines_are_missing(rows, share):
    """Section 0; the positions over the chord are those of each point."""
    wing, rng = wing_w(rows), np.random.default_rng(rows)
    chord = {(row.name, n): x for row in wing.rows for n, x in enumerate(row.chord_m, 1)}
    gone = {key for key in every_line(wing) if rng.random() < share}

    before = before_of(wing, lambda s, p: (s, p) in gone,
                       lambda s, p: 5.0 - 9.0 * chord[p.group, p.number])  # fmt: skip

    mean = 5.0 - 9.0 * np.mean([*chord.values()])
    assert offset_of(before).offset.value_mm == pytest.approx(mean, abs=1e-8)
    assert before.pitch.angle().slope == pytest.approx(-9.0, abs=1e-8)


def kriged(table, structure, errors, target):
    """Universal kriging as textbooks write it: one system with a multiplier for each trend term.

    Weights w and multipliers m solve [S X; X' 0] [w; m] = [C t; X' t], and the variance of the
    error is w' S w - 2 w' C t + t' C t, as `krige_uk` of the R package SpatialTools 0.4.1 has it
    (CRAN, src/krige.cpp: V is S, Vop is C t, Vp is t' C t); textbook: Cressie 1993, section 3.4.
    """
    known = table.measured
    trend = np.column_stack([np.ones(len(known)), table.chord_m])
    with_target, total = structure @ target, structure + errors
    zero = np.zeros((2, 2))
    system = np.block([[total[np.ix_(known, known)], trend[known]], [trend[known].T, zero]])
    right = np.concatenate([_shared(structure, errors, known, target), trend.T @ target])
    weights = np.linalg.solve(system, right)[: known.sum()]
    u2 = (
        weights @ total[np.ix_(known, known)] @ weights
        - 2.0 * weights @ with_target[known]
        + target @ structure @ target
    )
    return float(weights @ table.deviation_mm[known]), math.sqrt(u2)


def _shared(structure, errors, known, target):
    """What is wanted is the reading where there is one: its own error is part of it."""
    total = structure + errors
    return total[np.ix_(known, np.ones_like(known))] @ target


@pytest.mark.parametrize("seed", range(6))
def test_estimates_are_those_of_the_textbooks_one_system(seed):
    rng = np.random.default_rng(seed)
    wing = wing_w(2 + seed % 4)
    gone = {key for key in every_line(wing) if rng.random() < 0.3}
    noise = {key: float(rng.normal(0.0, 6.0)) for key in every_line(wing)}
    before = before_of(wing, lambda s, p: (s, p) in gone, lambda s, p: noise[s, p])
    estimator, table = before.lines, before.table
    target = rng.normal(0.0, 1.0, len(table.row))

    found = estimator.estimate(target)

    true = estimator.structure.effects(table).columns()
    own, shared = estimator.errors.effects[0], estimator.errors.effects[1].columns()
    structure = true @ true.T + estimator.structure.line**2 * np.eye(len(own))
    value, u = kriged(table, structure, np.diag(own) + shared @ shared.T, target)
    assert (found.value, found.u) == pytest.approx((value, u), rel=1e-8)


def test_nothing_missing_is_the_plain_sum_and_its_measuring_error():
    """Section 0: A = V, u² = V M V'."""
    wing = wing_w()
    before = before_of(wing)
    rng = np.random.default_rng(1)
    target = rng.normal(0.0, 1.0, len(before.table.row))

    found = before.lines.estimate(target)

    covariance = 4.0 * np.eye(len(target))
    covariance += 1.5**2 * (before.table.row[:, None] == before.table.row)
    covariance += 0.12**2 * np.outer(before.table.length_m, before.table.length_m)
    assert found.value == pytest.approx(float(target @ before.table.deviation_mm))
    assert found.u == pytest.approx(math.sqrt(target @ covariance @ target))


@pytest.mark.parametrize("chord", [(0.9, 0.9), (0.9, 0.905)])
def test_rows_at_one_chord_position_do_not_tell_a_plane(build, chord):
    """Section 0: mean positions must differ by 10 mm."""
    spec = build.specification(dict(zip("AB", chord, strict=True)))
    made = build.measurement(spec, {"A": [None, 0, 0, 0, 0, 0], "B": 0})

    before = measurings_of(build.job(spec, made)).before

    assert before.lines.bridge is WhyNot.TOO_FEW_ROWS


# Section 1: u of the offset in mm by number of rows; None = not identifiable.
OFFSET_U = [
    ("all", lambda s, p: False, {2: 1.40, 3: 1.24, 4: 1.16}),
    ("every second point", lambda s, p: p.number % 2 == 0, {2: 1.45, 3: 1.28, 4: 1.19}),
    ("one of each main line", lambda s, p: p.number % MAIN_LINE != 2, {2: 1.49, 3: 1.31, 4: 1.22}),
    ("inner half", lambda s, p: p.number > 6, {2: 2.19, 3: 1.88, 4: 1.69}),
    ("left only", lambda s, p: s is Side.RIGHT, {2: 2.36, 3: 2.17, 4: 2.07}),
    ("without a middle row", lambda s, p: p.group == "B", {3: 2.28, 4: 1.81}),
    ("without the rear row of three", lambda s, p: p.group == "C", {3: 3.53}),
    ("without the rear row of four", lambda s, p: p.group == "D", {4: 2.28}),
    ("without the rear row of two", lambda s, p: p.group == "B", {2: None}),
    ("one row", lambda s, p: p.group != "A", {2: None, 3: None, 4: None}),
    ("one main line", lambda s, p: p.group != "A" or p.number > MAIN_LINE,
     {2: None, 3: None, 4: None}),
    ("one line", lambda s, p: str(p) != "A1" or s is Side.LEFT, {2: None, 3: None, 4: None}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "rows"), [(name, rows) for name, _, known in OFFSET_U for rows in known]
)
def test_how_well_the_offset_is_known_is_that_of_our_own_study(name, rows):
    """Section 1, and its rule: lines are judged from 2 mm at a limit of 10 mm downwards."""
    missing, known = next(entry[1:] for entry in OFFSET_U if entry[0] == name)

    found = offset_of(before_of(wing_w(rows), missing, flat))

    if known[rows] is None:
        assert found is WhyNot.TOO_FEW_LINES
    else:
        assert found.offset.u_mm == pytest.approx(known[rows], abs=5.1e-3)
        assert found.known_for(10.0) is (known[rows] <= 2.0)


@pytest.mark.parametrize(("rows", "u"), [(2, 1.44), (3, 1.28), (4, 1.18)])
def test_the_offset_from_six_lines_in_ten_is_known_as_in_our_own_study(rows, u):
    """Section 1: at random, so on average over some."""
    wing, rng = wing_w(rows), np.random.default_rng(5)
    us = []
    for _ in range(12):
        gone = {key for key in every_line(wing) if rng.random() > 0.6}
        us.append(
            offset_of(before_of(wing, lambda s, p, gone=gone: (s, p) in gone, flat)).offset.u_mm
        )

    assert np.mean(us) == pytest.approx(u, abs=0.02)


@pytest.mark.parametrize(
    ("missing", "u"), [("nothing", 2.333), ("row B", 2.882), ("the right side", 2.916)]
)
def test_a_lines_uncertainty_holds_that_of_the_offset_as_in_our_own_study(missing, u):
    """Section 1: V = this line - mean; of a line as long as the mean."""
    before = before_of(wing_w(), GAPS[missing][0])
    offset = offset_of(before)
    table = before.table
    measured_lines = np.flatnonzero(table.measured)
    middle = measured_lines[
        np.argmin(np.abs(table.length_m - table.length_m.mean())[measured_lines])
    ]

    assert offset.line_u_mm()[middle] == pytest.approx(u, abs=1e-3)


# Section 8: u of a line's relative deviation.
@pytest.mark.parametrize(("rows", "u"), [(2, 2.245), (3, 2.333), (4, 2.376)])
def test_a_lines_uncertainty_against_the_mean_is_that_of_our_own_study(rows, u):
    """Section 8: u_L²(1 - 1/n) + u_row²(1 - 1/R) + (c(L - Lm))²."""
    before = before_of(wing_w(rows), deviation=flat)
    found = offset_of(before).line_u_mm()
    lengths = before.table.length_m
    count = 24 * rows

    scale = (0.12 * (lengths - lengths.mean())) ** 2
    plain = 4.0 * (1 - 1 / count) + 2.25 * (1 - 1 / rows)
    assert found == pytest.approx(np.sqrt(plain + scale))
    assert math.sqrt(plain) == pytest.approx(u, abs=5.1e-4)


def test_a_lines_uncertainty_against_the_median_is_that_of_our_own_study():
    """Section 8: u_L²(1 - (2 - pi/2)/n), the rest alike."""
    before = before_of(wing_w(), deviation=flat)
    lengths = before.table.length_m

    found = offset_of(before, OffsetMethod.MEDIAN).line_u_mm()

    scale = (0.12 * (lengths - lengths.mean())) ** 2
    plain = 4.0 * (1 - (2 - math.pi / 2) / 72) + 2.25 * (1 - 1 / 3)
    assert found == pytest.approx(np.sqrt(plain + scale))


def test_a_lines_uncertainty_without_an_offset_is_that_of_our_own_study():
    """Section 8: 2.645 mm at 7.2 m, by u_L² + u_row² + (cL)²; and what one measuring errs by.

    That is 1.5 mm as for brakes, since nothing takes it out: judgement.
    """
    before = before_of(wing_w(), deviation=flat)

    found = offset_of(before, OffsetMethod.NONE).line_u_mm()

    lengths = before.table.length_m
    assert found == pytest.approx(np.sqrt(4.0 + 2.25 + (0.12 * lengths) ** 2 + 1.5**2))
    assert math.sqrt(4.0 + 2.25 + (0.12 * 7.2) ** 2) == pytest.approx(2.645, abs=5e-4)


def test_lines_against_one_rows_mean_are_as_uncertain_as_in_our_own_study():
    """Section 8: own lines 1.958 mm, others 2.944 mm, lines as long as the row's mean."""
    before = before_of(wing_w(), deviation=flat)
    table = before.table

    found = offset_of(before, OffsetMethod.ROW, "B").line_u_mm()

    own = table.in_row("B")
    scale = (0.12 * (table.length_m - table.length_m[own].mean())) ** 2
    plain = np.where(own, 4.0 * (1 - 1 / 24), 4.0 * (1 + 1 / 24) + 4.5)
    assert found == pytest.approx(np.sqrt(plain + scale))
    assert np.sqrt(np.unique(plain)) == pytest.approx([1.958, 2.944], abs=5e-4)


@pytest.mark.parametrize(("gaps", "known"), [(4, True), (5, False)])
def test_the_offset_of_a_row_needs_six_in_ten_of_it_on_each_side(build, gaps, known):
    """Section 1; of ten points."""
    spec = build.specification(build.three_rows, 10)
    made = build.measurement(
        spec, {"A": 0, "B": 0}, left={"C": [None] * gaps + [0] * (10 - gaps)}, right={"C": 0}
    )
    before = measurings_of(build.job(spec, made)).before

    found = offset_of(before, OffsetMethod.ROW, "C")

    assert (found is WhyNot.TOO_FEW_LINES) is not known


# Section 7: u of the angle in degrees, and whether it is assessed at a threshold of 0.5 degrees.
ANGLE_U = [
    ("A and C alone", 3, lambda s, p: p.group == "B", 0.112, True),
    ("left only", 3, lambda s, p: s is Side.RIGHT, 0.150, True),
    ("without A", 3, lambda s, p: p.group == "A", 0.384, False),
    ("without C", 3, lambda s, p: p.group == "C", 0.520, False),
    ("4 rows without D", 4, lambda s, p: p.group == "D", 0.318, False),
    ("4 rows without A", 4, lambda s, p: p.group == "A", 0.250, None),  # at the border
]


@pytest.mark.parametrize("case", ANGLE_U, ids=lambda case: case[0])
def test_an_angle_with_gaps_is_as_uncertain_as_in_our_own_study(build, case):
    """Section 7; lengths as they are in the study, so an angle of some tenths of a degree."""
    _, rows, missing, u, assessed = case
    wing = wing_w(rows)
    made = at_two_mm(measured(wing, flat, where(wing, missing)))

    angle = measurings_of(study_job(wing, made)).before.pitch.angle()
    effect = build.findings(study_job(wing, made)).before.pitch.wing

    assert angle.u_deg == pytest.approx(u, abs=5.1e-4)
    if assessed is not None:
        assert (effect.value is not None) is assessed
        assert (effect.why_not is WhyNot.TOO_UNCERTAIN) is not assessed


@pytest.mark.parametrize(("share", "u"), [(0.1, 0.104), (0.2, 0.106), (0.4, 0.111)])
def test_an_angle_with_random_gaps_is_as_uncertain_as_in_our_own_study(share, u):
    """Section 7: on average over some."""
    wing, rng = wing_w(), np.random.default_rng(9)
    us = []
    for _ in range(12):
        gone = {key for key in every_line(wing) if rng.random() < share}
        before = before_of(wing, lambda s, p, gone=gone: (s, p) in gone, flat)
        us.append(before.pitch.angle().u_deg)

    assert np.mean(us) == pytest.approx(u, abs=1.5e-3)


def test_five_gaps_a_side_end_no_angle(build):
    """Section 7 gives 0.1044 degrees for five that it does not name: 0.1033 without any."""
    wing, rng = wing_w(), np.random.default_rng(3)
    lines = every_line(wing)
    gone = {lines[n + 36 * right] for right in (0, 1) for n in rng.choice(36, 5, replace=False)}

    found = build.findings(study_job(wing, at_two_mm(
        measured(wing, lambda s, p: LEVELS[p.group], gone)
    ))).before  # fmt: skip

    assert found.pitch.wing.value == pytest.approx(0.56, abs=0.03)
    assert 0.1033 < found.pitch.wing.u < 0.106
    assert all(found.pitch.bands[band].value is not None for band in Band)
    assert found.pitch.twist.value is not None


def test_one_row_has_no_angle_however_many_lines(build):
    wing = wing_w()
    made = measured(wing, flat, where(wing, lambda s, p: p.group != "B"))

    found = build.findings(study_job(wing, made)).before

    assert found.pitch.wing.why_not is WhyNot.TOO_FEW_ROWS
    assert found.speed is None


@pytest.mark.parametrize(
    ("name", "missing"),
    [
        pytest.param(name, missing, id=name)
        for name, missing, known in OFFSET_U
        if None in known.values() and 3 in known
    ],
)
def test_lines_that_are_too_few_are_not_judged_against_each_other(build, name, missing):
    """Whatever was measured is 35 mm off: its own mean would hide it."""
    wing = wing_w()
    made = measured(wing, lambda s, p: 35.0, where(wing, missing))

    found = build.findings(study_job(wing, made)).before

    assert found.verdict is Verdict.NOT_ASSESSED
    assert found.offset_why is WhyNot.TOO_FEW_LINES
    known = [x for x in found.lines if x.measured_mm is not None]
    assert known
    assert all(x.deviation_mm == pytest.approx(35.0) for x in known)
    assert all(x.relative_mm is None and x.verdict is Verdict.NOT_ASSESSED for x in known)


def test_with_no_offset_a_single_line_may_be_judged(build):
    """Section 1: measured and specified lengths compare as they are."""
    wing = wing_w()
    made = measured(wing, lambda s, p: 35.0, where(wing, OFFSET_U[-1][1]))

    found = build.findings(study_job(wing, made, offset_method=OffsetMethod.NONE)).before

    (line,) = [x for x in found.lines if x.measured_mm is not None]
    assert (line.relative_mm, line.verdict) == (pytest.approx(35.0), Verdict.FAIL)
    assert line.u_mm == pytest.approx(math.sqrt(2.0**2 + 2 * 1.5**2 + (0.12 * 7.3) ** 2), rel=1e-2)


def test_one_line_off_among_all_is_outside(build):
    wing = wing_w()
    made = measured(wing, lambda s, p: 35.0 * ((s, str(p)) == (Side.LEFT, "B4")))
    made = replace(made, calculated=True)  # else its length is in doubt

    found = build.findings(study_job(wing, made)).before

    assert found.verdict is Verdict.FAIL
    assert [str(x.point) for x in found.lines if x.verdict is Verdict.FAIL] == ["B4"]
