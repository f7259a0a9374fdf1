"""Errors that several deviations share, and what they make of the covariance of all of them.

An effect belongs to a source, such as what one measuring of a row errs by, and is felt by one group
of deviations; so sums over groups stand in for products of large matrices.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trimscribe.analyse.products import solved

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class SharedEffects:
    """Independent effects, each shared by a group of deviations.

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
class Covariance:
    """Of deviations that vary by themselves, by `own` in mm², and by effects that they share."""

    own: Floats
    shared: SharedEffects

    def inverse_times(self, columns: Floats) -> Floats:
        """The inverse of this matrix times (deviations, n).

        There are far fewer effects than deviations, so the inverse is taken by theirs (Woodbury's
        identity; textbook). Half of them are of one source, which has a form of its own.
        """
        finest, others = self.shared.finest_and_others()
        both = np.hstack([others.columns(), columns])
        by_finest = _inverse_times(self.own, finest, both)
        sums, count = others.sums(by_finest), others.count
        sizes = solved(np.eye(count) + sums[:, :count], sums[:, count:])
        return by_finest[:, count:] - _inverse_times(self.own, finest, others.spread(sizes))


def _inverse_times(own: Floats, finest: SharedEffects, columns: Floats) -> Floats:
    """The same with one source, none of whose effects is felt where another is.

    Sherman and Morrison's formula for each of its groups (textbook).
    """
    weighed = columns / own[:, None]
    total = 1.0 + finest.sums(finest.u[0] / own)
    return weighed - finest.spread(finest.sums(weighed) / total[:, None]) / own[:, None]
