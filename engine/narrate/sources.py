"""From a fact to the findings that it was taken from."""

from collections.abc import Mapping

from trimscribe.narrate.facts import Facts

__all__ = ["sources_of"]

# By the beginning of a fact's name behind found_ or now_; the longest that fits holds.
_STATE: Mapping[str, str] = {
    "checked": "lines",
    "measured": "lines",
    "load_": "comparable_load",
    "lines": "verdict",
    "judged": "lines",
    "outside": "lines",
    "close": "lines",
    "missing": "lines",
    "limit_mm": "lines",
    "offset_mm": "offset",
    "pitch": "pitch.wing",
    "twist": "pitch.twist",
    "turn": "symmetry",
    "bent": "residuals",
    "speed": "speed",
    "brakes": "brake_verdict",
    "brakes_measured": "brakes",
    "brakes_long": "brakes",
    "brakes_short": "brakes",
    "brake_": "brakes",
    "brake_uneven": "brake_difference",
    "brake_longer_side": "brake_difference",
    "free_travel": "brakes",
    "risers": "risers",
}
_CHANGE: Mapping[str, str] = {
    "known": "change.pitch",
    "pitch": "change.pitch",
    "twist": "change.twist",
    "turn": "change.symmetry_angle",
    "speed": "change.speed",
    "brake": "change.brakes",
}
# Paths of findings and of the job's own values, space by space.
_SINGLE: Mapping[str, str] = {
    "adjusted": "adjustments",
    "lines_adjusted": "adjustments",
    "longer": "ledger",
    "shorter": "ledger",
    "other_lines": "ledger",
    "brake_work": "ledger",
    "replaced": "replacements",
    "ledger": "ledger",
    "plan_open": "plan",
    "cloth": "cloth_verdict",
    "porosity": "porosity",
    "tear": "tear",
    "strength": "strength",
    "inspection": "inspection_verdict",
    "inspected": "inspection",
    "damaged": "inspection",
    "worn": "inspection",
    "repaired": "inspection",
    "not_checked": "inspection",
    "weight": "pilot.all_up_weight_kg",
    "reported": "pilot.reported",
    "remeasured": "after",
    "comparable": "{now}.comparable_load",
    "trim_changed": "change.pitch",
    "lines_touched": "adjustments",
    "free_travel": "{travel}.brakes",
    "stop": "{travel}.brakes strength cloth_verdict inspection_verdict",
    "not_assessed": (
        "{now}.verdict {now}.brake_verdict {now}.riser_verdict strength cloth_verdict "
        "inspection_verdict"
    ),
    "decision": "decision",
    "corrected": "{corrected}.correction",
    "doubts": "doubts",
    "confirmed": "doubts",
}


def sources_of(fact: str, facts: Facts) -> tuple[str, ...]:
    """The paths of the findings, or of the job's values, behind one of the facts."""
    now = "after" if facts["remeasured"] else "before"
    for prefix, when in (("found_", "before"), ("now_", now)):
        if fact.startswith(prefix) and (path := _longest(_STATE, fact.removeprefix(prefix))):
            return (f"{when}.{path}",)
    if fact.startswith("change_"):
        return tuple(_longest(_CHANGE, fact.removeprefix("change_")).split())
    # Free travel that was not measured anew is still that of the wing as it came.
    travel = "before" if facts["now_free_travel_mm"] is None else now
    states = {"now": now, "travel": travel, "corrected": facts["corrected_when"]}
    return tuple(_longest(_SINGLE, fact).format(**states).split())


def _longest(table: Mapping[str, str], name: str) -> str:
    fitting = [beginning for beginning in table if name.startswith(beginning)]
    return table[max(fitting, key=len)] if fitting else ""
