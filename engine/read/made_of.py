"""What a copy for sharing has besides its files, searched for the pilot as well.

A workshop's rule can put a name together, and a theme, a picture or a font can be called by one.
"""

import json
from collections.abc import Collection, Iterator, Mapping
from typing import Any

from trimscribe.errors import Fault, Mark
from trimscribe.model.document import Attachment
from trimscribe.model.job import Reading
from trimscribe.model.statements import Statements
from trimscribe.read.leaks import Sought

_HINT = "Call it something else, or share nothing: a copy with the name would not be redacted."


def named_by_rules(reading: Reading, said: Statements) -> Iterator[Fault]:
    """The workshop's own rules whose sentences name the pilot that was left out."""
    if reading.left_out is None:
        return
    sought = Sought(reading.left_out)
    own = {rule.name for rule in reading.job.workshop.rules}
    for one in (*said.sentences, *said.cautions):
        if one.rule in own and next(sought.places(f"{one.title} {one.text}"), None):
            mark = reading.marks.get(("workshop", "rules", one.rule))
            message = f"The rule `{one.rule}` says the pilot's name or contact: “{one.text}”"
            hint = "Word it without, or share nothing: a copy with the name would not be redacted."
            yield Fault("pilot-still-named", message, mark, hint)


def named_by_look(
    reading: Reading, attachments: Collection[Attachment], shipped: Collection[str]
) -> Iterator[Fault]:
    """What of a look is called by the pilot that was left out, by what `attachments` tell of it.

    `shipped` are names of our own, which mean nobody.
    """
    if reading.left_out is None:
        return
    sought = Sought(reading.left_out)
    told: dict[str, Any] = {one.name: one.data for one in attachments}
    look, manifest = json.loads(told["theme.json"]), json.loads(told["manifest.json"])
    called: Mapping[str, Collection[str]] = {
        "theme": [look["name"]],
        "section": look["sections"],
        "template": look["templates"],
        "picture": look["assets"],
        "font": manifest["fonts"],
    }
    for kind, names in called.items():
        for name in sorted(names):
            if name.rpartition("/")[2] not in shipped and next(sought.places(name), None):
                message = f"The pilot's name or contact is in what a {kind} is called: “{name}”."
                yield Fault("pilot-still-named", message, Mark(look["name"]), _HINT)
