"""Sections that a theme or a workshop adds to the report, each with its place."""

from trimscribe.schemas.containers import Part, Schema, Table
from trimscribe.schemas.fields import Text

__all__ = ["added_sections"]


class SectionPlaceSchema(Schema):
    """Where a section goes."""

    after = Text("The section that it follows.", required=True)


def added_sections(description: str) -> Table:
    """Make a field for sections by name, each with the one that it follows."""
    return Table(
        description,
        Part(
            SectionPlaceSchema,
            "The place of one section.",
            belongs="a place such as {after: lines}",
        ),
        belongs="a mapping such as {storage: {after: cautions}}",
        pattern="[a-z][a-z0-9_]{0,39}",
    )
