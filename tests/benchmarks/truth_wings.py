"""Wings whose true deviations are known: the specification, the wing as it came and as it left.

All lengths are invented. Signs and units are the engine's, the code is not: + mm is longer than
specified, + degrees is nose up, right minus left. The scatter of a used wing is an assumption; no
real wing stands behind it.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from truth_kinds import Kind

__all__ = [
    "BRAKE_TOLERANCE_MM",
    "THRESHOLDS",
    "TOLERANCE_MM",
    "Layout",
    "State",
    "TrueWing",
    "wing",
]

Floats = NDArray[np.float64]

TOLERANCE_MM = 10.0
BRAKE_TOLERANCE_MM = 25.0
# From where a pilot may notice it: the defaults of the engine, written down by themselves.
THRESHOLDS = {"pitch": 0.5, "twist": 1.0, "turn": 1.0, "brakes": 20.0}
TURN_DEG, TURN_MM = 0.4, 10.0
TURN_PER_DEG, TURN_PER_MM = 2.28, -0.0478  # deg/s to the right; size rough, sign sure
BAND_WEIGHTS = (0.49, 0.37, 0.14)  # centre, middle, tip: what a degree does to the speed
FREE_TRAVEL_MM = 70.0
_CHORDS = {
    2: (0.3, 1.6),
    3: (0.25, 0.9, 1.55),
    4: (0.2, 0.7, 1.2, 1.75),
    5: (0.15, 0.6, 1.0, 1.4, 1.9),
}


@dataclass(frozen=True, eq=False)
class Layout:
    """Every line of all rows on both sides: the left half first, rows front to rear."""

    names: tuple[str, ...]
    counts: tuple[int, ...]
    row: NDArray[np.int_]
    number: NDArray[np.int_]
    right: NDArray[np.bool_]
    chord_m: Floats
    specified_mm: Floats
    main: NDArray[np.int_]  # main lines over all rows of one side, numbered from 0
    trailing_edge_m: float
    brake_mm: tuple[float, ...]

    def main_name(self, main: int) -> str:
        """The name of a main line, such as a1."""
        row = int(self.row[np.flatnonzero(self.main == main)[0]])
        first = int(self.main[self.row == row].min())
        return f"{self.names[row].lower()}{main - first + 1}"

    @cached_property
    def band(self) -> NDArray[np.int_]:
        """Thirds of the half span by the row's own count, 0 at the centre."""
        count = np.array(self.counts)[self.row]
        return np.minimum(3 * (self.number - 1) // np.maximum(count - 1, 1), 2)


@dataclass(frozen=True, eq=False)
class State:
    """A wing as it truly is: deviations of its lines, risers and brakes in mm."""

    layout: Layout
    lines_mm: Floats
    risers_mm: Floats  # by side and row
    brakes_mm: tuple[float, float]  # left, right
    turn_factors: tuple[float, float] = (1.0, 1.0)  # what this wing makes of degrees and of mm

    @cached_property
    def hung_mm(self) -> Floats:
        """Lines with their risers: what the wing hangs on."""
        return self.lines_mm + self.risers_mm[self.layout.right.astype(int), self.layout.row]

    def _angle(self, chosen: NDArray[np.bool_]) -> float:
        x, d = self.layout.chord_m[chosen], self.hung_mm[chosen]
        slope = ((x - x.mean()) * (d - d.mean())).sum() / ((x - x.mean()) ** 2).sum()
        return -math.degrees(math.atan(slope / 1000.0))

    @cached_property
    def pitch(self) -> float:
        """Degrees nose up over all lines."""
        return self._angle(np.ones_like(self.layout.right))

    @cached_property
    def bands(self) -> tuple[float, ...]:
        """Degrees nose up of centre, middle and tip."""
        return tuple(self._angle(self.layout.band == band) for band in range(3))

    @property
    def twist(self) -> float:
        """Tip minus centre in degrees."""
        return self.bands[2] - self.bands[0]

    @property
    def effective(self) -> float:
        """Degrees nose up as the speed sees them."""
        return sum(w * b for w, b in zip(BAND_WEIGHTS, self.bands, strict=True))

    @cached_property
    def side_angle(self) -> float:
        """Angle of the right half minus that of the left."""
        right = self.layout.right
        return self._angle(right) - self._angle(~right)

    @cached_property
    def side_mm(self) -> float:
        """Mean of the right half minus that of the left."""
        right = self.layout.right
        return float(self.hung_mm[right].mean() - self.hung_mm[~right].mean())

    @property
    def turn(self) -> float:
        """Deg/s to the right, as this wing answers to degrees and to mm."""
        by_angle, by_length = self.turn_factors
        return TURN_PER_DEG * by_angle * self.side_angle + TURN_PER_MM * by_length * self.side_mm

    @property
    def turn_usual(self) -> float:
        """The same with the factors that everybody reckons with."""
        return TURN_PER_DEG * self.side_angle + TURN_PER_MM * self.side_mm

    @property
    def trailing_edge_mm(self) -> float:
        """The line set drawn on to the trailing edge."""
        x, d = self.layout.chord_m, self.hung_mm
        slope = ((x - x.mean()) * (d - d.mean())).sum() / ((x - x.mean()) ** 2).sum()
        return float(d.mean() + slope * (self.layout.trailing_edge_m - x.mean()))

    def travel(self, side: int) -> float:
        """More (+) free brake travel than specified, in mm."""
        return self.brakes_mm[side] - self.trailing_edge_mm

    def relative(self, method: str) -> Floats:
        """Deviations of the lines less what all share, by the method for the common offset."""
        first = self.layout.row == 0
        shared = {
            "mean": self.lines_mm.mean(),
            "median": np.median(self.lines_mm),
            "none": 0.0,
            "row": self.lines_mm[first].mean(),
        }
        return self.lines_mm - shared[method]


@dataclass(frozen=True, eq=False)
class TrueWing:
    """A wing with its truth; `planned` and `done` hold mm by side and main line."""

    kind: Kind
    layout: Layout
    before: State
    after: State
    planned: dict[tuple[int, int], float]
    done: dict[tuple[int, int], float]

    @property
    def short(self) -> dict[tuple[int, int], float]:
        """By how much each entry fell short of its plan, where by more than a scatter."""
        gaps = {key: abs(mm - self.done.get(key, 0.0)) for key, mm in self.planned.items()}
        return {key: gap for key, gap in gaps.items() if gap > 5.0}


def wing(random: np.random.Generator, kind: Kind) -> TrueWing:
    """Draw a wing of that kind, and what became of it."""
    layout = _layout(random, kind)
    before = _as_it_came(random, kind, layout)
    planned, done = _work(random, kind, before)
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


def _work(
    random: np.random.Generator, kind: Kind, before: State
) -> tuple[dict[tuple[int, int], float], dict[tuple[int, int], float]]:
    """What the job says was changed, and what truly was, by side and main line, in mm."""
    layout = before.layout
    if kind.work == "none":
        return {}, {}
    mains = [(side, main) for side in (0, 1) for main in range(int(layout.main.max()) + 1)]
    relative = before.relative("mean")
    level = {
        (side, main): float(relative[(layout.main == main) & (layout.right == bool(side))].mean())
        for side, main in mains
    }
    if kind.work == "all lines":
        planned = dict.fromkeys(mains, 10.0)
    else:
        worst = sorted(mains, key=lambda key: -abs(level[key]))[: int(random.integers(3, 9))]
        planned = {
            key: -math.copysign(max(10.0, float(round(abs(level[key])))), level[key])
            for key in sorted(worst)
        }
    done = {key: mm + float(random.normal(0.0, 0.5)) for key, mm in planned.items()}
    some = list(planned)[random.integers(len(planned))]
    if kind.carried_out == "all short":
        done = {key: mm - math.copysign(10.0, planned[key]) for key, mm in done.items()}
    elif kind.carried_out == "one short":
        done[some] -= math.copysign(10.0, planned[some])
    elif kind.carried_out == "one not written":
        planned = {key: mm for key, mm in planned.items() if key != some}
    return planned, done
