"""The fixed words of the report: each of them is said somewhere."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from trimscribe.narrate.labels import load_labels
from trimscribe.narrate.languages import en
from trimscribe.narrate.written import Faults

ENGINE = Path(__file__).parents[2] / "engine"
# Where labels are looked up; of the model it is names of lines and sides.
PLACES = ("compose", "narrate", "sign", "model/wing.py")


def nodes() -> Iterator[ast.AST]:
    for place in PLACES:
        path = ENGINE / place
        for file in path.rglob("*.py") if path.is_dir() else (path,):
            yield from ast.walk(ast.parse(file.read_text(encoding="utf-8")))


def form(text: ast.JoinedStr) -> str:
    """What a text such as f"gap_{reason}" may become, as a pattern; empty if that is anything."""
    said = [part.value if isinstance(part, ast.Constant) else None for part in text.values]
    fixed = "".join(str(part) for part in said if part)
    if not re.fullmatch("[a-z]+(?:_[a-z]+)*_|(?:_[a-z]+)+", fixed):
        return ""
    return "".join("[a-z_]+" if part is None else str(part) for part in said)


def test_every_label_is_used() -> None:
    used = {node.value for node in nodes() if isinstance(node, ast.Constant)}
    forms = {form(node) for node in nodes() if isinstance(node, ast.JoinedStr)}
    faults = Faults()
    labels = load_labels(en.folder / "labels.yaml", faults)
    faults.stop()

    unused = [key for key in labels if key not in used]

    assert forms > {"", "gap_[a-z_]+", "[a-z_]+_title"}
    assert [key for key in unused if not re.fullmatch("|".join(forms), key)] == []
