"""How often the plain rules are wrong about what was worked on (sections 2 to 4 of the study)."""

from collections.abc import Iterator

import numpy as np
from drawn_wings import Drawn

# isort: split
import plain_merge as merge
import plain_shift as shift
import plain_swaps as swaps
from plain_cells import small_degrees
from plain_completion import slope_weights

# isort: split
from rate_lines import Line, line, percent

# Section 2: only what was changed is measured again.


def controls_of(drawn: Drawn, moved, k: int) -> list[int]:
    """k unmoved lines per side, in turn through the unmoved rows, spread over the span."""
    chosen = []
    for side in ("left", "right"):
        rows: dict[str, list[int]] = {}
        for i, c in enumerate(drawn.cells):
            if i not in moved and c.side == side and c.station % 3 == 2:
                rows.setdefault(c.row, []).append(i)
        queues = [drawn.random.permutation(own).tolist() for own in rows.values()]
        chosen += [queues[j % len(queues)].pop() for j in range(k)]
    return chosen


def tie_rates(wings: int, rows: int, session: float, spoil=None, k: int = 3) -> float:
    """Share of ties that fail; `spoil` changes the second measuring."""
    drawn = Drawn(rows)
    moved = {i for i, c in enumerate(drawn.cells) if c.row == "ABCDE"[rows - 1]}
    hits = []
    for _ in range(wings):
        controls = controls_of(drawn, moved, k)
        z = drawn.occasion() - drawn.occasion() + drawn.random.normal(0.0, session)
        if spoil is not None:
            z = z + spoil(drawn, controls)
        hits.append(bool(merge.tie_fails(z[controls])))
    return percent(hits)


def one_control(mm: float):
    def spoil(drawn, controls):
        return np.where(np.arange(len(drawn.cells)) == controls[0], mm, 0.0)

    return spoil


def front_row(drawn, _):
    return np.where(drawn.row == 0, 6.0, 0.0)


def one_side(drawn, _):
    return np.where(drawn.sign > 0, 6.0, 0.0)


def angle_change(wings: int, rows: int, session: float, k: int) -> tuple[float, float]:
    """(sd in degrees of the error of the angle's change, share beyond 2u), rear row moved."""
    drawn = Drawn(rows)
    moved = {i for i, c in enumerate(drawn.cells) if c.row == "ABCDE"[rows - 1]}
    weights = np.array(slope_weights(drawn.cells))
    rear = np.array([i in moved for i in range(len(drawn.cells))])
    u_shift = merge.u_delta(2 * k, min(rows - 1, k)) if k else merge.KNOWN_SESSION
    u = small_degrees(merge.u_slope_change(drawn.cells, moved, u_shift))
    misses = []
    for _ in range(wings):
        z = drawn.occasion() - drawn.occasion() + drawn.random.normal(0.0, session)
        known = float(np.mean(z[controls_of(drawn, moved, k)])) if k else 0.0
        misses.append(small_degrees(float(weights[rear] @ (z[rear] - known))))
    return float(np.std(misses)), percent(np.abs(misses) > 2 * u)


def merged(wings: int) -> Iterator[Line]:
    counts = (2, 3, 4)
    for session in (1.5, 3.0):
        for k in (0, 3):
            both = [angle_change(wings, r, session, k) for r in counts]
            yield line(f"2 angle change sd deg, session {session}, k {k}", [b[0] for b in both], 3)
            yield line(f"2   beyond 2u %, session {session}, k {k}", [b[1] for b in both])
        found = [tie_rates(wings, r, session) for r in counts]
        yield line(f"2 false ties %, session {session}", found)
    for mm in (10.0, 15.0):
        found = [tie_rates(wings, r, 1.5, one_control(mm)) for r in counts]
        yield line(f"2 one control moved {mm:.0f} mm, tie fails %", found)
    yield line(
        "2 front row +6 mm, tie fails %", [tie_rates(wings, r, 1.5, front_row) for r in counts]
    )
    yield line(
        "2 one side +6 mm, tie fails %", [tie_rates(wings, r, 1.5, one_side) for r in counts]
    )


# Section 3: nearly all lines were moved.


def shared_shortfall(
    wings: int, short: float, session: float, untouched: int, single: bool = False
) -> float:
    """Share of jobs whose common test fails; three rows, all lines short of a plan of 10 mm.

    With `single` the share in which an entry fails.
    """
    drawn = Drawn(3)
    groups = [np.flatnonzero(drawn.main_side == g) for g in range(drawn.main_side.max() + 1)]
    hits = []
    for _ in range(wings):
        z = drawn.occasion() - drawn.occasion() + drawn.random.normal(0.0, session) + 10.0 - short
        still = z[: untouched * 7 : 7] - (10.0 - short) if untouched else []
        gone = set(range(0, untouched * 7, 7))
        entries = [
            (drawn.cells[own[0]].row, 10.0, [float(z[i]) for i in own if i not in gone])
            for own in groups
        ]
        each, common = shift.assess(entries, [float(s) for s in still], True)
        hits.append("outside" in each if single else common == "outside")
    return percent(hits)


def ledger(wings: int) -> Iterator[Line]:
    shorts = (0.0, 3.0, 5.0, 7.0, 10.0)
    for name, session, untouched in (
        ("none untouched, session 1.5", 1.5, 0),
        ("none untouched, session 2.5", 2.5, 0),
        ("five untouched, session 1.5", 1.5, 5),
    ):
        found = [shared_shortfall(wings, s, session, untouched) for s in shorts]
        yield line(f"3 common test fails % at 0/3/5/7/10 mm short, {name}", found)
        found = [shared_shortfall(wings, 0.0, session, untouched, single=True)]
        yield line(f"3   an entry fails though all was done %, {name}", found)


