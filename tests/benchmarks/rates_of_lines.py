"""How often the plain rules are wrong about lines, turns and specifications.

Sections 0, 5, 8, 10 and 12 of the study.
"""

import math
from collections.abc import Iterator

import numpy as np
from drawn_wings import Drawn

# isort: split
import plain_conformity as conformity
import plain_offsets as offsets
import plain_shrinkage as shrinkage
import plain_specification as specification
import plain_turn as turn
from plain_cells import U_REPEAT, small_degrees
from plain_completion import (
    Structure,
    error_covariance,
    mean_weights,
    side_slope_weights,
    side_weights,
    slope_weights,
    target,
    true_covariance,
)

# isort: split
from rate_lines import Line, line, percent

LIMIT = 10.0  # mm, tolerance of a line

# Section 0: how often the truth lies beyond 2u, exactly, when the structure is another.


def coverage(_: int) -> Iterator[Line]:
    gaps = {
        "scattered 20 %": lambda c: (c.station + 2 * "ABCDE".index(c.row)) % 5 == 0,
        "left only": lambda c: c.side == "right",
        "without the rear row": lambda c: c.row == "D",
    }
    for name, gone in gaps.items():
        found = {1.0: [], 1.5: [], 0.4: []}
        for weights in (mean_weights, slope_weights):
            drawn = Drawn(4)
            cells = [
                c._replace(mm=None if gone(c) else 0.0) for c in drawn.with_values(drawn.metres)
            ]
            v = np.array(weights(cells))
            _, u, a = target(cells, v)
            known = [i for i, c in enumerate(cells) if c.mm is not None]
            miss = -v
            miss[known] += a
            error = error_covariance(cells)[np.ix_(known, known)]
            for factor, shares in found.items():
                truth = true_covariance(cells, Structure().times(factor))
                sd = math.sqrt(float(miss @ truth @ miss + a @ error @ a))
                shares.append(200 * conformity.normal(-2 * u / sd))
        for factor, shares in found.items():
            yield line(f"0 beyond 2u, {name}, structure x {factor} (offset/angle)", shares)


# Section 5: turn tendency.


def turns(wings: int) -> Iterator[Line]:
    counts = (2, 3, 4, 5)
    reported: dict[str, list[float]] = {}
    for rows in counts:
        drawn = Drawn(rows)
        known = turn.uncertainties(drawn.cells)
        by_angle = -np.array(side_slope_weights(drawn.cells)) * small_degrees(1.0)
        by_length = np.array(side_weights(drawn.cells))
        random, found = drawn.random, []
        for _ in range(wings):
            error = random.normal(0.0, U_REPEAT, len(drawn.cells)) + drawn.by(drawn.row_side, 1.0)
            angle, length = random.normal(0.0, 0.5), random.normal(0.0, 15.0)
            a, b = random.normal(1.0, 0.2), random.normal(1.0, 0.4)
            y = turn.PER_DEGREE * a * angle - turn.PER_MM * b * length
            seen = angle + float(by_angle @ error), length + float(by_length @ error)
            _, expected, side = turn.turn(*seen, *known)
            wrong = side != "open" and (side == "right") != (y > 0)
            found.append((turn.opposed(*seen, *known[:2]), side != "open", wrong, expected, y))
            # A perfect wing, by the same errors.
            found[-1] += (turn.turn(float(by_angle @ error), float(by_length @ error), *known)[1],)
            found[-1] += (angle * length > 0 and abs(angle) > 0.2 and abs(length) > 10.0,)
        opposed = np.array([f[0] for f in found])
        named, wrong = np.array([f[1] for f in found]), np.array([f[2] for f in found])
        none = np.array([f[3] == "none" for f in found])
        strong = np.abs([f[4] for f in found]) > 1.2
        hard = np.array([f[6] for f in found])
        for name, share in (
            ("opposed wings %", percent(opposed)),
            ("of them a side is named %", percent(named[opposed])),
            ("of them the wrong side %", percent(wrong[opposed])),
            ("of them the wrong side of those named %", percent(wrong[opposed & named])),
            ("truly opposed, beyond .2 deg and 10 mm %", percent(hard)),
            ("  of them a side is named %", percent(named[hard])),
            ("  of them the wrong side of those named %", percent(wrong[hard & named])),
            ("all wings: wrong side %", percent(wrong)),
            ("all wings: wrong of those named %", percent(wrong[named])),
            ("|y| > 1.2 reported as none, of all %", percent(strong & none)),
            ("|y| > 1.2 reported as none, of those %", percent(none[strong])),
            (
                "perfect wings reported as possible or more %",
                percent([f[5] != "none" for f in found]),
            ),
        ):
            reported.setdefault(name, []).append(share)
    for name, shares in reported.items():
        yield line(f"5 {name}", shares, 2)


