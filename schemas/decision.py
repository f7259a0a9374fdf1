"""The decision rule: how a result is compared with its limit."""

from typing import Any

from trimscribe.model.decision import SIMPLE, Acceptance, DecisionRule
from trimscribe.schemas.fields import JsonSchema, Number, Value

# The value behind each word. A guarded rule with no band, or a probability of a half, is `simple`.
_NUMBERS = {
    Acceptance.GUARDED.value: Number(
        "Guard band at each limit, in standard uncertainties of the result.",
        "a guard band in standard uncertainties such as 2",
        above=0,
        most=10,
    ),
    Acceptance.PROBABILITY.value: Number(
        "Least probability that the true value is within its limit.",
        "a probability such as 0.95",
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
        if not isinstance(value, dict) or len(value) != 1 or not set(value) <= set(_NUMBERS):
            raise self.problem("decision-rule-not-clear")
        [(word, number)] = value.items()
        return DecisionRule(Acceptance(word), _NUMBERS[word].check(number))

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
            for word, number in _NUMBERS.items()
        ]
        return {"anyOf": [{"enum": [Acceptance.SIMPLE.value]}, *mappings]}
