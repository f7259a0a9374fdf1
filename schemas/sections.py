"""Sections that a theme or a workshop adds to the report, each with its place."""

from trimscribe.schemas.containers import NamedValues, NestedMapping, Schema
from trimscribe.schemas.fields import Text

__all__ = ["added_sections"]


class SectionPlaceSchema(Schema):
    """Where a section goes."""

    after = Text("The section that it follows.", required=True)


def added_sections(description: str) -> NamedValues:
    """Make a field for sections by name, each with the one that it follows."""
    return NamedValues(
        description,
        NestedMapping(
            SectionPlaceSchema,
            "The place of one section.",
            belongs="a place such as {after: lines}",
        ),
        belongs="a mapping such as {storage: {after: cautions}}",
        pattern="[a-z][a-z0-9_]{0,39}",
    )