# Section 8: conformity.


def offset_of(drawn: Drawn, values, kind: str) -> float:
    if kind == "mean":
        return float(np.mean(values))
    if kind == "median":
        return float(np.median(values))
    return 0.0 if kind == "none" else float(np.mean(values[drawn.row == 0]))


def right_u(drawn: Drawn, kind: str):
    """u per line by the printed formulas, for the lines that are judged."""
    n, rows, metres = len(drawn.cells), drawn.rows, drawn.metres
    if kind in ("mean", "median"):
        formula = offsets.u_against_mean if kind == "mean" else offsets.u_against_median
        return np.array([formula(n, rows, m - metres.mean()) for m in metres])
    if kind == "none":
        return np.array([offsets.u_alone(1000 * m) for m in metres])
    return np.full(n, offsets.u_against_other_row(n // rows))


def edge_risk(wings: int, rows: int, kind: str, rule: str, right: bool) -> float:
    """Share truly outside of lines that only just pass, nothing known of the line itself.

    A line that reads at the edge is truly at the edge less its error, which is drawn: readings and
    their offset less truth and its offset, of used wings: a median errs by more the wider they are.
    """
    drawn = Drawn(rows)
    u = right_u(drawn, kind) if right else np.full(len(drawn.cells), 2.0)
    edges = np.array([conformity.edge(x, LIMIT, rule) for x in u])
    judged = drawn.row > 0 if kind == "another row" else np.full(len(drawn.cells), True)
    hits = []
    for _ in range(wings):
        true = drawn.structure()
        read = true + drawn.error()
        error = read - offset_of(drawn, read, kind) - true + offset_of(drawn, true, kind)
        hits += [np.abs(edges - sign * error)[judged] > LIMIT for sign in (1.0, -1.0)]
    return percent(hits)


def offset_errors(wings: int, rows: int, kind: str, spread: float, apart: float = 0.0) -> float:
    """sd in mm of a line's relative deviation less its truth.

    Structure `spread` times as usual, each row longer by `apart` than the one before it.
    """
    drawn, found = Drawn(rows), []
    for _ in range(wings):
        true = drawn.structure(spread) + apart * drawn.row
        read = true + drawn.error()
        found.append(read - offset_of(drawn, read, kind) - true + offset_of(drawn, true, kind))
    return float(np.std(found))


def used_wings(wings: int, rows: int) -> dict[str, float]:
    """Used wings by the mean: what passes and should not."""
    drawn = Drawn(rows)
    u = right_u(drawn, "mean")
    outside, simple, guarded = [], [], []
    for _ in range(wings):
        true = drawn.structure()
        read = true + drawn.error()
        outside.append(np.abs(true - true.mean()) > LIMIT)
        seen = np.abs(read - read.mean())
        simple.append(seen <= LIMIT)
        guarded.append(seen <= LIMIT - 2 * u)
    out, simply, guard = np.array(outside), np.array(simple), np.array(guarded)
    whole = simply.all(axis=1)
    return {
        "simple: a pass is wrong": percent(out[simply]),
        "simple: truly outside that pass": percent(simply[out]),
        "guarded 2: truly outside that pass": percent(guard[out]),
        "wings that pass entirely": percent(whole),
        "of those, one line is truly outside": percent(out[whole].any(axis=1)) if any(whole) else 0,
    }


def conforming(wings: int) -> Iterator[Line]:
    counts = (2, 3, 4, 5)
    for kind in ("mean", "median", "none", "another row"):
        yield line(
            f"8 {kind}, simple: wrong at the edge %",
            [edge_risk(wings, r, kind, "simple", True) for r in counts],
        )
        for rule in ("guarded", "probability"):
            for right in (False, True):
                found = [edge_risk(wings, r, kind, rule, right) for r in counts]
                yield line(f"8 {kind}, {rule}, {'right u' if right else 'line only'} %", found)
    for kind in ("mean", "median"):
        yield line(
            f"8 u by the formula, {kind} mm", [right_u(Drawn(r), kind).mean() for r in counts], 3
        )
        for spread in (0.0, 0.25, 1.0):
            found = [offset_errors(wings, r, kind, spread) for r in counts]
            yield line(f"8   sd of its error, structure x {spread} mm", found, 3)
        found = [offset_errors(wings, r, kind, 0.25, 15.0) for r in counts]
        yield line("8   sd of its error, structure x 0.25, rows 15 mm apart, mm", found, 3)
    each = [used_wings(wings, r) for r in (2, 3, 4)]
    for name in each[0]:
        yield line(f"8 used wings, {name} %", [one[name] for one in each])


# Section 10: a shrinkage that all lines share.


def shrunk(wings: int) -> Iterator[Line]:
    def rear(mm):
        return lambda d: np.where(d.row == d.rows - 1, mm, 0.0)

    def sides(left, right):
        return lambda d: np.where(d.sign > 0, right, left)

    def ramp(front, back):
        return lambda d: front + (back - front) * d.row / (d.rows - 1)

    cases = {
        "uniform -20, new": (lambda d: np.full(len(d.cells), -20.0), 0.25),
        "uniform -20, used": (lambda d: np.full(len(d.cells), -20.0), 1.0),
        "uniform -30, used": (lambda d: np.full(len(d.cells), -30.0), 1.0),
        "rear row -50": (rear(-50.0), 0.25),
        "one side -40": (sides(0.0, -40.0), 0.25),
        "tips -40": (lambda d: np.where(d.bend > 0.5, -40.0, 0.0), 0.25),
        "front -5 to rear -30": (ramp(-5.0, -30.0), 0.25),
        "front -15 to rear -25": (ramp(-15.0, -25.0), 0.25),
        "sides -25/-15": (sides(-25.0, -15.0), 0.25),
        "perfect": (lambda d: np.zeros(len(d.cells)), 0.0),
    }
    for name, (pattern, factor) in cases.items():
        found = []
        for rows in (2, 3, 4):
            drawn, hits = Drawn(rows), []
            for _ in range(wings):
                read = pattern(drawn) + drawn.structure(factor) + drawn.error()
                shared = shrinkage.shared_offset(drawn.with_values(read))
                hits.append(shared is not None and shared[0])
            found.append(percent(hits))
        yield line(f"10 said to share a shrinkage, {name} %", found)


# Section 12: the specification itself.


def uneven_set(random, rows: int) -> list[list[float]]:
    """Specified lengths with rib spacing that rows share, loops' offsets, steps of 5 mm."""
    count = int(random.integers(9, 16))
    t = (np.arange(count) + 0.5 + random.normal(0.0, 0.12, count)) / count
    step = random.choice([1.0, 5.0])
    found = []
    for r in range(rows):
        own = count - (2 if r == rows - 1 and random.random() < 0.4 else 0)
        depth = 450 + random.normal(0.0, 30.0)
        exact = 7300 - depth * t[:own] ** 2 + 25 * r + random.normal(0.0, 2.0, own)
        found.append([float(v) for v in np.round(exact / step) * step])
    return found


def turned(random, length: float) -> float:
    """Two neighbouring digits swapped, but for the first."""
    digits = list(str(int(length)))
    k = int(random.integers(1, len(digits) - 1))
    digits[k], digits[k + 1] = digits[k + 1], digits[k]
    return float("".join(digits))


def doubted_sets(sets: int) -> Iterator[Line]:
    counts = (2, 3, 4, 5)
    for same in (False, True):
        reported: dict[str, list[float]] = {}
        for rows in counts:
            for name, share in set_rates(sets // 5, rows, same).items():
                reported.setdefault(name, []).append(share)
        rule = "others by the same points" if same else "as written"
        for name, shares in reported.items():
            yield line(f"12 {rule}: {name} %", shares)


def set_rates(sets: int, rows: int, same: bool) -> dict[str, float]:
    """Shares of sound sets doubted and of transpositions found; `same` as in the plain rule."""
    random = np.random.default_rng(rows)
    false, large, middling = {False: [], True: []}, [], []
    for _ in range(sets):
        sound = uneven_set(random, rows)
        short = len({len(row) for row in sound}) > 1
        false[short].append(any(specification.doubted(sound, r, same) for r in range(rows)))
        r = int(random.integers(rows))
        i = int(random.integers(len(sound[r])))
        slip = turned(random, sound[r][i])
        away, sound[r][i] = abs(slip - sound[r][i]), slip
        found = specification.doubted(sound, r, same)
        if away > 25:
            hit = (found is not None, found is not None and found[0] == i)
            (large if away > 60 else middling).append(hit)
    return {
        "sound sets doubted, rows of equal count": percent(false[False]),
        "sound sets doubted, rear row two points shorter": percent(false[True]),
        "transposed > 60 mm, row": percent([h[0] for h in large]),
        "transposed > 60 mm, cell": percent([h[1] for h in large]),
        "transposed 25-60 mm, row": percent([h[0] for h in middling]),
        "transposed 25-60 mm, cell": percent([h[1] for h in middling]),
    }
