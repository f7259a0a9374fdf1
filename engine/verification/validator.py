"""What veraPDF, the reference validator, says of a report. It is the user's own: none ships."""

import json
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from trimscribe.errors import Fault, ReadbackError

# The flavours that every report promises, as veraPDF calls them.
PROMISED = {"3a": "PDF/A-3a", "ua1": "PDF/UA-1"}
_SECONDS = 300


def nonconformities(data: bytes, command: Sequence[str]) -> tuple[Fault, ...]:
    """The rules of PDF/A-3a and PDF/UA-1 that a report breaks, none when it conforms.

    `command` starts veraPDF. Raises ReadbackError when it does not run or gives no answer.
    """
    with tempfile.TemporaryDirectory(prefix="trimscribe-") as folder:
        path = Path(folder) / "report.pdf"
        path.write_bytes(data)
        return tuple(
            fault
            for flavour, name in PROMISED.items()
            for fault in _broken(
                _asked([*command, "--format", "json", "--flavour", flavour], path), name
            )
        )


def _asked(command: Sequence[str], path: Path) -> Any:
    try:
        done = subprocess.run(
            [*command, str(path)], capture_output=True, timeout=_SECONDS, check=False
        )
        return json.loads(done.stdout)["report"]["jobs"][0]["validationResult"][0]
    except (OSError, subprocess.TimeoutExpired) as error:
        raise _silent(f"{command[0]} does not run") from error
    except (ValueError, KeyError, IndexError, TypeError) as error:
        raise _silent(f"{command[0]} gives no answer that can be read") from error


def _silent(reason: str) -> ReadbackError:
    hint = "Install veraPDF, and name the command that starts it in TRIMSCRIBE_VERAPDF."
    return ReadbackError.of(
        "validator-silent", f"The report was not validated: {reason}.", hint=hint
    )


def _broken(result: Any, name: str) -> Iterator[Fault]:
    rules = [r for r in result["details"]["ruleSummaries"] if r["ruleStatus"] == "FAILED"]
    for rule in rules:
        number = f"{rule['specification']}, {rule['clause']}, test {rule['testNumber']}"
        yield Fault(
            "not-conforming", f"The report is not {name}: {rule['description']} ({number})."
        )
    if not rules and result.get("compliant") is not True:
        yield Fault("not-conforming", f"The report is not {name}: {result.get('statement', '')}")
