"""Assess: findings to what may be said, once.

findings ─▶ facts ─▶ claims

Facts are declared where they are computed, each with its meaning and trail (`declare`). They are
the flat names that rules and phrases read. Claims say the same per subject, for pictures, marks and
programs: nobody after this stage takes a direction or a verdict from the findings.
"""

from types import MappingProxyType

from trimscribe.assess.claims import claims_of
from trimscribe.assess.facts import DECLARED, facts_of, trails_of
from trimscribe.assess.plugin_facts import AddedFacts
from trimscribe.model.assessment import Assessment
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job

__all__ = ["DECLARED", "AddedFacts", "assess"]

NONE_ADDED = AddedFacts({}, {})


def assess(findings: Findings, job: Job, added: AddedFacts = NONE_ADDED) -> Assessment:
    """What may be said about this service, with the facts that analyses of others add; pure.

    Raises PluginError where one of these has no value that can be said.
    """
    facts = facts_of(findings, job)
    claims, trails = claims_of(facts), trails_of(facts)
    if added.by_name:
        facts = MappingProxyType({**facts, **added.values(findings)})
        trails = {**trails, **added.trails}
    return Assessment(claims, facts, trails, added.origins)
