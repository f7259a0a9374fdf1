"""Standard uncertainties (k = 1): the budget of one length, and how errors combine.

An error that several lines share is one error: its effects are added before they are squared
(JCGM 100:2008, 5.2, equation 13). So what all lines have in common, such as a tape that reads
short, cancels wherever lengths are compared with each other.
"""

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trimscribe.analyse.products import Floats, Ints, inner
from trimscribe.model.findings import ErrorSource, LoadCorrection, Scope
from trimscribe.model.job import Measurement
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Specification


@dataclass(frozen=True)
class UncertaintyComponents:
    """Uncertainty of one deviation by how far its errors reach.

    `line_mm` differs from line to line and shrinks in a mean, `row_mm` is shared by a row,
    `scale_mm_per_m` by all lines in proportion to their length. `rounding_mm`, a part of
    `line_mm`, belongs to the specified length and is the same wherever that is.
    """

    line_mm: float
    row_mm: float
    scale_mm_per_m: float = 0.0
    rounding_mm: float = 0.0

    @property
    def repeat_mm(self) -> float:
        """What differs when the same line is hooked up and read again: rounding does not."""
        return math.sqrt(max(self.line_mm**2 - self.rounding_mm**2, 0.0))


def budget_of(
    measurement: Measurement,
    specification: Specification,
    thresholds: Thresholds,
    correction: LoadCorrection | None = None,
) -> tuple[ErrorSource, ...]:
    """What makes one length uncertain, entry by entry; the job's own figures come first."""
    rounding = specification.rounding_mm
    step = thresholds.rounding_mm if rounding is None else rounding
    entries = [
        *_readings(measurement, thresholds),
        ErrorSource(
            "rounding", step / math.sqrt(12.0), "mm", Scope.LINE, stated=rounding is not None
        ),
        ErrorSource("row", thresholds.u_row_mm, "mm", Scope.ROW),
        ErrorSource("scale", thresholds.u_scale_mm_per_m, "mm/m", Scope.ALL),
    ]
    if correction is not None:
        entries.append(ErrorSource("correction", correction.u_mm, "mm", Scope.ROW))
    return tuple(entries)


def _readings(measurement: Measurement, thresholds: Thresholds) -> tuple[ErrorSource, ...]:
    """What differs each time a line is measured. A stated repeat scatter holds all of it."""
    if measurement.repeat_mm is not None:
        return (ErrorSource("repeat", measurement.repeat_mm, "mm", Scope.LINE, stated=True),)
    stated = measurement.uncertainty_mm is not None
    reading = reading_u_mm(measurement, thresholds)
    return (
        ErrorSource("instrument", reading, "mm", Scope.LINE, stated=stated),
        ErrorSource("tension", thresholds.u_tension_mm, "mm", Scope.LINE),
        ErrorSource("hook_up", thresholds.u_hook_up_mm, "mm", Scope.LINE),
    )


def spread_of(budget: Iterable[ErrorSource]) -> UncertaintyComponents:
    """The budget of one length, summed up by how far its errors reach."""
    entries = tuple(budget)

    def over(scope: Scope) -> float:
        return math.hypot(*(entry.u for entry in entries if entry.scope is scope))

    rounding = next(entry.u for entry in entries if entry.name == "rounding")
    return UncertaintyComponents(over(Scope.LINE), over(Scope.ROW), over(Scope.ALL), rounding)


def reading_u_mm(measurement: Measurement, thresholds: Thresholds) -> float:
    """Uncertainty of reading one length, without hooking it up again."""
    stated = measurement.uncertainty_mm
    return thresholds.u_instrument_mm if stated is None else stated


def repeat_u_mm(measurement: Measurement, thresholds: Thresholds) -> float:
    """Scatter in mm of the same line, hooked up and read again in one session."""
    return math.hypot(*(entry.u for entry in _readings(measurement, thresholds)))


def repeat_of_both_mm(one: Measurement, other: Measurement, thresholds: Thresholds) -> float:
    """Scatter of one reading, as the root mean square of both measurings."""
    first, last = (repeat_u_mm(m, thresholds) for m in (one, other))
    return math.sqrt((first**2 + last**2) / 2.0)


@dataclass(frozen=True, eq=False)
class Shared:
    """Errors of standard uncertainty `u`, one for each group: quantities of a group share it.

    `u` is one number or one per quantity. A quantity of group -1 has no such error.
    """

    u: float | Floats
    group: Ints


