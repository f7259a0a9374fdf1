"""The letter: page one, from the workshop's decision to the signature."""

from dataclasses import dataclass
from typing import Any

from trimscribe.contracts import SectionView, View, shape
from trimscribe.model.assessment import ClaimStatus, Fact, Subject, When
from trimscribe.model.job import NextService
from trimscribe.model.statements import Place, Weight
from trimscribe.model.template_values import LetterValues

_PARAGRAPHS = (
    ("found", Place.FOUND),
    ("done", Place.DONE),
    ("in_the_air", Place.AIR),
    ("before_you_fly", Place.BEFORE_FLYING),
)
# Topics that share a short paragraph: what the pilot said, what grounds the wing, the lines, the
# brakes, what is worn; what was done, and what measuring again says. Others join the one before.
_TOGETHER = {
    Place.FOUND: (
        ("reported",),
        ("strength", "damage", "cloth", "free_travel"),
        ("only_after", "lines", "doubts", "angle"),
        ("brakes",),
        ("worn",),
    ),
    Place.DONE: (("lines", "entered", "brakes", "replaced", "nothing"), ("again",)),
}
_MARKED = {
    "dot": "key_pass",
    "half": "key_conditional_pass",
    "triangle": "key_fail",
    "blank": "key_not_decided",
    "circle": "key_not_assessed",
}
_FLIGHT: dict[Fact, str] = {
    "released": "dot",
    "released_with_conditions": "half",
    "not_released": "triangle",
    "not_decided": "blank",
}


@dataclass(frozen=True)
class Letter:
    """Headline, four short paragraphs, side view, verdict summary, next service, signature."""

    contract: int = 2
    name: str = "letter"
    template: str = "letter.typ.j2"

    def view(self, view: View) -> SectionView:
        """Values for the letter; a paragraph without sentences is left out."""
        job, statements, labels = view.job, view.statements, view.statements.labels
        wing = job.wing
        about = f"{wing.model} {wing.size}, {labels['serial_number']} {wing.serial_number}"
        to = statements.label("for_pilot", name=job.pilot.name) if job.pilot else ""
        values: LetterValues = {
            "workshop": job.workshop.name,
            "registration": job.workshop.registration,
            "contact": " · ".join((*job.workshop.address, *job.workshop.contact)),
            "logo": _picture(view, "logo", job.workshop.name),
            "service": f"{labels['service']} {job.service.number}",
            "finished": f"{labels['finished']} {view.formats.date(job.service.done)}",
            "about": f"{to} · {about}" if to else about,
            "decision": _decision(view),
            "headline": _text(view, Place.HEADLINE),
            "paragraphs": [
                {"title": labels[key], "text": " ".join(parts), "parts": parts}
                for key, place in _PARAGRAPHS
                if (parts := _parts(view, place))
            ],
            "verdicts": [
                {"label": v.label, "words": v.words, "shape": shape(v.verdict)}
                for v in statements.verdicts
            ],
            "verdict_key": [{"shape": mark, "label": labels[_MARKED[mark]]} for mark in _key(view)],
            "next_service": _next_service(view, job.service.next_service),
            "signed_by": _signed(view),
            "done_by": _done_by(view),
        }
        return SectionView(
            values=values, figures=(_picture_of(view),), required=(_decision_note(view),)
        )


def _picture_of(view: View) -> str:
    """The picture that shows what is gravest: brakes, lines outside, a turn, else the angle."""
    claim = view.assessment.claim
    if view.assessment.facts["free_travel_low"]:
        return "brake_view"
    rows = {row.name for row in view.job.specification.rows} if view.job.specification else set()
    for fact in ("now_outside_lines", "still_outside"):
        outside = view.assessment.facts[fact]
        if isinstance(outside, tuple) and any(
            str(line[0]).rstrip("0123456789 ") in rows for line in outside
        ):
            return "outside_view"
    turn, pitch = (claim(subject, When.NOW) for subject in (Subject.TURN, Subject.PITCH))
    grave = (ClaimStatus.EXPECTED, ClaimStatus.POSSIBLE, ClaimStatus.OPEN)
    if turn.noticeable and (
        not pitch.noticeable or grave.index(turn.status) <= grave.index(pitch.status)
    ):
        return "rear_view"
    return "side_view"


