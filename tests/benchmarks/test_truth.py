"""The truth trial on a few wings, and whether its own parts are right.

The script beside this file tries many. `NO_MORE` holds what the engine did when a bound was last
set: a bound may be lowered, never raised.
"""

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import yaml
from trials import trials
from truth import service, trial
from truth_claims import CLAIMS, SILENT, SPEAKS_OF_DIRECTION
from truth_counts import contradiction
from truth_kinds import FACTORS, Kind
from truth_readers import Claim, NotReadable
from truth_readings import Errors, relative_u_mm
from truth_sentences import claims_of
from truth_states import Layout, State
from truth_wings import wing

from trimscribe.assess.facts import DECLARED
from trimscribe.model.statements import Place, Statement, Weight
from trimscribe.narrate import languages
from trimscribe.narrate.rules import load_rules

WINGS = trials(240)
NO_MORE = {
    "wrong_directions": 0.0,
    "wrong_directions_turn": 0.0,
    "perfect_wings_with_statement": 0.0,
    "effects_said_none": 0.0,
    "lines_outside_passed": 0.0,
    "lines_outside_passed_in_table": 0.0,
    "planned_though_all_short": 0.0,
    "planned_though_one_short": 0.0,
    "well_done_called_unlike_plan": 0.036,
    "false_doubts": 0.006,  # 1 of 181: five rows, read with 4 mm
    "brakes_within_said_outside": 0.0,
    "brakes_outside_said_within": 0.0,
    "shared_shrinkage_that_is_not": 0.0,
    "contradictions": 0.0,
}
PHRASES = yaml.safe_load(
    Path(languages.__path__[0], "en", "phrases.yaml").read_text(encoding="utf-8")
)["phrases"]
TEMPLATE = re.compile(r"\{%.*?%\}|\{\{.*?\}\}", re.DOTALL)


def said(rule: str, text: str, title: str = "") -> list[Claim]:
    return claims_of(Statement(rule, Place.FOUND, Weight.PLAIN, text, title))


def ways(rule: str, text: str, title: str = "") -> list[tuple[str, str]]:
    return [(claim.subject, claim.way) for claim in said(rule, text, title)]


# --- the table of claims


def test_each_rule_that_speaks_of_a_direction_is_in_one_table() -> None:
    for rule, phrase in PHRASES.items():
        texts = phrase.values() if isinstance(phrase, dict) else [phrase]
        words = TEMPLATE.sub(" ", " ".join(texts))
        if SPEAKS_OF_DIRECTION.search(words):
            assert rule in CLAIMS or rule in SILENT, f"{rule} is not in truth_claims.py: {words}"


def test_the_tables_name_no_rule_that_is_gone_and_none_twice() -> None:
    rules = {rule.name for rule in load_rules(frozenset(DECLARED))}
    assert set(CLAIMS) <= rules
    assert set(SILENT) <= rules
    assert not set(CLAIMS) & set(SILENT)


@pytest.mark.parametrize(
    ("rule", "text", "claims"),
    [
        (
            "found_up",
            "Compared with the front lines the rear lines were short. That tilts the wing nose up, "
            "here by 0.4° from the maker's angle. It may have been up to 1 km/h slow.",
            [("pitch", "up"), ("speed", "slower")],
        ),
        ("found_turn", "The two halves differed, so it may have pulled to the left.",
         [("turn", "left")]),
        ("air_slower", "Hands up, it may fly ½ to 1 km/h slower, also with the speed bar.",
         [("speed", "slower")]),
        ("found_brakes_mixed", "The left brake was a little long, the right one short.",
         [("brake left", "more"), ("brake right", "less")]),
        ("found_brakes_short", "Compared with the lines alone, the left brake was short.",
         [("brake left by lines", "less")]),
        ("found_brakes_long", "Both brakes were long, the right one more.",
         [("brake left", "more"), ("brake right", "more")]),
        ("found_brakes_uneven",
         "The right brake was shorter than the left one. By length, all 12 brake lines were "
         "outside limits.", [("brakes uneven", "left"), ("brakes length", "outside")]),
        ("caution_together",
         "On average the adjusted lines moved 5 mm less than planned. Ask your workshop.",
         [("work together", "less")]),
        ("changes_together",
         "All adjusted lines together are 5.0 mm shorter than planned; by measuring alone that.",
         [("work together", "short")]),
        ("brakes_now",
         "Now: left brake 22\u00a0mm longer, right brake not clearly longer or shorter. Each is.",
         [("printed brake left", "more"), ("printed brake right", "level")]),
        ("brakes_found", "As it came: neither brake clearly longer or shorter.",
         [("printed brake left", "level"), ("printed brake right", "level")]),
        ("brakes_found", "As it came: neither brake clearly longer or shorter. Against each other "
         "the right brake was about 14\u00a0mm shorter than the left one, uncertain by about "
         "4\u00a0mm. Each is uncertain by about 12\u00a0mm.",
         [("brakes uneven", "left"), ("printed brake left", "level"),
          ("printed brake right", "level")]),
        ("air_brakes_sooner", "Both brakes may act sooner, because the brake lines changed.",
         [("brake left", "less"), ("brake right", "less")]),
        ("air_brakes_later", "The right brake may act later.", [("brake right", "more")]),
        ("found_travel_uneven", "The left brake had more free travel than the right one: "
         "98\u00a0mm against 52\u00a0mm; 70\u00a0mm is specified.", [("brakes uneven", "left")]),
        ("air_travel_uneven", "The left brake may act sooner than the right one.",
         [("brakes uneven", "right")]),
        ("air_brakes_changed", "The left brake may act sooner than before, the right one later.",
         [("brake left", "less"), ("brake right", "more")]),
        ("before_short_brakes", "As it came, the left brake was short; not measured again.",
         [("brake left", "less")]),
        ("caution_free_travel", "Both brakes may have too little free travel: about 24 mm.",
         [("brake travel left", "perhaps little"), ("brake travel right", "perhaps little")]),
        (
            "chart_angle_both",
            "As it came the wing was 0.6° nose down (uncertain by about 0.2°), and now it is "
            "within 0.4° of the maker's angle; which way is not settled.",
            [("pitch shown", "down"), ("pitch shown", "open")],
        ),
        ("done_nothing", "No work on the wing was entered.", [("work", "not_entered")]),
        (
            "headline_back",
            "At first one line of your wing measured outside limits. Measured again, its line "
            "lengths read within limits.",
            [("lines", "within"), ("any line", "outside")],
        ),
        (
            "headline_now_outside",
            "Three lines are outside limits after our work.",
            [("lines", "outside"), ("work", "some")],
        ),
    ],
)  # fmt: skip
def test_claims_are_read_from_the_words(
    rule: str, text: str, claims: list[tuple[str, str]]
) -> None:
    assert ways(rule, text) == claims