@dataclass(frozen=True, eq=False)
class SharedEffects:
    """Independent effects, each shared by a group of deviations.

    An effect belongs to a source, such as what one measuring of a row errs by, and is felt by one
    group; so sums over groups stand in for products of large matrices.

    Both arrays have a row for each source and a column for each deviation: `u` is what one standard
    deviation of the effect does to it in mm, 0 where it takes no part, and `effect` says which of
    the `count` effects that is.
    """

    u: Floats
    effect: Ints
    count: int

    @classmethod
    def of(cls, sources: Sequence[tuple[Floats, Ints]]) -> "SharedEffects":
        """From the u and the groups of each source; a member of group -1 takes no part."""
        sizes = [int(group.max(initial=-1)) + 1 for _, group in sources]
        firsts = itertools.accumulate(sizes[:-1], initial=0)
        return cls(
            np.stack([np.where(group >= 0, u, 0.0) for u, group in sources]),
            np.stack([np.maximum(g, 0) + n for n, (_, g) in zip(firsts, sources, strict=True)]),
            sum(sizes),
        )

    def and_of(self, other: "SharedEffects") -> "SharedEffects":
        """All effects of both, on the same deviations."""
        return SharedEffects(
            np.vstack([self.u, other.u]),
            np.vstack([self.effect, other.effect + self.count]),
            self.count + other.count,
        )

    def at(self, chosen: NDArray[np.bool_]) -> "SharedEffects":
        """The same effects on these deviations only."""
        return SharedEffects(self.u[:, chosen], self.effect[:, chosen], self.count)

    def finest_and_others(self) -> "tuple[SharedEffects, SharedEffects]":
        """The source with the most effects, and all others; there are at least two sources."""
        sources = [
            (u, effect - effect.min()) for u, effect in zip(self.u, self.effect, strict=True)
        ]
        finest = sources.pop(int(np.argmax([groups.max() for _, groups in sources])))
        return SharedEffects.of([finest]), SharedEffects.of(sources)

    def sums(self, weights: Floats) -> Floats:
        """What one standard deviation of each effect does to sum(weights × deviation), in mm.

        `weights` has an entry for each deviation, or is (deviations, n) for n such sums.
        """
        if weights.ndim == 1:
            shares = (self.u * weights).ravel()
            sums = np.bincount(self.effect.ravel(), weights=shares, minlength=self.count)
            return np.asarray(sums, dtype=np.float64)
        found = np.zeros((self.count, weights.shape[1]))
        for u, effect in zip(self.u, self.effect, strict=True):
            order = np.argsort(effect, kind="stable")
            effects, starts = np.unique(effect[order], return_index=True)
            found[effects] += np.add.reduceat(weights[order] * u[order, None], starts, axis=0)
        return found

    def spread(self, sizes: Floats) -> Floats:
        """What effects of these sizes, in standard deviations, do to each deviation, in mm.

        `sizes` has an entry for each effect, or is (effects, n).
        """
        u = self.u if sizes.ndim == 1 else self.u[:, :, None]
        done = u[0] * sizes[self.effect[0]]
        for source in range(1, len(u)):
            done += u[source] * sizes[self.effect[source]]
        return np.asarray(done)

    def columns(self) -> Floats:
        """What one standard deviation of each effect does to each deviation: (deviations, n)."""
        return self.spread(np.eye(self.count))


@dataclass(frozen=True, eq=False)
class ErrorModel:
    """How the deviations of a table err.

    Independent sources, each shared within groups of lines, and what all lines have in common in
    proportion to their length: `scale_mm_per_m` times `length_m`.
    """

    sources: tuple[Shared, ...]
    scale_mm_per_m: float
    length_m: Floats

    def u(self, weights: Floats, against_m: float = 0.0) -> float:
        """Standard uncertainty of sum(weights × deviation).

        What all lines share shows only in so far as the weighted lengths do not cancel, less
        `against_m` for a line compared with them.
        """
        own, effects = self.effects
        shared = effects.sums(weights)
        shared[0] -= self.scale_mm_per_m * against_m
        return math.sqrt(inner(weights**2, own) + inner(shared, shared))

    def variances(self) -> Floats:
        """The variance of each deviation by itself, in mm²."""
        own, effects = self.effects
        return np.asarray(own + (effects.u**2).sum(axis=0))

    def covariances_with(self, weights: Floats) -> Floats:
        """Of each deviation with sum(weights × deviation), in mm²."""
        own, effects = self.effects
        return np.asarray(own * weights + effects.spread(effects.sums(weights)))

    @cached_property
    def effects(self) -> tuple[Floats, SharedEffects]:
        """Variances in mm² that each deviation has for itself, and effects that several share.

        The first effect is what all lines share.
        """
        own = np.zeros(len(self.length_m))
        every = np.zeros(len(self.length_m), dtype=np.int64)
        several = [(self.scale_mm_per_m * self.length_m, every)]
        for source in self.sources:
            takes = source.group >= 0
            u = np.where(takes, source.u, 0.0)
            if np.bincount(source.group[takes]).max(initial=0) <= 1:
                own += u**2
            else:
                several.append((u, source.group))
        return own, SharedEffects.of(several)
