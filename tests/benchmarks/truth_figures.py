"""The figures of the trial with their aims, and how they add up by kind of wing."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

from truth_counts import (
    BRAKES,
    DIRECTED,
    SHOWN,
    Count,
    any_passed_by_table,
    as_planned,
    brake_verdict,
    contradiction,
    done_that_was_not,
    doubted,
    doubts,
    named,
    passed_by_sentence,
    passed_by_table,
    perfect,
    perfect_verdict,
    said_none,
    shared,
    slip_seen,
    slip_spread,
    statements_on_perfect,
    tight,
    well_done_doubted,
    well_done_off_together,
    wrong,
)
from truth_service import Service

__all__ = ["FIGURES", "Figure", "Tally", "counted"]


@dataclass(frozen=True)
class Figure:
    """What is counted and out of what; `aim` is the most it may be, over wings of `aim_kind`."""

    count: Callable[[Service], Count]
    of: str
    aim: float | None = None
    aim_kind: str = ""
    slips_too: bool = False


FIGURES: dict[str, Figure] = {
    "refused": Figure(lambda s: (bool(s.refused), 1), "of jobs, before anything is said"),
    "wrong_directions": Figure(
        lambda s: wrong(s, tuple(x for x in DIRECTED if x != "turn")),
        "of directions claimed in the letter, turns apart",
        aim=0.0,
    ),
    "wrong_directions_pitch": Figure(
        lambda s: wrong(s, ("pitch", "pitch by lines")), "of those of the angle"
    ),
    "wrong_directions_speed": Figure(lambda s: wrong(s, ("speed",)), "of those of the speed"),
    "wrong_directions_twist": Figure(lambda s: wrong(s, ("twist",)), "of those of the tips"),
    "wrong_directions_brakes": Figure(
        lambda s: wrong(s, tuple(x for x in DIRECTED if x.startswith("brake"))),
        "of those of the brakes",
    ),
    "wrong_directions_turn": Figure(
        lambda s: wrong(s, ("turn",)),
        "of sides named; our own study has .021 .014 .007 .010 of wings at 2 to 5 rows",
    ),
    "wrong_directions_shown": Figure(
        lambda s: wrong(s, SHOWN, letter=False), "of directions beside the chart"
    ),
    "wrong_directions_brakes_shown": Figure(
        lambda s: wrong(s, tuple(f"printed {x}" for x in BRAKES), letter=False),
        "of brakes that the section on brakes calls longer or shorter",
    ),
    "perfect_wings_with_statement": Figure(
        lambda s: perfect(s, letter=True), "an effect or change in the letter", aim=0.02
    ),
    "perfect_wings_with_statement_anywhere": Figure(
        lambda s: perfect(s, letter=False), "with the pages behind"
    ),
    "perfect_wings_with_statement_or_open": Figure(
        lambda s: perfect(s, letter=True, open_too=True), "or something said not to be settled"
    ),
    "perfect_wings_with_outside": Figure(perfect_verdict, "a length outside limits"),
    "effects_said_none": Figure(
        lambda s: said_none(s, ("pitch", "twist", "turn", "brakes")),
        "of true effects of 1.5 thresholds or more",
        aim=0.0,
    ),
    **{
        f"effects_said_none_{what}": Figure(
            lambda s, what=what: said_none(s, (what,)), f"of those of {what}"
        )
        for what in ("pitch", "twist", "turn", "brakes")
    },
    **{
        f"effects_named_{what}_{moment}": Figure(
            lambda s, what=what, moment=moment: named(s, what, moment),
            "of true effects of 1.5 thresholds or more, with their direction",
        )
        for what in ("pitch", "twist", "turn")
        for moment in ("found", "change")
    },
    "lines_outside_passed": Figure(
        passed_by_sentence,
        "of lines truly outside by more than 2 u",
        aim=0.005,
        aim_kind="rule=guarded",
    ),
    "lines_outside_passed_in_table": Figure(passed_by_table, "the same by the table of lines"),
    "wings_with_outside_line_passed": Figure(
        any_passed_by_table, "of wings with such a line, by the table of lines"
    ),
    "planned_though_all_short": Figure(
        lambda s: as_planned(s, "all short"),
        "of jobs with all entries 10 mm short of plan",
        aim=0.05,
    ),
    "planned_though_one_short": Figure(
        lambda s: as_planned(s, "one short"), "of jobs with one entry 10 mm short of plan", aim=0.05
    ),
    "done_that_was_not": Figure(
        done_that_was_not, "of lines reported as let out or shortened", aim=0.01
    ),
    "well_done_called_unlike_plan": Figure(well_done_doubted, "of jobs done as planned"),
    "well_done_called_off_together": Figure(
        well_done_off_together, "of the same, by all adjusted lines together"
    ),
    "false_doubts": Figure(doubts, "per sound job", aim=0.01),
    "sound_jobs_doubted": Figure(doubted, "of sound jobs"),
    "slips_that_spread": Figure(
        slip_spread,
        "of jobs with a slip of digits: a wrong direction, or a perfect wing's line outside",
        aim=0.01,
        slips_too=True,
    ),
    "slips_doubted": Figure(slip_seen, "of jobs with a slip", slips_too=True),
    "brakes_within_said_outside": Figure(
        lambda s: brake_verdict(s, "outside"), "of brakes clearly as long as the table says"
    ),
    "brakes_outside_said_within": Figure(
        lambda s: brake_verdict(s, "within"), "of brakes clearly outside the table"
    ),
    "tight_brakes_that_are_not": Figure(
        lambda s: tight(s, "little"), "of brakes said to have too little travel"
    ),
    "perhaps_tight_brakes_that_are_not": Figure(
        lambda s: tight(s, "perhaps little"), "of brakes that are said to have perhaps too little"
    ),
    "shared_shrinkage_that_is_not": Figure(shared, "of offsets said to be shared by all lines"),
    "contradictions": Figure(contradiction, "of reports"),
    "pages_that_contradict_themselves": Figure(
        lambda s: (bool(s.clashes), int(s.clashes is not None)),
        "of finished texts hold a pair of contradictions.py",
        aim=0.0,
        slips_too=True,
    ),
}


@dataclass
class Tally:
    """Hits and cases of each figure, over all and by each factor's level."""

    hits: Counter[tuple[str, str]] = field(default_factory=Counter)
    cases: Counter[tuple[str, str]] = field(default_factory=Counter)
    behind: Counter[str] = field(default_factory=Counter)
    seeds: dict[str, list[int]] = field(default_factory=dict)

    def add(self, other: "Tally") -> None:
        """Take in another part's counts."""
        self.hits.update(other.hits)
        self.cases.update(other.cases)
        self.behind.update(other.behind)
        for name, seeds in other.seeds.items():
            self.seeds.setdefault(name, []).extend(seeds)

    def share(self, figure: str, kind: str = "") -> float | None:
        """Hits over cases; None without any."""
        cases = self.cases[figure, kind]
        return self.hits[figure, kind] / cases if cases else None

    def misses(self) -> list[str]:
        """Figures above their aim."""
        return [
            name
            for name, figure in FIGURES.items()
            if figure.aim is not None and (self.share(name, figure.aim_kind) or 0.0) > figure.aim
        ]


