"""What travels inside the report: the files as they were read, and the findings for machines."""

import itertools
import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import PurePosixPath

from trimscribe.evidence import trail_of
from trimscribe.model.content import Content
from trimscribe.model.document import Attachment
from trimscribe.model.plain import to_plain

__all__ = ["attachments_of"]

FINDINGS = "findings.json"


def attachments_of(content: Content) -> tuple[Attachment, ...]:
    """The files as they were read, then the findings, what was said of them, and the trail."""
    labels = content.statements.labels
    files = content.reading.files
    inputs = [
        Attachment(name, file.data, file.media_type, labels["attached_input"], "source")
        for name, file in zip(_names([f.name for f in files]), files, strict=True)
    ]
    found = {
        "findings": content.findings,
        "statements": content.statements.sentences,
        "cautions": content.statements.cautions,
        "trail": trail_of(content),
    }
    made = Attachment(
        FINDINGS, _json(found), "application/json", labels["attached_findings"], "data"
    )
    return (*inputs, made)


def _json(parts: Mapping[str, object]) -> bytes:
    """One part a line: json's own indenting takes as long as all the drawings."""
    lines = (
        f"{json.dumps(name)}: {json.dumps(to_plain(part), ensure_ascii=False, sort_keys=True)}"
        for name, part in parts.items()
    )
    return "{{\n{}\n}}\n".format(",\n".join(lines)).encode()


def _names(paths: Sequence[str]) -> Iterator[str]:
    """A plain name for each file, no two alike whatever folders they lie in."""
    taken = {FINDINGS}
    for path in paths:
        parts = [part for part in PurePosixPath(path).parts if part not in ("..", "/")]
        folders = ["-".join(parts[-n:]) for n in range(1, len(parts) + 1)]
        numbered = (f"{n}-{parts[-1]}" for n in itertools.count(2))
        name = next(n for n in itertools.chain(folders, numbered) if n.lower() not in taken)
        taken.add(name.lower())
        yield name
