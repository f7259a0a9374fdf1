"""Every proposal worked out again by hand: lengths moved here, then the real analysis."""

from dataclasses import replace

import pytest
from trials import trials
from worn_wings import LOOPS, job, specification, worn

from trimscribe.model.job import OffsetMethod
from trimscribe.model.wing import BRAKE, GroupKind, Side
from trimscribe.plan import propose

pytestmark = pytest.mark.thorough

OFFSETS = (OffsetMethod.MEAN, OffsetMethod.ROW, OffsetMethod.NONE)


@pytest.mark.parametrize("seed", range(trials(12)))
def test_the_analysis_of_moved_lengths_says_what_the_plan_said(seed: int, ask) -> None:
    """Here 12 wings; tests/benchmarks/worn_wings_planned.py does as many as one likes."""
    spec = specification(2 + seed % 4)
    deviations = worn(seed, spec, crooked=8.0 * (seed % 5 == 0))
    one = job(spec, deviations, offset=OFFSETS[seed % 3], free_travel_mm=88.0)
    carried = {line.name: line.points for line in spec.cascade}
    fan = next(group for group in spec.groups if group.name == BRAKE)

    plan = propose(one, ask)

    for proposal in plan.proposals:
        lengths = dict(one.before.lengths_mm)
        for change in proposal.changes:
            assert change.change_mm == LOOPS[change.loop_now] - LOOPS[change.loop_proposed]
            for point in carried[change.line]:
                lengths[change.side, point] += change.change_mm
        for brake in proposal.brakes:
            for point in fan.points:
                lengths[brake.side, point] += brake.change_mm
        state = ask(replace(one, before=replace(one.before, lengths_mm=lengths))).before
        outside = [
            (x.side, x.point)
            for x in state.lines
            if x.verdict.outside and x.kind in (GroupKind.ROW, GroupKind.STABILO)
        ]
        assert list(proposal.outlook.outside_lines) == outside
        assert proposal.outlook.pitch.value == pytest.approx(state.pitch.wing.value, abs=1e-9)
        assert proposal.outlook.twist.value == pytest.approx(state.pitch.twist.value, abs=1e-9)
        assert proposal.outlook.left_right.value == pytest.approx(
            state.symmetry.angle.value, abs=1e-9
        )
        edge = ask(one).before.brakes
        for brake in proposal.brakes:
            moved = state.brakes[brake.side].line_set_mm - edge[brake.side].line_set_mm
            assert brake.then_mm == pytest.approx(88.0 - moved + brake.change_mm, abs=1e-9)
            assert brake.then_mm >= 50.0 + 2 * brake.u_mm
        assert {brake.side for brake in proposal.brakes} == set(Side)
