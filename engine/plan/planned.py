"""A job as it would be measured after a plan: what the real analysis is asked about."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from trimscribe.model.findings import State
from trimscribe.model.job import Job
from trimscribe.model.wing import GroupKind, Point, Side, Specification


@dataclass(frozen=True)
class Move:
    """Points of one side that would get longer (+) or shorter by this many mm."""

    side: Side
    points: tuple[Point, ...]
    mm: float


def as_found(job: Job) -> Job:
    """The job before any work: what a plan starts from."""
    return replace(
        job,
        after=None,
        adjustments=(),
        replacements=(),
        porosity=None,
        tear=None,
        strength=(),
        inspection=(),
        plan=None,
    )


@dataclass(frozen=True)
class FoundWing:
    """The wing as found, to be looked at with moved lines."""

    job: Job
    specification: Specification
    state: State

    def moved(
        self,
        moves: Iterable[Move],
        brakes: Mapping[Side, float] | None = None,
        free_travel_mm: Mapping[Side, float] | None = None,
    ) -> Job:
        """The job with lengths moved, the main brake lines by `brakes` in mm.

        Free travel as measured belongs to the lengths as they were: without `free_travel_mm` there
        is none.
        """
        before = self.job.before
        assert before is not None
        lengths = dict(before.lengths_mm)
        for move in (*moves, *self._brake_moves(brakes or {})):
            for point in move.points:
                if (move.side, point) in lengths:
                    lengths[move.side, point] += move.mm
        planned = replace(
            before,
            lengths_mm=lengths,
            free_travel_mm=dict(free_travel_mm or {}),
            calculated=True,
        )
        return replace(self.job, before=planned)

    def _brake_moves(self, brakes: Mapping[Side, float]) -> Iterable[Move]:
        kinds = (GroupKind.BRAKE, GroupKind.BRAKE_MAIN)
        points = tuple(p for g in self.specification.groups if g.kind in kinds for p in g.points)
        return [Move(side, points, mm) for side, mm in brakes.items()]
