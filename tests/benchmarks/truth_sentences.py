"""A report's sentences read as claims, by the table of truth_claims.py.

A rule that is not in the table but speaks of a direction, an effect or a verdict stops the trial,
and so does a sentence whose words no longer hold what the table looks for.
"""

import re
from dataclasses import dataclass, replace

from truth_claims import CLAIMS, SILENT, SPEAKS_OF_DIRECTION
from truth_readers import CHANGE, Claim, NotReadable

from trimscribe.model.statements import Place, Statement, Statements

__all__ = ["Heard", "claims_of", "heard"]

# What a pilot reads first; the rest are the pages behind.
_LETTER = (Place.HEADLINE, Place.FOUND, Place.DONE, Place.AIR, Place.BEFORE_FLYING, Place.CAUTION)


@dataclass(frozen=True)
class Heard:
    """One claim with the sentence that made it."""

    claim: Claim
    rule: str
    text: str
    letter: bool


def heard(statements: Statements) -> tuple[Heard, ...]:
    """All claims of one report; raises NotReadable with the rule and its sentence."""
    return tuple(
        Heard(claim, said.rule, said.text, said.place in _LETTER)
        for said in (*statements.sentences, *statements.cautions)
        for claim in claims_of(said)
    )


def _of_lines_alone(claim: Claim, text: str) -> Claim:
    """An angle that is said to be that of the lines alone claims nothing of the wing's."""
    alone = re.search(r"\bby (its lines|the lines of)\b", text, re.IGNORECASE)
    if not alone or claim.moment == CHANGE or claim.subject not in ("pitch", "pitch shown"):
        return claim
    return replace(claim, subject=f"{claim.subject} by lines")


def claims_of(said: Statement) -> list[Claim]:
    """What one sentence claims; its title is part of what it says."""
    text = f"{said.title}. {said.text}" if said.title else said.text
    text = " ".join(text.replace("\u00a0", " ").split())
    try:
        if said.rule in CLAIMS:
            return [_of_lines_alone(claim, text) for claim in CLAIMS[said.rule](text)]
    except NotReadable as why:
        raise NotReadable(f"{said.rule}: {why}, in: {text}") from None
    if said.rule not in SILENT and SPEAKS_OF_DIRECTION.search(text):
        raise NotReadable(f"{said.rule} is not in the table of claims, but says: {text}")
    return []
