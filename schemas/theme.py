"""The theme file: a look of its own, or what it changes of the theme it extends."""

from trimscribe.model.ink import COLOURS
from trimscribe.schemas.fields import (
    NAME,
    NAME_HINT,
    Choice,
    FileSchema,
    Items,
    NamedValues,
    NestedMapping,
    Number,
    Pattern,
    Schema,
    Text,
)


def colour(description: str) -> Pattern:
    """Make a field for a colour."""
    return Pattern(description, "#[0-9a-fA-F]{6}", belongs='a colour in quotes such as "#24566b"')


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
        belongs="a block of keys such as {storage: {after: cautions}}",
        pattern=NAME,
        name_hint=NAME_HINT,
    )


def _millimetres(description: str) -> Number:
    return Number(description, "a size in mm such as 20", least=8, most=60)


def _texts(description: str) -> NamedValues:
    """Texts by language and key."""
    return NamedValues(
        description,
        NamedValues(
            "By key.", Text, belongs="a block of keys with texts", pattern=NAME, name_hint=NAME_HINT
        ),
        belongs="a block of keys such as {en: {key: text}}",
        pattern="[a-z]{2,3}(_[A-Za-z]{2,4})?",
        name_hint="Write two or three small letters, such as en, or en_GB.",
    )


class _SizesSchema(Schema):
    """The tokens that are no colours."""

    paper = Choice("Size of the page.", ("a4", "us-letter"))
    margin_x_mm = _millimetres("Margin at the left and the right.")
    margin_top_mm = _millimetres("Margin at the top.")
    margin_bottom_mm = _millimetres("Margin at the bottom; the footer is in it.")
    font = Text("Family of a font in the fonts folder of the theme or of one it extends.")
    font_drawings = Text(
        "Family for the words and numbers in drawings; its figures are all as high."
    )
    size_pt = Number(
        "Size of body text in points; every other size follows from it.",
        "a size in points such as 9.5",
        above=0,
        most=14,
    )


TokensSchema = _SizesSchema.from_dict(
    {one.token: colour(one.about) for one in COLOURS}, name="TokensSchema"
)
"""The values that all templates and figures share."""


class ThemeFileSchema(FileSchema):
    """A theme."""

    name = Pattern(
        "Name of the theme.",
        "[a-z][a-z0-9_-]{0,39}",
        belongs="a name in small letters such as coast-blue",
        required=True,
    )
    extends = Text("Theme that this one changes: base, another name, or a folder such as ../coast.")
    tokens = NestedMapping(TokensSchema, "Colours, sizes, font and paper.")
    sections = Items(
        "The parts of the report in order; left out, those of the theme it extends.",
        Text,
        belongs="a list of sections such as [letter, cautions, lines, record]",
    )
    add_sections = added_sections("Parts added to those of `sections`, or of the theme it extends.")
    wording = _texts("Headings in the theme's own words, by language and label.")
    phrases = _texts("Texts that the theme's own templates show, by language and key.")
