"""Every code that a fault can carry is in one of the documented lists, once."""

import ast
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from trimscribe.catalogue import CODE_LISTS, fault_codes
from trimscribe.marked_yaml import load

ROOT = Path(__file__).parents[1]
LISTS = [*CODE_LISTS.values()]
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
    """Codes that are as text in a call of Fault, with their place."""
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


def test_every_advice_is_about_a_code_and_given_once() -> None:
    entries = load((ROOT / "engine" / "catalogue.yaml").read_bytes(), "catalogue.yaml").data
    advised = Counter(code for entry in entries for code in entry["codes"])

    assert [code for code, times in advised.items() if times > 1] == []
    assert sorted(set(advised) - set(fault_codes()) - INTERNAL) == []
    assert sorted(set(fault_codes()) - set(advised)) == []
    assert all(entry["do"].endswith(".") for entry in entries)


def test_no_advice_points_into_the_repository() -> None:
    for code in fault_codes().values():
        assert "DEVELOPERS" not in code.advice, code.code
        assert "README" not in code.advice, code.code


def test_no_message_points_into_the_repository() -> None:
    for folder in ("engine", "schemas"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call):
                    for text in ast.walk(node):
                        if isinstance(text, ast.Constant) and isinstance(text.value, str):
                            assert "DEVELOPERS.md" not in text.value, f"{path}:{text.lineno}"
