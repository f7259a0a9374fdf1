"""How lengths lie about the line set: counted from the tip, or with a riser in them."""

from collections.abc import Sequence
from statistics import fmean, median
from typing import TYPE_CHECKING

from trimscribe.exports.guessing.sources import FACTORS
from trimscribe.exports.mapping.normalise import Specified

if TYPE_CHECKING:
    from trimscribe.exports.guessing.understand import Understood

# An even offset above is not wear; risers have some 400 to 600 mm (common practice, no source).
_RISER_MM = 100.0
_NEARER = 0.5  # of the scatter: then points are counted from the tip


def resolve_offsets(result: "Understood", lengths: Specified) -> None:
    """Where points are counted from, and whether a riser was measured as well."""
    factor = FACTORS[result.unit or "mm"]
    centre, tip = [], []
    for source in result.sources:
        for one in source.entries:
            row = lengths.get(one.said.row, ())
            if one.said.point <= len(row):
                here, there = row[one.said.point - 1], row[len(row) - one.said.point]
                if here and there:
                    centre.append(one.value * factor - here)
                    tip.append(one.value * factor - there)
    if not centre:
        return
    scatter = {"centre": _scatter(centre), "tip": _scatter(tip)}
    if scatter["tip"] < _NEARER * scatter["centre"]:
        result.from_tip = True
        result.notes.append(
            f"Points are counted from the tip: so lengths scatter by {scatter['tip']:.0f} mm about "
            f"the line set, else by {scatter['centre']:.0f} mm."
        )
    elif any(table.tip for table in result.tables) or (
        len(centre) > 5 and scatter["centre"] > 30 and scatter["tip"] < scatter["centre"]
    ):
        result.from_tip = ask_points(result)
    shift = median(tip if result.from_tip else centre)
    if abs(shift) > _RISER_MM:
        answer = result.asked.ask(
            "riser",
            f"Lengths are about {shift:.0f} mm off the line set. Was a riser or a part of the jig "
            "measured as well? Its length in mm is taken off.",
            {"no": "no: the lines are so"},
            number=True,
        )
        result.add_mm = -float(answer) if answer not in ("", "no") else 0.0


def ask_points(result: "Understood") -> bool:
    """Whether points are counted from the tip, as a person says."""
    answer = result.asked.ask(
        "points",
        "Are points counted from the centre of the wing or from the tip?",
        {"centre": "from the centre", "tip": "from the tip"},
    )
    return answer == "tip"


def _scatter(offsets: Sequence[float]) -> float:
    middle = median(offsets)
    return fmean(abs(one - middle) for one in offsets)
