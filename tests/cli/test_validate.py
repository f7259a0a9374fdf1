"""`trimscribe report --validate`: nothing is kept that the user's own validator refuses."""

import json
import stat
from pathlib import Path
from typing import Any

import pytest

RULE = {
    "ruleStatus": "FAILED",
    "specification": "ISO 14289-1:2014",
    "clause": "7.2",
    "testNumber": 2,
    "description": "Natural language shall be determined.",
}


@pytest.fixture
def validator(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """A validator that answers as it is told."""

    def answers(*rules: dict[str, Any]) -> None:
        result = {"details": {"ruleSummaries": rules}, "compliant": not rules}
        reported = json.dumps({"report": {"jobs": [{"validationResult": [result]}]}})
        command = folder / "validator"
        command.write_text(f"#!/bin/sh\ncat <<'END'\n{reported}\nEND\n")
        command.chmod(command.stat().st_mode | stat.S_IXUSR)
        monkeypatch.setenv("TRIMSCRIBE_VERAPDF", str(command))

    return answers


@pytest.mark.typesets
def test_a_report_that_conforms_is_kept(run: Any, validator: Any, folder: Path) -> None:
    validator()

    assert run("report", "fine.yaml", "--validate").exit_code == 0
    assert (folder / "qh-1-damson-s.pdf").is_file()


@pytest.mark.typesets
def test_a_report_that_does_not_conform_is_not_kept(run: Any, validator: Any, folder: Path) -> None:
    validator(RULE)

    done = run("report", "fine.yaml", "--validate", "--shelf", "shelf")

    assert done.exit_code == 5
    assert "not-conforming" in done.stderr
    assert "Natural language shall be determined." in done.stderr
    assert not list(folder.rglob("*.pdf"))


@pytest.mark.parametrize("command", ["no-such-validator", "", " "])
@pytest.mark.typesets
def test_without_a_validator_nothing_is_taken_for_granted(
    run: Any, folder: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    monkeypatch.setenv("TRIMSCRIBE_VERAPDF", command)
    monkeypatch.setenv("PATH", str(folder))  # a veraPDF may be installed here

    done = run("report", "fine.yaml", "--validate")

    assert done.exit_code == 8
    assert "validator-silent" in done.stderr
    assert not list(folder.rglob("*.pdf"))


def test_a_command_that_is_none_is_reported(
    run: Any, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRIMSCRIBE_VERAPDF", "'verapdf")

    done = run("report", "fine.yaml", "--validate")

    assert done.exit_code == 64
    assert "TRIMSCRIBE_VERAPDF" in done.stderr
    assert not list(folder.rglob("*.pdf"))
