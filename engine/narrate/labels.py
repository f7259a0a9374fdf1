"""The fixed words of the report. English is the reference: a language has its keys, no others."""

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from trimscribe.narrate.written import Faults, YamlMapping

_REFERENCE = Path(__file__).parent / "languages" / "en" / "labels.yaml"
_NAME = re.compile(r"\{([^{}]*)\}")
_PLURALS = ("zero", "one", "two", "few", "many")


def load_labels(path: Path, faults: Faults) -> Mapping[str, str]:
    """Labels by key; notes keys that are missing or unknown and names that nobody fills in."""
    written = YamlMapping.open(path, faults)
    labels = dict(written.mapping())
    reference = labels if path == _REFERENCE else _reference()
    further = {key: form for key in labels if (form := _other_form(key, reference))}
    written.check_names((), labels, [*reference, *further])
    for key, label in labels.items():
        if not isinstance(label, str):
            hint = "Put it in quotes if need be."
            written.fault("not-text", "Words belong here.", (key,), hint)
            continue
        known = _NAME.findall(reference.get(further.get(key, key), label))
        for name in _NAME.findall(label):
            if name not in known:
                hint = "Known here: " + (", ".join(f"{{{k}}}" for k in known) or "none") + "."
                message = f"Nobody fills in `{{{name}}}` here."
                written.fault_at_word("unknown-name", message, (key,), f"{{{name}}}", hint)
    return labels


@cache
def _reference() -> Mapping[str, str]:
    faults = Faults()
    labels = load_labels(_REFERENCE, faults)
    faults.stop()
    return labels


def _other_form(key: str, reference: Mapping[str, str]) -> str:
    """The English key that has the same plural stem: `…_few` goes with `…_other`."""
    stem, _, category = key.rpartition("_")
    other = f"{stem}_other"
    return other if category in _PLURALS and key not in reference and other in reference else ""