# Section 4: sides swapped, moved without entry.


def groups_of(drawn: Drawn, before, after):
    """(row, Da, De, n) of each row and main line."""
    one = swaps.differences(drawn.with_values(before))
    two = swaps.differences(drawn.with_values(after))
    return [(key[0], two[key][0], one[key][0], one[key][1]) for key in one]


def called_swapped(
    wings: int, rows: int, truth, work=None, swap=(), ask=(None,), scatter=None
) -> float:
    """Share called swapped in the whole (None) or in one of the rows that are asked about.

    `work` is done and not written down, `swap` the rows whose sides are swapped in the table.
    """
    drawn, scatter = Drawn(rows), scatter or {}
    hits = []
    for _ in range(wings):
        true = truth(drawn)
        before = true + drawn.occasion(**scatter)
        after = true + (work(drawn) if work else 0.0) + drawn.occasion(**scatter)
        groups = groups_of(drawn, before, drawn.mirrored(after, list(swap)))
        reported = False
        for row in ask:
            own = groups if row is None else [g for g in groups if g[0] == "ABCDE"[row]]
            reported = reported or swaps.swapped(own, row_alone=row is not None)
        hits.append(reported)
    return percent(hits)


def group_moved(mm: float):
    def work(drawn):
        return np.where(
            drawn.main_side == drawn.random.integers(drawn.main_side.max() + 1), mm, 0.0
        )

    return work


def row_of_side_moved(mm: float):
    def work(drawn):
        return np.where(drawn.row_side == drawn.random.integers(drawn.row_side.max() + 1), mm, 0.0)

    return work


def whole_side_moved(mm: float):
    return lambda drawn: np.where(drawn.sign > 0, -mm, 0.0)


def asymmetric(main, row, side=0.0, uniform=0.0):
    return lambda drawn: drawn.asymmetry(main, row, side, uniform)


def with_rows(rows: int):
    """Ask about the whole and about each row."""
    return (None, *range(rows))


def swapped_sides(wings: int) -> Iterator[Line]:
    counts = (2, 3, 5)
    scatters = {"full": {}, "line 1.5 only": {"repeat": 1.5, "row": 0.0, "side": 0.0}}
    for scatter, sizes in scatters.items():

        def rate(name, truth, work=None, swap=range(0), ask=lambda r: (None,), sizes=sizes):
            found = [called_swapped(wings, r, truth, work, swap, ask(r), sizes) for r in counts]
            return line(f"4 {scatter}: {name} %", found)  # noqa: B023 -- used at once

        every, slight = range(5), asymmetric(1, 1)
        yield rate("false, symmetric", asymmetric(0, 0))
        yield rate("false, symmetric, rows asked too", asymmetric(0, 0), ask=with_rows)
        yield rate("false, slight", slight)
        yield rate("false, slight, rows asked too", slight, ask=with_rows)
        yield rate("found, symmetric", asymmetric(0, 0), swap=every)
        yield rate("found, slight", slight, swap=every)
        yield rate("found, main 2 row 1 side 1", asymmetric(2, 1, 1), swap=every)
        yield rate("found, main 3 row 2 side 2", asymmetric(3, 2, 2), swap=every)
        yield rate("found, uniform 8", asymmetric(0, 0, 0, 8), swap=every)
        yield rate("one row swapped, main 2", asymmetric(2, 1, 1), swap=[0], ask=lambda r: (0,))
        yield rate("one row swapped, main 3", asymmetric(3, 1, 1), swap=[0], ask=lambda r: (0,))
        yield rate("loop 10 mm called swapped", slight, group_moved(10.0))
        yield rate("row 8 mm called swapped", slight, row_of_side_moved(8.0))
        yield rate("loop 10 mm, rows asked too", slight, group_moved(10.0), ask=with_rows)
        yield rate("row 8 mm, rows asked too", slight, row_of_side_moved(8.0), ask=with_rows)
        yield rate("side 12 mm on uniform 8", asymmetric(0, 0, 0, 8), whole_side_moved(12.0))


def moved_rates(wings: int, rows: int, mm: float = 0.0, row: float = 0.7, own=False) -> float:
    """Share of jobs with a group beyond its limit: any in a sound job, else the one moved.

    Changes are taken about the median of all lines, or of each row by itself (`own`).
    """
    drawn = Drawn(rows)
    members = [np.flatnonzero(drawn.main_side == g) for g in range(drawn.main_side.max() + 1)]
    hits = []
    for _ in range(wings):
        z = drawn.occasion(row=row) - drawn.occasion(row=row)
        at = int(drawn.random.integers(len(members)))
        z[members[at]] += mm
        for labels in [drawn.row == r for r in range(rows)] if own else [drawn.row >= 0]:
            z[labels] -= np.median(z[labels])
        beyond = [abs(float(np.mean(z[own]))) > swaps.group_limit(len(own)) for own in members]
        hits.append(beyond[at] if mm else any(beyond))
    return percent(hits)


def moved_without_entry(wings: int) -> Iterator[Line]:
    counts = (2, 3, 4, 5)
    for row, own in ((0.0, False), (0.7, False), (0.7, True)):
        name = f"row part {row}, about the median of {'the row' if own else 'all'}"
        found = [moved_rates(wings, r, 0.0, row, own) for r in counts]
        yield line(f"4 moved without entry: false jobs %, {name}", found)
        found = [moved_rates(wings, 3, mm, row, own) for mm in (5.0, 7.0, 8.0, 10.0, 12.0)]
        yield line(f"4   found at 5/7/8/10/12 mm %, 3 rows, {name}", found)
