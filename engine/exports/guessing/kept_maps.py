"""Maps that were answered once: found again for the next file of the same headings and layout."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimscribe.errors import InputError, Mark
from trimscribe.exports.files import files_below, open_file
from trimscribe.exports.guessing.blocks import blocks_of
from trimscribe.exports.guessing.texts import Context, said_by
from trimscribe.exports.guessing.vocabulary import vocabulary
from trimscribe.exports.mapping.extract import sheets_of
from trimscribe.exports.mapping.forms import folded
from trimscribe.exports.mapping.load import load_map
from trimscribe.exports.mapping.plan import ImportMap
from trimscribe.marked_yaml import load
from trimscribe.model.tables import Sheet
from trimscribe.registry import Registry

_MOST_FILES = 2_000  # looked at in a folder
_ENDINGS = (".yaml", ".yml")
_ALIKE = 0.5  # of the headings: below, a map is for another kind of file

MapShape = list[dict[str, Any]]


@dataclass(frozen=True)
class KeptMap:
    """A map for files of this shape, or of one nearly like it; `differs` says in what."""

    path: Path
    plan: ImportMap
    answers: Mapping[str, str]
    differs: tuple[str, ...] = ()


def shape_of(sheets: Sequence[Sheet]) -> MapShape:
    """Sheets and headings of every table, and what their titles say of side and time."""
    context = Context(vocabulary())
    shape: MapShape = []
    for sheet in sheets:
        for block in blocks_of(sheet, context):
            headings = [" ".join(text.split()) for text in block.headings.values()]
            titles = [said_by(cell.text, context) for cell in (*block.outer, *block.titles)]
            says = [word for said in titles for word in (said.side, said.when) if word]
            one: dict[str, Any] = {"sheet": sheet.name} if sheet.name and len(sheets) > 1 else {}
            if headings:
                one["headings"] = headings
            else:
                one["columns"] = len(block.columns)
            if says:
                one["titles"] = " ".join(dict.fromkeys(says))
            if not shape or shape[-1] != one:
                shape.append(one)
    return shape


def find_kept_map(registry: Registry, folder: Path, data: bytes, name: str) -> KeptMap | None:
    """The map in a folder (and below) whose shape a file has, else the nearest that differs."""
    nearest: tuple[float, KeptMap] | None = None
    for path in files_below(folder, _ENDINGS, _MOST_FILES):
        try:
            raw = open_file(path)
        except InputError:
            continue
        tree = load(raw, path.as_posix()).data
        if not isinstance(tree, Mapping) or not tree.get("shape") or "tables" not in tree:
            continue
        plan, _ = load_map(raw, path.as_posix())
        if plan is None:
            continue
        sheets, faults = sheets_of(registry, data, name, plan.table_format, Mark(name))
        if faults or not sheets:
            continue
        kept, found = tree["shape"], shape_of(sheets)
        answers = {str(k): str(v) for k, v in (tree.get("answers") or {}).items()}
        if _plain(kept) == _plain(found):
            return KeptMap(path, plan, answers)
        share, differs = _differences(kept, found)
        if share >= _ALIKE and (nearest is None or share > nearest[0]):
            nearest = (share, KeptMap(path, plan, answers, differs))
    return nearest[1] if nearest else None


def _plain(shape: MapShape) -> list[tuple[tuple[str, str], ...]]:
    """A shape as it is compared: capitals and blanks do not matter."""
    return [tuple(sorted((key, folded(str(value))) for key, value in one.items())) for one in shape]


def _differences(kept: MapShape, found: MapShape) -> tuple[float, tuple[str, ...]]:
    """How much of the words two shapes share, and which they do not."""
    old, new = set(_words(kept)), set(_words(found))
    if not old or not new:
        return 0.0, ()
    differs = [
        *(f"“{word}” is not there" for word in sorted(old - new)),
        *(f"“{word}” is new" for word in sorted(new - old)),
    ]
    if not differs:
        differs = ["its tables are laid out in another order, or its titles say something else"]
    return len(old & new) / len(old | new), tuple(differs)


def _words(shape: MapShape) -> Iterator[str]:
    for one in shape:
        if one.get("sheet"):
            yield f"sheet {folded(str(one['sheet']))}"
        for heading in one.get("headings") or ():
            yield folded(str(heading))
