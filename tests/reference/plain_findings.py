"""All findings of a job but its doubts, computed again from the formulas in plain Python."""

from plain_basics import worst
from plain_change import carry_travel_over, change_of, keep_travel_as_read
from plain_checks import counting, decision, inspection, porosity, strength, tear
from plain_ledger import ledger
from plain_model import State


def plain_findings(job):
    """All findings of a job but its doubts, shaped like the JSON of `trimscribe findings`."""
    both = {"before": None, "after": None}
    if job.specification is not None:
        both["before"] = first = State(job, job.before) if job.before else None
        both["after"] = State(job, job.after, first) if job.after else None
    states = {when: state.plain() if state else None for when, state in both.items()}
    change = None
    if both["before"] and both["after"]:
        change = change_of(job, both, states)
        carry_travel_over(states, change, both["after"].t)
        keep_travel_as_read(states, change, job, both["after"].t)
    entries, work = ledger(job, change)
    if change:
        del change["_lines"]
    cloth = {"porosity": porosity(job), "tear": tear(job)}
    pulls = strength(job)
    return {
        **states,
        "change": change,
        "ledger": entries,
        "work": work,
        **cloth,
        "strength": pulls,
        "strength_verdict": worst(p["verdict"] for p in counting(pulls)),
        "cloth_verdict": worst(c["verdict"] for c in cloth.values() if c),
        "inspection_verdict": inspection(job),
        "defects": [
            {"part": i.part, "condition": i.condition.value, "remark": i.remark}
            for i in job.inspection
            if i.condition.value in ("worn", "damaged")
        ],
        "decision": decision(job, states, cloth, pulls),
    }
