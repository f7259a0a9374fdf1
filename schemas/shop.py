"""The shop file: the workshop's own page, named by every job."""

from trimscribe.model.thresholds import NAMES
from trimscribe.schemas.containers import FileSchema, Items, Schema, Table
from trimscribe.schemas.decision import DecisionRuleField
from trimscribe.schemas.fields import Choice, Number, Pattern, Text
from trimscribe.schemas.wing_fields import tolerances

__all__ = ["ShopFileSchema", "ShopSchema", "thresholds"]


def thresholds(description: str) -> Table:
    """Make a field for thresholds of the analysis by name."""
    return Table(
        description,
        Number("", "a number such as 0.5", above=0, most=10_000),
        belongs="a mapping of threshold names to numbers",
        names=NAMES,
    )


class ShopSchema(Schema):
    """A workshop, as written in a job."""

    name = Text("Name of the workshop as it stands on the report.", required=True)
    address = Items("Address, line by line.", Text("", required=True), belongs="a list of lines")
    contact = Items(
        "Telephone, mail, site: one per line.", Text("", required=True), belongs="a list of lines"
    )
    registration = Text("Number or licence that the workshop works under.")
    accent = Pattern(
        "The workshop's colour as #rrggbb.",
        "#[0-9a-fA-F]{6}",
        belongs='a colour in quotes such as "#24566b"',
    )
    paper = Choice("Size of the page.", ("a4", "us-letter"))
    language = Text("Language of the report, such as en.")
    theme = Text("Theme of the report: a name or a folder.")
    cautions = Items(
        "Cautions of the workshop's own, printed after the required ones.",
        Text("", required=True),
        belongs="a list of sentences",
    )
    tolerances = tolerances("Used where neither the job nor the specification gives a tolerance.")
    thresholds = thresholds("Overrides of the analysis's thresholds by name.")
    decision_rule = DecisionRuleField("How results are held against limits; simple if left out.")


class ShopFileSchema(FileSchema, ShopSchema):
    """A workshop in a file of its own."""
