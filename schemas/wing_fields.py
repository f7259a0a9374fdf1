"""The values of the trade: lengths of lines, points, the cascade, loops, tolerances."""

import re
from collections.abc import Mapping
from typing import Any

import marshmallow as mm

from trimscribe.model.wing import Point, RiserLengths
from trimscribe.schemas.fields import (
    JsonSchema,
    NamedValues,
    NestedMapping,
    Number,
    Problem,
    Schema,
    Text,
    Value,
)

# A point is written A3, so a row's name may not end in a digit; the other groups have their own.
ROW_NAME = r"(?!(?:stabilo|brake|brake_main)$).*[^0-9\s]"
_POINT = re.compile(r"(.*[^0-9\s])([1-9][0-9]{0,2})")
_RANGE = re.compile(r"(.*[^0-9\s])([1-9][0-9]{0,2})-(?:(.*[^0-9\s]))?([1-9][0-9]{0,2})")

# Wide on purpose: a length in metres shall reach the check that names the slip.
SHORTEST_MM, LONGEST_MM = 1.0, 100_000.0
_SUCH_AS = "a length in mm such as 7342 or 7342.5"

UNNAMED = "default"  # in `tied`: every main line that is not named
_SIDES = ("left", "right")
_BY_SIDE = {
    "left": "The loop on the left.",
    "right": "The loop on the right.",
    "loop": "The loop on both sides.",
    "maillon": "The table of loops that the maillon belongs to, if there are several.",
}


def point_named(text: str) -> Point | None:
    """`A3` as a point; None when the text is not row and number."""
    match = _POINT.fullmatch(text)
    return Point(match[1], int(match[2])) if match else None


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


def length(description: str, *, such_as: str = _SUCH_AS) -> Number:
    """Make a field for one length in mm, from 1 mm to 100 m."""
    return Number(
        description, such_as, least=SHORTEST_MM, most=LONGEST_MM, code="length-not-a-number"
    )  # fmt: skip


class Lengths(Value):
    """Lengths in mm from the centre to the tip; one value alone is a list of one."""

    belongs = "a list of lengths in mm from the centre to the tip"

    def __init__(
        self, description: str, *, gaps: bool = False, inner: Number | None = None,
        required: bool = False,
    ) -> None:  # fmt: skip
        """Take whether `~` may stand for a point that was not measured."""
        super().__init__(description, required=required)
        self.inner = inner or length("")
        self.gaps = gaps
        if inner:
            self.belongs = "a number, or a list of numbers from the centre to the tip"

    def deserialize(self, value: Any, *args: Any, **kwargs: Any) -> Any:
        """Take `~` alone for a list of one point that was not measured, where gaps may be."""
        return super().deserialize(
            [None] if value is None and self.gaps else value, *args, **kwargs
        )

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> list[float | None]:
        if not isinstance(value, list):
            if isinstance(value, Mapping):
                raise self.problem("not-a-list")
            return [self.inner.check(value)]
        if self.required and not value:
            raise self.problem("missing-value")
        errors: dict[int, Any] = {}
        lengths: list[float | None] = []
        for index, written in enumerate(value):
            if written is None and self.gaps:
                lengths.append(None)
                continue
            try:
                lengths.append(self.inner.check(written))
            except mm.ValidationError as error:
                errors[index] = error.messages
                lengths.append(None)
        if errors:
            raise mm.ValidationError(errors, valid_data=lengths)
        return lengths

    def json_schema(self) -> JsonSchema:
        """One number or a list of them."""
        number = self.inner.json_schema()
        entry = {**number, "type": ["number", "null"]} if self.gaps else number
        return {"anyOf": [entry, {"type": "array", "items": entry}]}


class Cascade(Value):
    """Main line at the maillon → middle lines → attachment points, to any depth."""

    belongs = "a block of lines, each with a list of points such as [A1, A2] or lines above it"

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> dict[str, Any]:
        if not isinstance(value, Mapping):
            raise self.problem("not-a-mapping")
        errors: dict[str, Any] = {}
        lines = self._lines(value, errors)
        if errors:
            raise mm.ValidationError(errors, valid_data=lines)
        return lines

    def _lines(self, value: Mapping[str, Any], errors: dict[str, Any]) -> dict[str, Any]:
        lines: dict[str, Any] = {}
        for name, above in value.items():
            faults: dict[Any, Any] = {}
            if isinstance(above, Mapping) and above:
                lines[name] = self._lines(above, faults)
            elif isinstance(above, list) and above:
                points = [point_named(p) if isinstance(p, str) else None for p in above]
                problem = [Problem("not-a-point", "row and number such as A3")]
                faults = {i: problem for i, point in enumerate(points) if point is None}
                lines[name] = points
            else:
                errors[name] = [Problem("not-a-cascade-line", self.belongs)]
                lines[name] = []
            if faults:
                errors[name] = faults
        return lines

    def json_schema(self) -> JsonSchema:
        """A reference, because lines stand on lines; the definition is `DEFINITIONS`."""
        return {"type": "object", "additionalProperties": {"$ref": "#/$defs/cascade_line"}}


DEFINITIONS: JsonSchema = {
    "cascade_line": {
        "description": "Points that hang on this line, or the lines above it.",
        "anyOf": [
            {
                "type": "array",
                "minItems": 1,
                "items": {"type": "string", "pattern": f"^{_POINT.pattern}$"},
            },
            {
                "type": "object",
                "minProperties": 1,
                "additionalProperties": {"$ref": "#/$defs/cascade_line"},
            },
        ],
    }
}


class TiedField(Value):
    """Loops by line: a name, or one for each side; `maillon` names the table if there are several.

    Each line becomes {left: …, right: …, maillon: …}.
    """

    belongs = (
        "a block of lines with loops such as {default: single loop, c1: {left: double loop, right: "
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
        if key not in _BY_SIDE:
            wrong[key] = [Problem("unknown-key", names=tuple(_BY_SIDE))]
        elif not isinstance(loop, str) or not loop.strip():
            wrong[key] = [Problem("loop-not-clear")]
        elif key == "loop":
            right = {**dict.fromkeys(_SIDES, loop.strip()), **right}
        else:
            right[key] = loop.strip()
    return right, wrong


class Riser(Schema):
    """One riser."""

    builds = RiserLengths

    trim_mm = length("Length at trim speed, in mm.", such_as="a length in mm such as 520")
    accelerated_mm = length(
        "Length with the accelerator fully pushed, in mm.", such_as="a length in mm such as 385"
    )


def _half_width(description: str) -> Number:
    return Number(description, "a tolerance in mm such as 10", above=0, most=1000)


class TolerancesSchema(Schema):
    """How far a line may be off, to either side; one value overrides another by name."""

    default_mm = _half_width("For every line without a tolerance of its own, ± mm.")
    rows = NamedValues(
        "By row, ± mm.", _half_width(""), belongs="a block of keys such as {A: 8}", pattern=ROW_NAME
    )
    stabilo_mm = _half_width("For the stabilo lines, ± mm.")
    brake_mm = _half_width("For the brake lines, ± mm.")
    riser_mm = _half_width("For the risers, ± mm.")
    left_right_mm = _half_width("For the difference between left and right, ± mm.")
    source = Text("Who set them, such as the maker's manual.")


def tolerances(description: str) -> NestedMapping:
    """Make a field for tolerances."""
    return NestedMapping(TolerancesSchema, description)
