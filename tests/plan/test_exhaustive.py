"""Every choice of loops, each looked at by the real analysis, against what the search proposes."""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from trials import trials
from worn_wings import job, specification, worn

from trimscribe.model.findings import Effect, Findings
from trimscribe.model.job import Job, OffsetMethod
from trimscribe.model.wing import GroupKind, RetrimLimits
from trimscribe.plan.lines import Unit, hanging_lines, units_of
from trimscribe.plan.response import FASTER_DEG, FoundWing, Move, Response
from trimscribe.plan.search import Search
from trimscribe.registry import Registry

pytestmark = pytest.mark.thorough

# Three loops within one step: 3 to the power of five lines.
SEEDS = (21, 36, 38)  # among them wings on which the four offsets ask for different work
SPEC = specification(2, points=6, per_main=3, retrim=RetrimLimits(most_steps=1))


@dataclass(frozen=True)
class Tried:
    changes: tuple[float, ...]
    count: int
    share: float
    mm: float
    fine: bool


def asker(registry: Registry):
    """The line set alone, which is what a plan looks at."""
    line_set = registry.get("analyses", "line_set")
    return lambda one: line_set.analyse(one, Findings())


def wide(effect: Effect) -> float:
    """What is surely below the limit of noticing; a quarter of that where nothing surely is."""
    return max(effect.threshold - 2 * effect.u, effect.threshold / 4)


def every_choice(wing: FoundWing, units: tuple[Unit, ...], ask) -> Iterator[Tried]:
    """Limits, bands and counts, written down here a second time."""
    for changes in itertools.product(*(unit.changes_mm for unit in units)):
        moves = [
            Move(member.side, member.points, mm)
            for unit, mm in zip(units, changes, strict=True)
            for member in unit.members
        ]
        state = ask(wing.moved(moves)).before
        lines = [x for x in state.lines if x.kind in (GroupKind.ROW, GroupKind.STABILO)]
        pitch = [state.pitch.wing, state.pitch.effective]
        others = [state.pitch.twist, state.symmetry.angle, state.symmetry.all_lines]
        others += state.symmetry.rows.values()
        fine = not any(x.verdict.outside for x in lines)
        fine &= all(-min(FASTER_DEG, wide(e)) - 1e-4 <= e.value <= wide(e) + 1e-4 for e in pitch)
        fine &= all(abs(e.value) <= wide(e) + 1e-4 for e in others if e.value is not None)
        yield Tried(
            changes,
            sum(unit.cost for unit, mm in zip(units, changes, strict=True) if mm),
            max(abs(x.relative_mm) / x.tolerance_mm for x in lines),
            sum(abs(mm) * len(unit.members) for unit, mm in zip(units, changes, strict=True)),
            fine,
        )


def searched(wing: FoundWing, units: tuple[Unit, ...], ask) -> Search | None:
    search = Search(Response.of(wing, units, ask), units)
    return search if search.start() else None


def wing_of(one: Job, ask) -> FoundWing:
    return FoundWing(one, one.specification, ask(one).before)


@pytest.mark.parametrize("seed", SEEDS[: trials(3)])
@pytest.mark.parametrize("offset", list(OffsetMethod))
def test_fewest_changes_and_most_room_are_those_of_all_choices(
    seed: int, offset: OffsetMethod, registry: Registry
) -> None:
    ask = asker(registry)
    shift = 0.0 if offset is not OffsetMethod.NONE else 14.0
    deviations = {key: mm + shift for key, mm in worn(seed, SPEC).items()}
    one = job(SPEC, deviations, offset=offset)
    wing, units = wing_of(one, ask), units_of(hanging_lines(one, SPEC), alike=True)
    assert len(units) == 5
    tried = [*every_choice(wing, units, ask)]
    fine = [one for one in tried if one.fine]

    search = searched(wing, units, ask)

    assert search is not None
    assert search.softened == (not fine)
    if not fine:
        return
    fewest, room = search.fewest(), search.room()
    assert fewest is not None
    assert room is not None
    count = min(one.count for one in fine)
    share = min(one.share for one in fine if one.count == count)
    mm = min(x.mm for x in fine if x.count == count and math.isclose(x.share, share, abs_tol=1e-5))
    found = next(x for x in tried if x.changes == fewest.changes_mm)
    assert found.fine
    assert (found.count, found.mm) == (count, mm)
    assert found.share == pytest.approx(share, abs=1e-5) == fewest.share
    assert room.share == pytest.approx(min(x.share for x in fine), abs=0.0201)
    assert fewest.proven
    assert room.proven


def test_these_wings_need_work_and_can_be_mended(registry: Registry) -> None:
    ask = asker(registry)
    counts = set()
    for seed in SEEDS:
        one = job(SPEC, worn(seed, SPEC))
        wing, units = wing_of(one, ask), units_of(hanging_lines(one, SPEC), alike=True)
        search = searched(wing, units, ask)
        assert search is not None
        assert not search.softened
        counts.add(len(search.fewest().touched))

    assert counts == {1, 3}


def test_where_limits_cannot_be_reached_the_least_excess_is_that_of_all_choices(
    registry: Registry,
) -> None:
    ask = asker(registry)
    deviations = worn(3, SPEC)
    key = next(key for key in deviations if str(key[1]) == "B2")
    deviations[key] += 45.0
    one = job(SPEC, deviations, offset=OffsetMethod.NONE)
    wing, units = wing_of(one, ask), units_of(hanging_lines(one, SPEC), alike=True)
    excesses = []
    for changes in itertools.product(*(unit.changes_mm for unit in units)):
        moves = [
            Move(m.side, m.points, mm)
            for unit, mm in zip(units, changes, strict=True)
            for m in unit.members
        ]
        state = ask(wing.moved(moves)).before
        if min(state.pitch.wing.value, state.pitch.effective.value) >= -FASTER_DEG - 1e-4:
            lines = [x for x in state.lines if x.kind in (GroupKind.ROW, GroupKind.STABILO)]
            excesses.append(sum(max(abs(x.relative_mm) - x.tolerance_mm, 0.0) for x in lines))

    search = searched(wing, units, ask)

    assert search is not None
    assert search.softened
    assert search.beyond[0] == pytest.approx(min(excesses), abs=1e-3)
