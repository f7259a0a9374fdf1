"""What a report says, as plain pieces that any library can set: the same for all peers."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from trimscribe.compose.document import compose, view_of
from trimscribe.compose.themes import resolve
from trimscribe.model.document import Content, Document, Figure
from trimscribe.registry import Registry
from trimscribe.world import World


@dataclass(frozen=True)
class Words:
    """A heading or a paragraph."""

    text: str
    heading: bool = False


@dataclass(frozen=True)
class Rows:
    """A table; the first row is its head."""

    rows: tuple[tuple[str, ...], ...]


Piece = Words | Rows | Figure
# Names of shapes, files and templates, which steer the layout and are not printed.
_STEERING = {"shape", "file", "figures", "hashes", "keep_together", "per_side", "sides", "warning"}


def pieces_of(content: Content, registry: Registry, world: World) -> tuple[list[Piece], Document]:
    """All text, tables and charts of a report in reading order, and our own document of it."""
    document = compose(content, registry, world)
    look = resolve("", content.reading.job.workshop, registry)
    view = view_of(content, look, registry, world, document.attachments)
    pieces: list[Piece] = []
    for name in look.sections:
        section = registry.get("sections", name).view(view)
        if section is None:
            continue
        pieces += _walk(section.values)
        drawn = (registry.get("figures", figure).draw(view) for figure in section.figures)
        pieces += [figure for figure in drawn if figure]
    return pieces, document


def _walk(value: Any, key: str = "") -> Iterator[Piece]:
    if key in _STEERING or value is None or isinstance(value, bool):
        return
    if isinstance(value, str | int | float):
        if text := str(value).strip():
            yield Words(text, heading=key.endswith("title"))
    elif isinstance(value, Mapping):
        head = value.get("head")
        if head and (rows := value.get("rows") or value.get("groups")):
            rest = {k: v for k, v in value.items() if k not in ("head", "rows", "groups")}
            yield from _walk(rest)
            yield Rows((_cells(head), *_flat(rows)))
        else:
            for name, part in value.items():
                yield from _walk(part, name)
    elif is_dataclass(value):
        yield from _walk({field.name: getattr(value, field.name) for field in fields(value)})
    elif value and all(isinstance(row, list | tuple) for row in value):
        yield Rows(tuple(_flat(value)))
    else:
        for part in value:
            yield from _walk(part, key)


def _flat(rows: Any) -> Iterator[tuple[str, ...]]:
    """Rows that may be in groups, and whose cells may be beside a shape."""
    for row in rows:
        if isinstance(row, Mapping):
            yield _cells(row["cells"])
        elif is_dataclass(row):
            yield _cells(row.cells)
        elif any(isinstance(cell, list | tuple) for cell in row):
            yield from _flat(row)
        else:
            yield _cells(row)


def _cells(row: Any) -> tuple[str, ...]:
    return tuple(str(cell) for cell in row)
