"""What a proposed retrim needs: loops as found, what the maker allows, the maker's rules."""

import re
from collections.abc import Mapping
from typing import Any

import marshmallow as mm

from trimscribe.model.wing import Point, RetrimLimits
from trimscribe.schemas.containers import Items, Schema
from trimscribe.schemas.fields import Choice, JsonSchema, Number, Problem, Text, Value
from trimscribe.schemas.wing_fields import point_named

DEFAULT = "default"  # in `tied`: every main line that is not named
_SIDES = ("left", "right")
_BY_SIDE = {
    "left": "The loop on the left.",
    "right": "The loop on the right.",
    "loop": "The loop on both sides.",
    "maillon": "The table of loops that the maillon belongs to, if there are several.",
}
_RANGE = re.compile(r"(.*[^0-9\s])([1-9][0-9]{0,2})-(?:(.*[^0-9\s]))?([1-9][0-9]{0,2})")


class TiedField(Value):
    """Loops by line: a name, or one for each side; `maillon` names the table if there are several.

    Each line becomes {left: …, right: …, maillon: …}.
    """

    belongs = (
        "a mapping of lines to loops such as {default: single loop, c1: {left: double loop, right: "
        "single loop}}"
    )

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> dict[str, Any]:
        if not isinstance(value, Mapping):
            raise self.problem("not-a-mapping")
        errors: dict[str, Any] = {}
        lines: dict[str, Any] = {}
        for name, stated in value.items():
            if isinstance(stated, str) and stated.strip():
                lines[name] = dict.fromkeys(_SIDES, stated.strip())
            elif isinstance(stated, Mapping) and stated:
                lines[name], wrong = _by_side(stated)
                if wrong:
                    errors[name] = wrong
            else:
                errors[name] = [Problem("loop-not-clear")]
        if errors:
            raise mm.ValidationError(errors, valid_data=lines)
        return lines

    def json_schema(self) -> JsonSchema:
        """A mapping of lines to a loop, or to one for each side."""
        loop: JsonSchema = {"type": "string", "minLength": 1}
        described = {key: {"description": text, **loop} for key, text in _BY_SIDE.items()}
        by_side: JsonSchema = {
            "type": "object",
            "properties": described,
            "additionalProperties": False,
            "minProperties": 1,
        }
        return {"type": "object", "additionalProperties": {"anyOf": [loop, by_side]}}


def _by_side(stated: Mapping[str, Any]) -> tuple[dict[str, str], dict[str, Any]]:
    """What is right of one line's loops, and what is wrong."""
    right: dict[str, str] = {}
    wrong: dict[str, Any] = {}
    for key, loop in stated.items():
        if key not in tuple(_BY_SIDE):
            wrong[key] = [Problem("unknown-key", names=tuple(_BY_SIDE))]
        elif not isinstance(loop, str) or not loop.strip():
            wrong[key] = [Problem("loop-not-clear")]
        elif key == "loop":
            right = {**dict.fromkeys(_SIDES, loop.strip()), **right}
        else:
            right[key] = loop.strip()
    return right, wrong


class PointsField(Value):
    """Points by name or as a range: [A1-A4, B2]; becomes a list of points."""

    belongs = "a list of points or ranges such as [A1-A4]"

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> list[Point]:
        if not isinstance(value, list):
            raise self.problem("not-a-list")
        if self.required and not value:
            raise self.problem("missing-value")
        found = [_points(text) for text in value]
        problem = [Problem("not-a-point", "a point such as A3 or a range such as A1-A4")]
        if errors := {n: problem for n, points in enumerate(found) if not points}:
            raise mm.ValidationError(errors)
        return list(dict.fromkeys(point for points in found for point in points))

    def json_schema(self) -> JsonSchema:
        """A list of points or ranges."""
        return {"type": "array", "items": {"type": "string"}}


def _points(text: Any) -> list[Point]:
    """The points that a text names; empty when it names none."""
    if not isinstance(text, str):
        return []
    found = _RANGE.fullmatch(text.replace(" ", "").replace("–", "-"))
    if not found or found[3] not in (None, found[1]):
        single = point_named(text)
        return [single] if single else []
    return [Point(found[1], n) for n in range(int(found[2]), int(found[4]) + 1)]


class RetrimSchema(Schema):
    """What the maker allows."""

    builds = RetrimLimits

    loops = Items(
        "Loops that may be tied at a maillon; any in the workshop's table if left out.",
        Text,
        belongs="a list of loops such as [single loop, double loop]",
    )
    never = Items(
        "Lines whose loop is never changed.", Text, belongs="a list of lines such as [a1, a2]"
    )
    most_steps = Number(
        "How many places in the order of take-up a loop may be away from the one found.",
        "a count such as 1", least=1, most=20, whole=True,
    )  # fmt: skip


class TrimRuleSchema(Schema):
    """One rule: the mean of some lines less the mean of others."""

    name = Text("What the maker calls it.", required=True)
    plus = PointsField("Lines whose mean deviation counts.", required=True)
    minus = PointsField("Lines whose mean deviation is taken away.")
    side = Choice("On each side by itself, or over both together; each if left out.",
                  ("each", "both"))  # fmt: skip
    target_mm = Number(
        "What the difference is to be, in mm; 0 if left out.", "a difference in mm such as 0",
        least=-500, most=500,
    )  # fmt: skip
    within_mm = Number(
        "How far from that it may be, ± mm.", "a tolerance in mm such as 4", above=0, most=500,
        required=True,
    )  # fmt: skip
