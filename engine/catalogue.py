"""Every code that a fault can carry: what it means, and what to do. `catalogue.yaml` says it.

Where a part words all faults of one code alike, their message is the meaning.
"""

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimscribe.archive.faults import CODES as ARCHIVE
from trimscribe.batch.jobs import CODES as BATCH
from trimscribe.cell.once import CODES as CELL
from trimscribe.marked_yaml import load
from trimscribe.readback.contents import CODES as READBACK
from trimscribe.sign.codes import CODES as SIGN
from trimscribe.verification.codes import CODES as VERIFY

_FILE = Path(__file__).with_name("catalogue.yaml")
_MESSAGES: Mapping[str, str] = {**ARCHIVE, **BATCH, **CELL, **READBACK, **SIGN, **VERIFY}


@dataclass(frozen=True)
class FaultCode:
    """One code: what it is about, what it means, what to do, and an example where one helps."""

    code: str
    about: str
    meaning: str
    advice: str
    example: str | None = None


@functools.cache
def fault_codes() -> Mapping[str, FaultCode]:
    """All codes by name, in the order of the file."""
    entries: Any = load(_FILE.read_bytes(), _FILE.name).data
    found: dict[str, FaultCode] = {}
    about = ""
    for entry in entries:
        about = entry.get("about", about)
        same = found.get(entry.get("as"))
        advice, example = (
            (same.advice, same.example) if same else (entry.get("do", ""), entry.get("example"))
        )
        codes = entry.get("codes", ())
        for code in codes:
            meaning = codes[code] if isinstance(codes, dict) else _MESSAGES[code]
            found[code] = FaultCode(code, about, meaning, advice, example)
    return found
