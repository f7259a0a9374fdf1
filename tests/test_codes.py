"""Every code that a fault can carry is in one of the documented lists, once."""

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from trimscribe.archive.faults import CODES as ARCHIVE
from trimscribe.batch.jobs import CODES as BATCH
from trimscribe.catalogue import fault_codes
from trimscribe.cell.once import CODES as CELL
from trimscribe.marked_yaml import load
from trimscribe.readback.contents import CODES as READBACK
from trimscribe.sign.codes import CODES as SIGN
from trimscribe.verification.codes import CODES as VERIFY

ROOT = Path(__file__).parents[1]
ENTRIES = load((ROOT / "engine" / "catalogue.yaml").read_bytes(), "catalogue.yaml").data
# Reported of our own slips or of a plugin's, never of what a person wrote in a job or a theme.
INTERNAL = {"analysis-need-unknown", "analysis-needs-circular", "bug", "output-refused"}


SAYS = re.compile(r"Fault|\w+Error\.of|.*\b(fault|fault_at_word|faults\.add)")


def written() -> Iterator[tuple[str, str]]:
    """Codes that are as text in a call that makes a fault or notes one, with their place."""
    for folder in ("engine", "schemas"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if (
                    isinstance(node, ast.Call)
                    and node.args
                    and isinstance(node.args[0], ast.Constant)
                    and SAYS.fullmatch(ast.unparse(node.func))
                ):
                    yield node.args[0].value, f"{path.relative_to(ROOT)}:{node.lineno}"


def test_every_code_in_the_source_is_documented() -> None:
    known = INTERNAL | fault_codes().keys()
    found = list(written())

    assert len(found) > 45
    assert [where for code, where in found if code not in known] == []


def test_no_code_has_two_meanings() -> None:
    counted = Counter(code for entry in ENTRIES for code in entry.get("codes", ()))

    assert [code for code, times in counted.items() if times > 1] == []


def test_meanings_are_sentences() -> None:
    for code, known in fault_codes().items():
        assert code == code.lower().replace("_", "-").replace(" ", "-"), code
        assert known.meaning[0].isupper() or known.meaning.startswith("`"), code
        assert known.meaning.endswith((".", ")")), code


def test_every_code_has_advice_and_a_part_that_it_is_about() -> None:
    messages = [ARCHIVE, BATCH, CELL, READBACK, SIGN, VERIFY]

    assert {code for codes in messages for code in codes} < fault_codes().keys()
    assert len({known.about for known in fault_codes().values()}) == 16
    for code, known in fault_codes().items():
        assert known.about, code
        assert known.advice.endswith("."), code


def test_no_advice_points_into_the_repository() -> None:
    for code in fault_codes().values():
        assert "DEVELOPERS" not in code.advice, code.code
        assert "README" not in code.advice, code.code


def test_no_message_points_into_the_repository() -> None:
    for folder in ("engine", "schemas"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            source = path.read_text(encoding="utf-8")
            if "DEVELOPERS" not in source:
                continue
            for node in ast.walk(ast.parse(source)):
                if isinstance(node, ast.Call):
                    for text in ast.walk(node):
                        if isinstance(text, ast.Constant) and isinstance(text.value, str):
                            assert "DEVELOPERS.md" not in text.value, f"{path}:{text.lineno}"
