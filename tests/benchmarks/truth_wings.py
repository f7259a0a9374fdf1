"""Wings drawn with their truth: the specification, the wing as it came and as it left.

All lengths are invented. The scatter of a used wing is an assumption: no real wing is behind it.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from truth_kinds import Kind
from truth_states import THRESHOLDS, TURN_DEG, TURN_MM, Floats, Layout, State
from truth_work import Work, work_on

__all__ = ["TrueWing", "wing"]

_CHORDS = {
    2: (0.3, 1.6),
    3: (0.25, 0.9, 1.55),
    4: (0.2, 0.7, 1.2, 1.75),
    5: (0.15, 0.6, 1.0, 1.4, 1.9),
}


@dataclass(frozen=True, eq=False)
class TrueWing:
    """A wing with its truth; `planned` and `done` hold mm by side and main line."""

    kind: Kind
    layout: Layout
    before: State
    after: State
    planned: Work
    done: Work

    @property
    def short(self) -> Work:
        """By how much each entry fell short of its plan, where by more than a scatter."""
        gaps = {key: abs(mm - self.done.get(key, 0.0)) for key, mm in self.planned.items()}
        return {key: gap for key, gap in gaps.items() if gap > 5.0}


def wing(random: np.random.Generator, kind: Kind) -> TrueWing:
    """Draw a wing of that kind, and what became of it."""
    layout = _layout(random, kind)
    before = _as_it_came(random, kind, layout)
    planned, done = work_on(random, kind, before)
    moved = before.lines_mm.copy()
    for (side, main), mm in done.items():
        moved[(layout.main == main) & (layout.right == bool(side))] += mm
    after = replace(before, lines_mm=moved)
    return TrueWing(kind, layout, before, after, planned, done)


def _layout(random: np.random.Generator, kind: Kind) -> Layout:
    rows = int(kind.rows)
    points = int(random.integers(9, 15))
    counts = [points] * rows
    if kind.layout == "uneven":  # fewer lines towards the rear, over the same span
        for r in range(1, rows):
            counts[r] = max(6, counts[r - 1] - int(random.integers(0, 3)))
        counts[-1] = min(counts[-1], points - 2)
    taper = 450.0 + random.uniform(-60.0, 90.0)
    columns: list[tuple[float, ...]] = []
    main = 0
    for r, count in enumerate(counts):
        for i in range(count):
            t = (i + 0.5) / count
            chord = _CHORDS[rows][r] * (1.0 - 0.55 * t**2)
            columns.append((r, i + 1, round(chord, 3), round(7300.0 - taper * t**2 + 25.0 * r),
                            main + i // 3))  # fmt: skip
        main += -(-count // 3)
    one = np.array(columns)
    both = np.vstack([one, one])
    brake = tuple(float(round(7900.0 - 420.0 * (i / 6) ** 1.8)) for i in range(6))
    return Layout(
        names=tuple("ABCDE"[:rows]),
        counts=tuple(counts),
        row=both[:, 0].astype(int),
        number=both[:, 1].astype(int),
        right=np.arange(len(both)) >= len(one),
        chord_m=both[:, 2],
        specified_mm=both[:, 3],
        main=both[:, 4].astype(int),
        trailing_edge_m=2.4,
        brake_mm=brake,
    )


def _as_it_came(random: np.random.Generator, kind: Kind, layout: Layout) -> State:
    rows = len(layout.names)
    risers = np.zeros((2, rows))
    if kind.shape == "perfect":
        return State(layout, np.zeros(len(layout.row)), risers, (0.0, 0.0))
    if kind.risers in ("measured", "not measured"):
        risers = random.normal(0.0, 2.9, rows) + random.normal(0.0, 1.0, (2, rows))
        if random.random() < 0.2:  # one row that somebody mixed up
            risers[:, random.integers(rows)] += random.choice((-14.0, 14.0))
    factors = (float(random.normal(1.0, 0.2)), float(random.normal(1.0, 0.4)))
    d = _scatter(random, layout) * (0.3 if kind.shape == "shrunk" else 1.0)
    shared = float(random.uniform(-25.0, 5.0))
    brakes = shared + random.normal(0.0, 4.0, 2)
    d += shared
    state = State(layout, d, risers, (float(brakes[0]), float(brakes[1])), factors)
    return _with_effect(random, kind, state)


def _scatter(random: np.random.Generator, layout: Layout) -> Floats:
    """What tells one line of a used wing from another, in mm."""
    rows, right = len(layout.names), layout.right.astype(int)
    t = (layout.number - 0.5) / np.array(layout.counts)[layout.row]
    t2 = t**2 - (t**2).mean()
    mains = int(layout.main.max()) + 1
    return (
        random.normal(0.0, 3.0, rows)[layout.row]
        + random.normal(0.0, 4.0, rows)[layout.row] * 2.0 * t2
        + random.normal(0.0, 1.5) * (2.0 * right - 1.0)
        + random.normal(0.0, 2.0, (2, rows))[right, layout.row]
        + random.normal(0.0, 2.0, mains)[layout.main]
        + random.normal(0.0, 2.0, (2, mains))[right, layout.main]
        + random.normal(0.0, 1.5, len(layout.row))
    )


def _with_effect(random: np.random.Generator, kind: Kind, state: State) -> State:
    """Up to three times the threshold of what the kind is named for, to either side."""
    layout, d = state.layout, state.lines_mm.copy()
    size = float(random.uniform(0.0, 3.0)) * float(random.choice((-1.0, 1.0)))
    x = layout.chord_m - layout.chord_m.mean()
    per_deg = -1000.0 * math.tan(math.radians(1.0))
    brakes = list(state.brakes_mm)
    if kind.shape == "pitch":
        d += per_deg * size * THRESHOLDS["pitch"] * x
    elif kind.shape == "twist":
        d += per_deg * size * THRESHOLDS["twist"] * x * (layout.band - 1.0) / 2.0
    elif kind.shape == "turn":
        half = np.where(layout.right, 0.5, -0.5)
        d += per_deg * size * TURN_DEG * x * half * float(random.choice((0.0, 1.0, 1.0)))
        d += half * TURN_MM * float(random.uniform(-2.0, 2.0))
    elif kind.shape == "brakes":
        which = random.choice((0, 1, 2))
        for side in (0, 1) if which == 2 else (which,):
            brakes[side] += size * THRESHOLDS["brakes"]
    elif kind.shape == "shrunk":
        by = -float(random.uniform(10.0, 45.0))
        d += by
        brakes = [mm + by for mm in brakes]
        if random.random() < 0.5:  # nobody's brakes shrink with the lines when they are new
            brakes = [float(mm) for mm in random.normal(0.0, 2.0, 2)]
    elif kind.shape == "one row":
        d[layout.row == random.integers(len(layout.names))] += float(random.uniform(-48.0, -12.0))
    return replace(state, lines_mm=d, brakes_mm=(float(brakes[0]), float(brakes[1])))
