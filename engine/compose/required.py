"""What a finished report must say and show legibly, whatever its theme does."""

from collections.abc import Iterable, Iterator

from trimscribe.compose.look import Look
from trimscribe.contracts import SectionView
from trimscribe.model.content import Content
from trimscribe.model.statements import GroupVerdict, Place, Weight

# Where sentences are that are not of the letter or the record, which every report has.
_SECTIONS = {
    Place.CHARTS: "lines",
    Place.CHANGES: "changes",
    **dict.fromkeys(
        (Place.BRAKES, Place.CLOTH, Place.STRENGTH, Place.RISERS, Place.INSPECTION), "checks"
    ),
}
_LETTER = (Place.HEADLINE, Place.FOUND, Place.DONE, Place.AIR, Place.BEFORE_FLYING)


def required_texts(content: Content, look: Look, views: Iterable[SectionView]) -> tuple[str, ...]:
    """Identification, sentences, cautions, verdicts, and what the sections ask for, each once.

    A theme may leave a section out that is not required, and with it what is said there.
    """
    return tuple(dict.fromkeys([*_said(content, look), *(t for v in views for t in v.required)]))


def vital_texts(content: Content) -> tuple[str, ...]:
    """Of the required texts those that a pilot acts on: the letter's, its verdicts, cautions."""
    statements = content.statements
    letter = (s.text for s in statements.sentences if s.place in _LETTER)
    cautions = (text for c in statements.cautions for text in (c.title, c.text))
    verdicts = (_verdict(verdict) for verdict in statements.verdicts)
    return tuple(dict.fromkeys([*letter, *verdicts, *cautions]))


def warning_texts(content: Content) -> tuple[str, ...]:
    """Titles and texts of the cautions that the findings add."""
    warnings = (c for c in content.statements.cautions if c.weight is Weight.WARNING)
    return tuple(text for caution in warnings for text in (caution.title, caution.text))


def _verdict(verdict: GroupVerdict) -> str:
    """A verdict's words right behind what they judge."""
    return f"{verdict.label} {verdict.words}"


def _said(content: Content, look: Look) -> Iterator[str]:
    job, statements = content.reading.job, content.statements
    yield from (job.service.number, job.wing.serial_number, job.workshop.name)
    yield f"{job.wing.model} {job.wing.size}"
    for sentence in statements.sentences:
        if _SECTIONS.get(sentence.place, "letter") in look.sections:
            yield sentence.text
    for caution in statements.cautions:
        yield from (caution.title, caution.text)
    yield from map(_verdict, statements.verdicts)
    yield from (statements.labels[key] for key in ("decision_rule", "not_covered"))