@pytest.mark.parametrize("seed", [62542, 63421])
def test_a_turn_that_only_the_second_measuring_shows_is_not_reported_as_new(
    seed: int, tmp_path: Path
) -> None:
    # Nothing changed it, by the letter: then it may have turned before, and that is said.
    tried = service(seed, tmp_path, pages=True)

    assert {c.claim.way for c in tried.claims("turn", moment="change")} == {"none"}
    assert {c.claim.way for c in tried.claims("turn", moment="now")} & {"left", "right"}
    assert contradiction(tried) == (False, 1)
    assert tried.clashes == ()


def test_counts_names_and_limits_are_read() -> None:
    assert said("found_lines_outside", "13 of 44 lines were outside limits.")[0].count == 13
    listed = "A3 left, B10 right and two more"
    [claim] = said(
        "before_outside",
        f"Still outside limits: {listed}. As measured, the wing is not as its maker specified.",
    )
    assert (claim.names, claim.count) == (("A3 left", "B10 right"), 4)
    near = "of the plan, as near as measuring can tell."
    each = said("changes_agree", f"Each of the 20 adjusted lines is within 5 mm {near}")[0]
    assert (each.count, each.limit_mm) == (None, 5.0)
    some = f"Three adjusted lines are within 5 mm {near} For one this is not assessed."
    assert said("changes_some_agree", some)[0].count == 3


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        ("found_up", "The wing was fine."),
        ("found_turn", "It pulled to the left, then it pulled to the right."),
        ("changes_agree", "All lines are good."),
        ("a_rule_of_tomorrow", "The wing stands nose up."),
        ("a_rule_of_tomorrow", "It may feel different."),
    ],
)
def test_a_sentence_that_cannot_be_judged_stops_the_trial(rule: str, text: str) -> None:
    with pytest.raises(NotReadable, match=rule):
        said(rule, text)


def test_a_new_rule_without_a_direction_is_let_by() -> None:
    assert said("a_rule_of_tomorrow", "Thank you for your visit.") == []


# --- the truth; values of our own study unless said otherwise