def counted(service: Service, seed: int) -> Tally:
    """All figures of one service; those of sound typing leave slips out but show them by kind."""
    tally = Tally()
    kind = service.wing.kind
    slipped = kind.slip != "none"
    figures = (
        {name: FIGURES[name] for name in ("refused", "slips_doubted")}
        if service.refused
        else FIGURES
    )
    for name, figure in figures.items():
        hits, cases = figure.count(service)
        if not cases:
            continue
        whole = [""] if not slipped or figure.slips_too else []
        levels = [f"slip={kind.slip}"] if slipped else [f"{k}={v}" for k, v in vars(kind).items()]
        for level in (*whole, *levels):
            tally.hits[name, level] += hits
            tally.cases[name, level] += cases
        if hits and whole:
            tally.seeds.setdefault(name, []).append(seed)
    tally.behind.update(_behind(service))
    return tally


def _behind(service: Service) -> Counter[str]:
    """Which rules and doubts are behind the figures on perfect wings and sound jobs."""
    kind = service.wing.kind
    counts: Counter[str] = Counter()
    if kind.shape == "perfect" and kind.slip == "none":
        reported = {h.rule for h in statements_on_perfect(service, letter=True)}
        counts.update(f"perfect_wings_with {rule}" for rule in reported)
    counts.update(f"contradiction, {clash[:300]}" for clash in service.clashes or ())
    if kind.sound:
        counts.update(f"sound_jobs_with {code}" for code in set(service.doubts))
    return counts
