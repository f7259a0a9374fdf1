"""All that the page receives, as plain data: no path but those that a fault names."""

from trimscribe.errors import Fault
from trimscribe.evidence import Evidence
from trimscribe.model.plain import Plain, to_plain
from trimscribe.preview.choices import KINDS, Choices
from trimscribe.preview.session import PreviewState, Snapshot

_FORMS = {".pdf": "pages", ".html": "page", ".png": "picture"}  # others are shown as text


def choices_data(choices: Choices) -> Plain:
    """The names of each kind; their places are their numbers."""
    return {kind: list(choices.names[kind]) for kind in KINDS}


def state_data(state: PreviewState, age: int) -> Plain:
    """What there is to see, and how it came about."""
    shot = state.shot
    return {
        "age": age,
        "fresh": state.fresh,
        "shot": None
        if shot is None
        else {
            "number": shot.number,
            "title": shot.title,
            "language": shot.language,
            "form": _FORMS.get(shot.report.suffix, "text"),
            "suffix": shot.report.suffix,
            "pages": shot.report.pages,
            "bytes": len(shot.report.data),
        },
        "faults": [_fault(fault) for fault in state.faults],
        "stages": [{"name": stage.name, "ms": stage.ms} for stage in state.stages],
    }


def _fault(fault: Fault) -> Plain:
    mark = fault.mark
    return {
        "code": fault.code,
        "severity": str(fault.severity),
        "message": fault.message,
        "hint": fault.hint,
        "place": str(mark) if mark else "",
        "line": mark.line if mark else 0,
        "column": mark.column if mark else 0,
        "width": mark.width if mark else 0,
        "source": mark.source if mark and mark.line else "",
    }


def sentences_data(shot: Snapshot) -> Plain:
    """Each sentence with the lines that it takes on the pages."""
    places = shot.places or ((),) * len(shot.sentences)
    return [
        {"text": sentence, "places": to_plain(where)}
        for sentence, where in zip(shot.sentences, places, strict=True)
    ]


def evidence_data(evidence: Evidence) -> Plain:
    """Rule, numbers, inputs and thresholds of a sentence."""
    return to_plain(evidence)
