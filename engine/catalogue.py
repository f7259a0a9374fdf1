"""Every code that a fault can carry: what it means, and what to do.

The meanings are beside the parts that raise them; the advice is in `catalogue.yaml`.
"""

import functools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimscribe.archive.faults import CODES as ARCHIVE
from trimscribe.batch.codes import CODES as BATCH
from trimscribe.cell.codes import CODES as CELL
from trimscribe.compose.codes import CODES as COMPOSE
from trimscribe.exports.codes import CODES as IMPORT
from trimscribe.guard import CODES as GUARD
from trimscribe.marked_yaml import load
from trimscribe.outputs.codes import CODES as OUTPUTS
from trimscribe.plan.codes import CODES as PLAN
from trimscribe.readback.codes import CODES as READBACK
from trimscribe.registry import CODES as REGISTRY
from trimscribe.resources import CODES as RESOURCES
from trimscribe.schemas.codes import CODES as INPUT
from trimscribe.sign.codes import CODES as SIGN
from trimscribe.typeset.codes import CODES as TYPESET
from trimscribe.verification.codes import CODES as VERIFY

__all__ = ["CODE_LISTS", "FaultCode", "fault_codes"]

_FILE = Path(__file__).with_name("catalogue.yaml")

CODE_LISTS: Mapping[str, Mapping[str, str]] = {
    "what people write": INPUT,
    "exports and import maps": IMPORT,
    "files and pictures": RESOURCES,
    "themes": COMPOSE,
    "typesetting": TYPESET,
    "pages for the phone": OUTPUTS,
    "plugins": REGISTRY,
    "disk and shelf": ARCHIVE,
    "batches": BATCH,
    "retrim plans": PLAN,
    "limits of a run": CELL,
    "plugins at work": GUARD,
    "reports that are read back": READBACK,
    "signing": SIGN,
    "verifying": VERIFY,
}


@dataclass(frozen=True)
class FaultCode:
    """One code: what it is about, what it means, what to do, and an example where one helps."""

    code: str
    about: str
    meaning: str
    advice: str
    example: str = ""


@functools.cache
def fault_codes() -> Mapping[str, FaultCode]:
    """All codes by name, in the order of the parts."""
    advice = {code: entry for entry in _entries() for code in entry["codes"]}
    found = {}
    for about, codes in CODE_LISTS.items():
        for code, meaning in codes.items():
            entry = advice.get(code, {})
            found[code] = FaultCode(
                code,
                about,
                meaning,
                str(entry.get("do", "The message names the place and what is allowed there.")),
                str(entry.get("example", "")),
            )
    return found


def _entries() -> Iterator[Mapping[str, Any]]:
    data: Any = load(_FILE.read_bytes(), _FILE.name).data
    yield from data
