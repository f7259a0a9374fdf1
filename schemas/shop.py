"""The shop file: the workshop's own page, found beside or above every job."""

from typing import Any

import marshmallow as mm

from trimscribe.model.decision import SIMPLE, Acceptance, DecisionRule
from trimscribe.model.statements import Place, Weight
from trimscribe.model.thresholds import NAMES
from trimscribe.model.workshop import DATE_FORMATS, NUMBER_FORMATS, SPEED_UNITS, Person
from trimscribe.schemas.fields import (
    NAME,
    NAME_HINT,
    Choice,
    FileSchema,
    Items,
    JsonSchema,
    NamedValues,
    NestedMapping,
    Number,
    Schema,
    Text,
    Value,
)
from trimscribe.schemas.theme import added_sections, colour
from trimscribe.schemas.wing_fields import tolerances

# What a workshop's own words for exports may name, and the kind that each is of.
EXPORT_WORDS = {
    **dict.fromkeys(("left", "right"), "side"),
    **dict.fromkeys(("before", "after"), "when"),
    **dict.fromkeys(
        ("specified", "measured", "deviation", "difference", "tolerance", "mean", "sum", "remark"),
        "role",
    ),
    **dict.fromkeys(("stabilo", "brake", "brake_main"), "row"),
}


# The headline and the decision are not a sentence among others: the job's `decision` states them.
_PLACES = [place.name.lower() for place in Place if place not in (Place.DECISION, Place.HEADLINE)]


def thresholds(description: str) -> NamedValues:
    """Make a field for thresholds of the analysis by name."""
    return NamedValues(
        description,
        Number("", "a number such as 0.5", above=0, most=10_000),
        belongs="a block of threshold names with numbers",
        names=NAMES,
    )


# The value behind each word. A guarded rule with no band, or a probability of a half, is `simple`.
_RULE_NUMBERS = {
    Acceptance.GUARDED.value: Number(
        "Guard band at each limit, in standard uncertainties of the result.",
        "a guard band in standard uncertainties such as 2",
        above=0,
        most=10,
    ),
    Acceptance.PROBABILITY.value: Number(
        "Least probability that the true value is within its limit.",
        "a probability such as 0.95 for 95 %",
        above=0.5,
        most=0.9999,
    ),
}


class DecisionRuleField(Value):
    """A word alone, or a word with its number."""

    belongs = "simple, {guarded: 2} or {probability: 0.95}"

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> Any:
        if value == Acceptance.SIMPLE.value:
            return SIMPLE
        if not isinstance(value, dict) or len(value) != 1 or not set(value) <= set(_RULE_NUMBERS):
            raise self.problem("decision-rule-not-clear")
        [(word, number)] = value.items()
        try:
            return DecisionRule(Acceptance(word), _RULE_NUMBERS[word].check(number))
        except mm.ValidationError as error:
            raise mm.ValidationError({word: error.messages}) from None

    def json_schema(self) -> JsonSchema:
        """The word, or a mapping with one of the other two."""
        mappings = [
            {
                "type": "object",
                "properties": {
                    word: {"description": number.metadata["description"], **number.json_schema()}
                },
                "required": [word],
                "additionalProperties": False,
            }
            for word, number in _RULE_NUMBERS.items()
        ]
        return {"anyOf": [{"enum": [Acceptance.SIMPLE.value]}, *mappings]}


class OwnRuleSchema(Schema):
    """One sentence of the workshop's own."""

    place = Choice("Where in the report it is said.", _PLACES, required=True)
    when = Text("A condition over the facts, as in rules.yaml; left out, it is always said.")
    title = Text("The caution's title; only a caution has one.")
    text = Text("The sentence, as in phrases.yaml: {{ }} around a fact.", required=True)
    weight = Choice("How much it matters; plain if left out.", [w.value for w in Weight])


def _own_rules(description: str) -> NamedValues:
    """Make a field for the workshop's sentences by name."""
    return NamedValues(
        description,
        NestedMapping(
            OwnRuleSchema,
            "One sentence.",
            belongs="a sentence such as {place: found, text: Dried for a week.}",
            required=True,
        ),
        belongs="a block of names with sentences",
        pattern=NAME,
        name_hint=NAME_HINT,
    )


class PersonSchema(Schema):
    """Somebody of the workshop."""

    builds = Person

    name = Text("Name as it stands on the report.", required=True)
    qualification = Text("What qualifies this person for the work.")


class ReportSchema(Schema):
    """How a report is written; a job may say it otherwise than the workshop."""

    language = Text("Language of the report, such as en.")
    date_format = Choice("How dates are written; left out, as in the language.", list(DATE_FORMATS))
    number_format = Choice(
        "How numbers are written, in quotes; left out, as in the language.", list(NUMBER_FORMATS)
    )
    speed_unit = Choice("Unit of speeds; km/h if left out.", list(SPEED_UNITS))
    paper = Choice("Size of the page.", ("a4", "us-letter"))
    theme = Text("Theme of the report: a name, or a folder as seen from this file.")


class ShopSchema(ReportSchema):
    """A workshop, as written in a job."""

    name = Text("Name of the workshop as it stands on the report.", required=True)
    address = Items("Address, line by line.", Text, belongs="a list of lines")
    contact = Items("Telephone, mail, site: one per line.", Text, belongs="a list of lines")
    registration = Text("Number or licence that the workshop works under.")
    logo = Text("Picture for the letterhead: an SVG or PNG file below this file's folder.")
    accent = colour("The workshop's colour: its name and smaller headings. Goes before a theme's.")
    neutral = colour("The colour of labels, captions and footers.")
    font = Text("Family of the report's font, from the folder `fonts` or the theme.")
    fonts = Text("Folder below this file's with .otf and .ttf files of that family.")
    footer = Text("A line for the foot of every page.")
    terms = Text("Terms of business, printed small at the end.")
    signatory = NestedMapping(PersonSchema, "Who signs the reports whose job says so by name.")
    signature = Text(
        "The signatory's signature, shown where a job is signed by that name: SVG or PNG."
    )
    cautions = Items(
        "Cautions of the workshop's own, printed after the required ones.",
        Text,
        belongs="a list of sentences",
    )
    add_sections = added_sections("Parts added to those of the theme.")
    rules = _own_rules("Sentences of the workshop's own, added to those of every report.")
    tolerances = tolerances("Used where neither the job nor the specification gives a tolerance.")
    thresholds = thresholds("Overrides of the analysis's thresholds by name.")
    decision_rule = DecisionRuleField("How results are compared with limits; simple if left out.")
    export_words = NamedValues(
        "What exports call things besides the usual words, such as {before: [check in]}.",
        Items("", Text, belongs="a list of words", required=True),
        belongs="a block of meanings with lists of words",
        names=tuple(EXPORT_WORDS),
    )


class ShopFileSchema(FileSchema, ShopSchema):
    """A workshop in a file of its own."""
