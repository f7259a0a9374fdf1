"""The head of rules.yaml: every fact with its meaning, as it is declared.

python -m trimscribe.assess.describe     rewrites it; a test keeps the two in step
"""

import textwrap
from pathlib import Path

from trimscribe.assess.brake_facts import BrakeFacts
from trimscribe.assess.change_facts import ChangeFacts
from trimscribe.assess.check_facts import CheckFacts
from trimscribe.assess.declare import declared
from trimscribe.assess.evidence_facts import EvidenceFacts
from trimscribe.assess.facts import Summary
from trimscribe.assess.last_brakes import LastBrakes
from trimscribe.assess.state_facts import StateFacts
from trimscribe.assess.work_facts import WorkFacts

RULES = Path(__file__).parents[1] / "narrate" / "rules.yaml"
_GROUPS = (
    (
        "state",
        "Each is there twice: found_… as the wing came, now_… as it leaves. Without a second "
        "measuring now_… is as it came if nothing was changed, and not assessed if something was. "
        "Of a wing measured only after the work (only_after) both are of that measuring.",
        (StateFacts, BrakeFacts),
    ),
    ("change", "After minus before: change_…", (ChangeFacts,)),
    (
        "single",
        "These are by themselves.",
        (WorkFacts, CheckFacts, EvidenceFacts, LastBrakes, Summary),
    ),
)


def head() -> str:
    """The section `facts` of rules.yaml."""
    lines = ["facts:"]
    for name, explained, parts in _GROUPS:
        lines += textwrap.wrap(explained, 96, initial_indent="  # ", subsequent_indent="  # ")
        lines.append(f"  {name}:")
        lines += [
            f'    {fact}: "{known.meaning}"'
            for part in parts
            for fact, known in declared(part).items()
        ]
    return "\n".join(lines) + "\n"


def with_head(text: str) -> str:
    """The text of rules.yaml with its head as it should be."""
    before, rest = text.split("\nfacts:\n", 1)
    _, rules = rest.split("\nrules:", 1)
    return f"{before}\n{head()}\nrules:{rules}"


if __name__ == "__main__":
    RULES.write_text(with_head(RULES.read_text("utf-8")), "utf-8", newline="\n")
