"""The report in words: sentences with the rule and the numbers behind each."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from trimscribe.model.verdicts import Verdict

_NAME = re.compile(r"\{([a-z_]+)\}")


class Place(StrEnum):
    """Where in the report a sentence belongs."""

    DECISION = "decision"
    HEADLINE = "headline"
    FOUND = "found"
    DONE = "done"
    AIR = "air"
    BEFORE_FLYING = "before flying"
    CAUTION = "caution"
    CHARTS = "charts"
    CHANGES = "changes"
    BRAKES = "brakes"
    CLOTH = "cloth"
    STRENGTH = "strength"
    RISERS = "risers"
    INSPECTION = "inspection"
    RECORD = "record"


class Weight(StrEnum):
    """How much a sentence matters to safety."""

    PLAIN = "plain"
    NOTICE = "notice"
    WARNING = "warning"


@dataclass(frozen=True)
class Statement:
    """One or two plain sentences, the `text`. `title` is set for cautions.

    `rule` is the name of the rule that says it, `numbers` are those behind it.

    `topic` is the rule's group: at most one statement per topic is made. The required cautions are
    known by their topics. `condition` is what the rule asks of the facts and `rule_place` where it
    is; `sources` are the findings behind it, by path.
    """

    rule: str
    place: Place
    weight: Weight
    text: str
    title: str = ""
    numbers: Mapping[str, bool | float | str] = field(default_factory=dict)
    topic: str = ""
    condition: str = ""
    rule_place: str = ""
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class GroupVerdict:
    """One entry of the verdict summary on page one.

    `key` names what was judged, such as lines, and `label` does in the report's language; `words`
    say how it came out.
    """

    key: str
    label: str
    verdict: Verdict
    words: str


@dataclass(frozen=True)
class Statements:
    """Everything that is said, in one language.

    `labels` are the fixed words of the report (headings, column titles) by key; `cautions` is the
    required set plus what the findings add, in order.
    """

    language: str
    sentences: tuple[Statement, ...]
    cautions: tuple[Statement, ...]
    verdicts: tuple[GroupVerdict, ...]
    labels: Mapping[str, str]

    def at(self, place: Place) -> tuple[Statement, ...]:
        """The sentences of one place, in order."""
        return tuple(s for s in self.sentences if s.place is place)

    def label(self, key: str, **values: object) -> str:
        """A fixed word or sentence with `{name}` filled in; KeyError when one is unknown.

        The label is plain text with plain names: a value is never read as a template.
        """
        return fill(self.labels[key], values)


def fill(label: str, values: Mapping[str, object]) -> str:
    """A label with `{name}` filled in; KeyError when a name has no value."""
    return _NAME.sub(lambda match: str(values[match[1]]), label)
