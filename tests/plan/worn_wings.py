"""Made-up worn wings with stated loops, by a seed: no real wing's lengths."""

import datetime as dt
import random
from collections.abc import Sequence

from trimscribe.model.job import (
    Job,
    LoopTable,
    Measurement,
    OffsetMethod,
    Service,
    TiedLoop,
    TiedLoops,
)
from trimscribe.model.wing import (
    BRAKE,
    STABILO,
    CascadeLine,
    GroupKind,
    LineGroup,
    Point,
    RetrimLimits,
    Side,
    Specification,
    Tolerances,
    TrimRule,
    Wing,
)
from trimscribe.model.workshop import Workshop

LOOPS = {"single loop": 8.0, "double loop": 17.0, "lark's foot": 21.0, "pile hitch": 35.0}
CHORDS = {
    2: (0.3, 1.6),
    3: (0.25, 0.9, 1.55),
    4: (0.2, 0.7, 1.2, 1.75),
    5: (0.15, 0.6, 1.0, 1.4, 1.9),
}
ROWS = "ABCDE"


def specification(
    rows: int = 3,
    points: int = 12,
    per_main: int = 4,
    *,
    limits: Tolerances | None = None,
    retrim: RetrimLimits | None = None,
    rules: Sequence[TrimRule] = (),
    risers: bool = True,
) -> Specification:
    """Lengths with risers, or without: then those are unknown and blur the angles."""
    groups, cascade = [], []
    for number, chord in enumerate(CHORDS[rows]):
        name = ROWS[number]
        spans = [(i + 0.5) / points for i in range(points)]
        lengths = tuple(round(7300 - 450 * t * t + 25 * number) for t in spans)
        chords = tuple(round(chord * (1 - 0.55 * t * t), 3) for t in spans)
        groups.append(LineGroup(name, GroupKind.ROW, lengths, chords))
        for main in range(0, points, per_main):
            carried = tuple(Point(name, n + 1) for n in range(main, min(main + per_main, points)))
            cascade.append(CascadeLine(f"{name.lower()}{main // per_main + 1}", carried))
    groups.append(LineGroup(STABILO, GroupKind.STABILO, (6400, 6380)))
    cascade.append(CascadeLine("s1", (Point(STABILO, 1), Point(STABILO, 2))))
    groups.append(LineGroup(BRAKE, GroupKind.BRAKE, (7900, 7850, 7700, 7500)))
    return Specification(
        maker="Pomeroy Wings", model="Sloe", size="M", source="made up", revision="1",
        includes_risers=risers,
        groups=tuple(groups), cascade=tuple(cascade), tension_n=50.0,
        tolerances=limits or Tolerances(default_mm=10.0), trailing_edge_m=2.4,
        brake_free_travel_mm=70.0, retrim=retrim or RetrimLimits(), trim_rules=tuple(rules),
    )  # fmt: skip


def tied(default: str = "double loop", **lines: str) -> TiedLoops:
    return TiedLoops(
        {side: TiedLoop(default) for side in Side},
        {(side, line): TiedLoop(loop) for line, loop in lines.items() for side in Side},
    )


def job(
    spec: Specification,
    deviations: dict[tuple[Side, Point], float],
    *,
    offset: OffsetMethod = OffsetMethod.MEAN,
    row: str = "A",
    loops: TiedLoops | None = None,
    tension_n: float = 50.0,
    free_travel_mm: float | None = None,
) -> Job:
    """A job whose lengths are the specified ones and what is given; brakes as specified."""
    lengths = {
        (side, point): spec.specified_mm(point) + deviations.get((side, point), 0.0)
        for side in Side
        for group in spec.groups
        for point in group.points
    }
    free = {} if free_travel_mm is None else dict.fromkeys(Side, free_travel_mm)
    return Job(
        service=Service("T-1", dt.date(2026, 10, 1)),
        workshop=Workshop("Quarry Hill Canopy Works"),
        wing=Wing("Pomeroy Wings", "Sloe", "M", "SL-1"),
        specification=spec,
        tolerances=spec.tolerances,
        offset_method=offset,
        offset_row=row if offset is OffsetMethod.ROW else "",
        before=Measurement(
            lengths, tension_n=tension_n, uncertainty_mm=1.5, free_travel_mm=free,
            tied=loops or tied(), calculated=True,
        ),
        loops=LoopTable({"main maillon": dict(LOOPS)}),
    )  # fmt: skip


def worn(
    seed: int, spec: Specification, *, crooked: float = 0.0
) -> dict[tuple[Side, Point], float]:
    """Rear rows 5 to 25 mm short, main lines and lines scattered, one line 6 to 12 mm long."""
    draw = random.Random(seed)
    shrunk, offset = draw.uniform(5, 25), draw.uniform(-20, 0)
    rows = spec.rows
    found: dict[tuple[Side, Point], float] = {}
    mains = {(line.name, side): draw.gauss(0, 2) for line in spec.cascade for side in Side}
    carried = {point: line.name for line in spec.cascade for point in line.points}
    for number, group in enumerate(rows):
        back = (number / (len(rows) - 1)) ** 2 * shrunk
        for side in Side:
            lean = crooked * (side is Side.RIGHT) * (number == len(rows) - 1)
            for point in group.points:
                scatter = mains[carried[point], side] + draw.gauss(0, 1.5)
                found[side, point] = float(round(offset - back + scatter + lean))
    for side in Side:
        for point in next(g for g in spec.groups if g.kind is GroupKind.STABILO).points:
            found[side, point] = float(round(offset + draw.gauss(0, 3)))
    odd = draw.choice(sorted(found))
    found[odd] += round(draw.uniform(6, 12))
    for key in [
        (s, p) for s in Side for g in spec.groups if g.kind is GroupKind.BRAKE for p in g.points
    ]:
        found[key] = float(round(draw.gauss(0, 2)))
    return found
