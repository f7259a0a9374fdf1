"""Sentences of the workshop's own, each with the place and the condition under which it is said."""

from trimscribe.model.statements import Place, Weight
from trimscribe.schemas.containers import NamedValues, NestedMapping, Schema
from trimscribe.schemas.fields import Choice, Text

__all__ = ["own_rules"]

# The headline and the decision are not a sentence among others: the job's `decision` states them.
_PLACES = [place.name.lower() for place in Place if place not in (Place.DECISION, Place.HEADLINE)]


class OwnRuleSchema(Schema):
    """One sentence of the workshop's own."""

    place = Choice("Where in the report it is said.", _PLACES, required=True)
    when = Text("A condition over the facts, as in rules.yaml; left out, it is always said.")
    title = Text("The caution's title; only a caution has one.")
    text = Text("The sentence, as in phrases.yaml: {{ }} around a fact.", required=True)
    weight = Choice("How much it matters; plain if left out.", [w.value for w in Weight])


def own_rules(description: str) -> NamedValues:
    """Make a field for the workshop's sentences by name."""
    return NamedValues(
        description,
        NestedMapping(
            OwnRuleSchema,
            "One sentence.",
            belongs="a sentence such as {place: found, text: Dried for a week.}",
            required=True,
        ),
        belongs="a mapping of names to sentences",
        pattern="[a-z][a-z0-9_]{0,39}",
    )
