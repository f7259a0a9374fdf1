"""Every code that a fault can carry stands in one of the documented lists, once."""

import ast
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from trimscribe.archive.faults import CODES as ARCHIVE
from trimscribe.batch.codes import CODES as BATCH
from trimscribe.compose.codes import CODES as COMPOSE
from trimscribe.outputs.codes import CODES as OUTPUTS
from trimscribe.readback.codes import CODES as READBACK
from trimscribe.registry import CODES as REGISTRY
from trimscribe.resources import CODES as RESOURCES
from trimscribe.schemas.codes import CODES as INPUT
from trimscribe.schemas.import_codes import CODES as IMPORT
from trimscribe.sign.codes import CODES as SIGN
from trimscribe.typeset.codes import CODES as TYPESET
from trimscribe.verification.codes import CODES as VERIFY

ROOT = Path(__file__).parents[1]
LISTS = [
    *(INPUT, IMPORT, RESOURCES, COMPOSE, TYPESET, OUTPUTS, REGISTRY, ARCHIVE, BATCH),
    *(READBACK, SIGN, VERIFY),
]
# Told of our own slips or of a plugin's, never of what a person wrote in a job or a theme.
INTERNAL = {
    "analysis-need-unknown",
    "analysis-needs-circular",
    "bug",
    "condition-fails",
    "output-refused",
    "phrase-fails",
}


def written() -> Iterator[tuple[str, str]]:
    """Codes that stand as text in a call of Fault, with their place."""
    for folder in ("engine", "schemas"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if (
                    isinstance(node, ast.Call)
                    and isinstance(node.func, ast.Name)
                    and node.func.id == "Fault"
                    and node.args
                    and isinstance(node.args[0], ast.Constant)
                ):
                    yield node.args[0].value, f"{path.relative_to(ROOT)}:{node.lineno}"


def test_every_code_in_the_source_is_documented() -> None:
    known = INTERNAL.union(*LISTS)
    found = list(written())

    assert len(found) > 25
    assert [where for code, where in found if code not in known] == []


def test_no_code_has_two_meanings() -> None:
    counted = Counter(code for codes in LISTS for code in codes)

    assert [code for code, times in counted.items() if times > 1] == []


def test_meanings_are_sentences() -> None:
    for codes in LISTS:
        for code, meaning in codes.items():
            assert code == code.lower(), code
            assert meaning[0].isupper() or meaning.startswith("`"), code
            assert meaning.endswith((".", ")")), code
