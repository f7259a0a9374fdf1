"""What kinds of wing the truth trial draws: one level of each factor, with its weight.

A level is a word, so that every figure can be printed by it. What makes no sense together is put
right in one place, `settled`.
"""

from dataclasses import dataclass, fields, replace

import numpy as np

__all__ = ["FACTORS", "Kind", "draw", "settled"]


@dataclass(frozen=True)
class Kind:
    """One kind of wing and job; each field is a factor of `FACTORS`.

    shape: what is truly wrong with the wing. measured: which of its lines were. occasions: when.
    work: what the job claims. carried_out: what became of it (short: by 10 mm). controls: untouched
    lines per side that were measured again where only the changed ones were. u: stated, in mm.
    travel: whether free travel was measured, with the brakes' lines or alone.
    """

    rows: str = "3"
    layout: str = "even"
    shape: str = "perfect"
    measured: str = "all"
    occasions: str = "both"
    work: str = "none"
    carried_out: str = "as planned"
    controls: str = "none"
    risers: str = "not listed"
    offset: str = "mean"
    rule: str = "simple"
    u: str = "1.5"
    slip: str = "none"
    travel: str = "not read"

    @property
    def sound(self) -> bool:
        """Nothing was mistyped, and the work is as the job says."""
        return self.slip == "none" and self.carried_out == "as planned"


FACTORS: dict[str, dict[str, float]] = {
    "rows": {"2": 0.3, "3": 0.3, "4": 0.25, "5": 0.15},
    "layout": {"even": 0.75, "uneven": 0.25},
    "shape": {
        "perfect": 0.32,
        "used": 0.18,
        "pitch": 0.14,
        "twist": 0.07,
        "turn": 0.12,
        "brakes": 0.08,
        "shrunk": 0.04,
        "one row": 0.05,
    },
    "measured": {
        "all": 0.66,
        "gaps": 0.14,
        "one side": 0.06,
        "no end row": 0.06,
        "one row": 0.04,
        "one line": 0.04,
    },
    "occasions": {"before": 0.2, "both": 0.48, "after": 0.04, "part": 0.28},
    "work": {"none": 0.25, "some lines": 0.5, "all lines": 0.25},
    "carried_out": {
        "as planned": 0.58,
        "all short": 0.18,
        "one short": 0.12,
        "one not written": 0.12,
    },
    "controls": {"none": 0.3, "one": 0.2, "three": 0.5},
    "risers": {"not listed": 0.4, "included": 0.2, "measured": 0.22, "not measured": 0.18},
    "offset": {"mean": 0.55, "median": 0.15, "none": 0.15, "row": 0.15},
    "rule": {"simple": 0.34, "guarded": 0.33, "probability": 0.33},
    "u": {"0.5": 0.1, "1": 0.2, "1.5": 0.4, "2.5": 0.2, "4": 0.1},
    "slip": {"none": 0.88, "digits": 0.05, "specified digits": 0.035, "sides after": 0.035},
    "travel": {"not read": 0.7, "read": 0.2, "read alone": 0.1},
}


def draw(random: np.random.Generator, fixed: dict[str, str] | None = None) -> Kind:
    """A kind by the weights; `fixed` factors are not drawn.

    Free travel is drawn aside, so that a seed gives the same wing whether it is read or not.
    """
    aside = random.spawn(1)[0]
    drawn = {
        name: str(
            (aside if name == "travel" else random).choice(
                list(levels), p=np.array(list(levels.values()))
            )
        )
        for name, levels in FACTORS.items()
    }
    return settled(Kind(**{**drawn, **(fixed or {})}))


def settled(kind: Kind) -> Kind:
    """The kind without what makes no sense together."""
    assert [f.name for f in fields(kind)] == list(FACTORS)
    if kind.shape == "perfect":  # nobody works on it
        kind = replace(kind, work="none")
        if kind.occasions == "part":
            kind = replace(kind, occasions="both")
    if kind.measured in ("one row", "one line"):  # no work, and too few to see a slip by
        kind = replace(kind, work="none", slip="none")
        if kind.occasions == "part":
            kind = replace(kind, occasions="before")
    if kind.occasions == "part" and kind.work == "none":
        kind = replace(kind, work="some lines")
    if kind.occasions == "after" and kind.work == "none":  # then it is after nothing
        kind = replace(kind, occasions="before")
    if kind.occasions == "before":
        kind = replace(kind, work="none")
    if kind.work == "none":
        kind = replace(kind, carried_out="as planned")
    if kind.carried_out == "one not written" and kind.occasions == "part":
        kind = replace(kind, carried_out="as planned")  # such a line is not measured again
    if kind.occasions != "part":
        kind = replace(kind, controls="none")
    if kind.slip == "sides after" and kind.occasions != "both":
        kind = replace(kind, slip="none")
    return kind
