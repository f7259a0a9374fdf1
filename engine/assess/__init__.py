"""Assess: findings to what may be said, once.

findings ─▶ facts ─▶ claims

Facts are declared where they are computed, each with its meaning and trail (`declare`). They are
the flat names that rules and phrases read. Claims say the same per subject, for pictures, marks and
programs: nobody after this stage takes a direction or a verdict from the findings.
"""

from trimscribe.assess.claims import claims_of
from trimscribe.assess.facts import DECLARED, facts_of, trails_of
from trimscribe.model.assessment import Assessment
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job

__all__ = ["DECLARED", "assess"]


def assess(findings: Findings, job: Job) -> Assessment:
    """What may be said about this service; pure."""
    facts = facts_of(findings, job)
    return Assessment(claims_of(facts), facts, trails_of(facts))