def layout(chords: tuple[float, ...], points: int = 12) -> Layout:
    """The study's wing: x = x_r (1 - .55 t²), L = 7300 - 450 t² + 25 r, t = (i + .5) / n."""
    t = (np.arange(points) + 0.5) / points
    rows = len(chords)
    row = np.repeat(np.arange(rows), points)
    one = {
        "row": row,
        "number": np.tile(np.arange(1, points + 1), rows),
        "chord_m": np.concatenate([x * (1 - 0.55 * t**2) for x in chords]),
        "specified_mm": np.concatenate([7300 - 450 * t**2 + 25 * r for r in range(rows)]),
        "main": row * 4 + np.tile(np.arange(points) // 3, rows),
    }
    both = {name: np.concatenate([column, column]) for name, column in one.items()}
    return Layout(
        names=tuple("ABCDE"[:rows]),
        counts=(points,) * rows,
        right=np.arange(2 * rows * points) >= rows * points,
        trailing_edge_m=2.4,
        brake_mm=(7900.0,),
        **both,
    )


W = layout((0.25, 0.9, 1.55))


def state(lines_mm: np.ndarray, **changes: object) -> State:
    made = State(W, lines_mm, np.zeros((2, 3)), (0.0, 0.0))
    return replace(made, **changes)


def test_angle_of_rows_that_are_2_6_14_mm_short() -> None:
    rows = np.array([-2.0, -6.0, -14.0])[W.row]
    assert state(rows).lines_mm.mean() == pytest.approx(-7.3333, abs=1e-4)
    assert state(rows).pitch == pytest.approx(0.5606, abs=1e-4)


def test_risers_count_in_the_angle() -> None:
    """A quarter of a metre apart throughout: the check of risers, -2 -6 -14 with +4 0 -6."""
    flat = replace(W, chord_m=np.array([0.25, 0.9, 1.55])[W.row])
    rows = np.array([-2.0, -6.0, -14.0])[W.row]
    risers = np.array([[4.0, 0.0, -6.0]] * 2)
    assert State(flat, rows, risers, (0.0, 0.0)).pitch == pytest.approx(0.9695, abs=1e-4)
    assert State(flat, rows, 0 * risers, (0.0, 0.0)).pitch == pytest.approx(0.5289, abs=1e-4)
    assert State(flat, rows, 0 * risers, (-30.0, 0.0)).travel(0) == pytest.approx(
        -30.0 - (-7.3333 - 9.2308 * (2.4 - 0.9)), abs=1e-3
    )


@pytest.mark.parametrize(
    ("deg", "mm", "turn"), [(0.6, 0, 1.368), (0.6, -10, 1.846), (0.4, 20, -0.044), (0, 18, -0.860)]
)
def test_turns_go_to_the_nose_up_and_to_the_short_side(deg: float, mm: float, turn: float) -> None:
    right = np.where(W.right, 1.0, 0.0)
    x = W.chord_m - W.chord_m.mean()
    lines = right * (-1000 * math.tan(math.radians(deg)) * x + mm)
    made = state(lines)
    assert (made.side_angle, made.side_mm) == pytest.approx((deg, mm), abs=1e-9)
    assert made.turn == pytest.approx(turn, abs=6e-4)


@pytest.mark.parametrize(
    ("rows", "offset", "u"),
    [(2, "mean", 2.245), (3, "mean", 2.333), (4, "mean", 2.376), (3, "none", 2.645)],
)
def test_the_uncertainty_that_a_line_is_outside_by(rows: int, offset: str, u: float) -> None:
    """With reading 1.5 mm; lengths differ here, so the scale's part differs a little."""
    chords = ((0.3, 1.6), (0.25, 0.9, 1.55), (0.2, 0.7, 1.2, 1.75))[rows - 2]
    found = relative_u_mm(Kind(offset=offset), layout(chords))
    assert np.median(found) == pytest.approx(u, abs=0.01)


def test_errors_scatter_as_the_budget_says() -> None:
    """Mean of a row 1.5 mm, change of it 1.22 mm, and one line 2 mm but for its rounding."""
    random = np.random.default_rng(1)
    still = state(np.zeros(len(W.row)))
    first, change, sides, single = [], [], [], []
    for _ in range(1500):
        errors = Errors(random, W, 1.5)
        errors.scale = 0.0
        before, after = (errors.read(still)[0] - W.specified_mm for _ in range(2))
        a, b = before[W.row == 0], (after - before)[W.row == 0]
        rest = (after - before)[W.row == 1]
        first.append(a.mean())
        sides.append(a[12:].mean() - a[:12].mean())
        change.append((b.mean() - rest.mean()) / math.sqrt(2))
        single.append(a[0] - a[:12].mean())
    line = 1.98**2 + 1 / 12
    assert np.std(first) == pytest.approx(math.sqrt(1.5**2 + line / 24), rel=0.06)
    assert np.std(sides) == pytest.approx(math.sqrt(2 * 1.0 + 2 * line / 12), rel=0.06)
    assert np.std(change) == pytest.approx(math.sqrt(1.22**2 + 2 * line / 24), rel=0.06)
    assert np.std(single) == pytest.approx(math.sqrt(line * 11 / 12), rel=0.06)


def test_work_that_falls_short_is_known() -> None:
    random = np.random.default_rng(3)
    kind = Kind(shape="used", work="all lines", carried_out="all short")
    made = wing(random, kind)
    assert len(made.planned) == len(set(zip(made.layout.right, made.layout.main, strict=True)))
    assert set(made.short) == set(made.planned)
    assert np.abs(made.after.lines_mm - made.before.lines_mm).max() < 3.0


# --- the engine


@pytest.mark.parametrize(
    ("factor", "level"), [(factor, level) for factor in FACTORS for level in FACTORS[factor]]
)
def test_each_kind_of_wing_is_read_to_its_sentences(
    factor: str, level: str, tmp_path: Path
) -> None:
    base = {"shape": "used", "occasions": "both", "work": "some lines", "measured": "all"}
    found = service(7, tmp_path, {**base, "slip": "none", factor: level})
    assert found.heard or found.refused


@pytest.fixture(scope="module")
def tally():
    return trial(WINGS)


@pytest.mark.parametrize("figure", NO_MORE)
@pytest.mark.thorough
def test_reports_claim_no_more_falsehoods_than_when_the_bound_was_set(tally, figure: str) -> None:
    assert tally.cases[figure, ""]
    assert tally.share(figure) <= NO_MORE[figure]