def _flight_mark(view: View) -> str:
    """The decision has a mark of its own: a stop, or what comes first, never looks like a pass."""
    facts = view.assessment.facts
    mark = _FLIGHT[facts["flight"]]
    return (
        "triangle" if facts["grounded"] else "half" if facts["against"] and mark == "dot" else mark
    )


def _decision(view: View) -> dict[str, str]:
    """What the workshop decided, with its mark."""
    return {
        "shape": _flight_mark(view),
        "text": _text(view, Place.DECISION),
        "note": _decision_note(view),
    }


def _decision_note(view: View) -> str:
    """That nobody takes the workshop's word for an approval; where it gave none, of the report."""
    open_yet = view.assessment.facts["flight"] == "not_decided"
    return view.statements.labels["decision_note_open" if open_yet else "decision_note"]


def _text(view: View, place: Place) -> str:
    return " ".join(s.text for s in view.statements.at(place))


def _parts(view: View, place: Place) -> list[str]:
    """The sentences of a place in short paragraphs, one for what belongs together."""
    parts: list[list[str]] = []
    last: tuple[str, ...] | None = None
    for sentence in view.statements.at(place):
        own = next((t for t in _TOGETHER.get(place, ()) if sentence.topic in t), last)
        if not parts or own is not last:
            parts.append([])
        parts[-1].append(sentence.text)
        last = own
    return [" ".join(part) for part in parts]


def _key(view: View) -> list[str]:
    """The marks of page one that need a word: all that are there, none where all passed."""
    said = view.statements
    there = {_flight_mark(view), *(shape(verdict.verdict) for verdict in said.verdicts)}
    if any(caution.weight is Weight.WARNING for caution in said.cautions):
        there.add("triangle")
    return [mark for mark in _MARKED if mark in there] if there != {"dot"} else []


def _picture(view: View, role: str, of: str) -> dict[str, str] | None:
    """Where a picture is, and its words for those who cannot see it."""
    pictures = view.job.workshop.pictures
    if role not in pictures:
        return None
    path, _ = pictures[role]
    return {"file": f"/{path}", "alt": view.statements.label(f"{role}_of", name=of)}


def signature_of(view: View) -> dict[str, str] | None:
    """The picture of the signature, shown for its own writer alone."""
    signed, signatory = view.job.service.signed_by, view.job.workshop.signatory
    if signed is None or signatory is None or signatory.name != signed.name:
        return None
    return _picture(view, "signature", signed.name)


def _signed(view: View) -> dict[str, Any] | None:
    """Who answers for the report."""
    signed, picture = view.job.service.signed_by, signature_of(view)
    if signed is None:
        return None
    return {
        # A page without a signature does not say that it is signed.
        "label": view.statements.labels["signed_by" if picture else "checked_by"],
        "name": signed.name,
        "as": signed.qualification,
        "picture": picture,
    }


def _done_by(view: View) -> dict[str, str] | None:
    """Who did the work, where nobody signed; that is no signature."""
    service, labels = view.job.service, view.statements.labels
    if service.signed_by or service.technician is None:
        return None
    person = service.technician
    return {"label": labels["done_by"], "name": person.name, "as": person.qualification}


def _next_service(view: View, due: NextService | None) -> dict[str, str] | None:
    if due is None or (due.date is None and due.hours is None):
        return None
    label = view.statements.label
    if due.date is not None and due.hours is not None:
        words = label(
            "due_date_or_hours",
            date=view.formats.date(due.date),
            hours=view.formats.number(due.hours),
        )
    elif due.date is not None:
        words = label("due_date", date=view.formats.date(due.date))
    else:
        words = label("due_hours", hours=view.formats.number(due.hours))
    return {"label": view.statements.labels["next_service"], "words": words}


section = Letter()
