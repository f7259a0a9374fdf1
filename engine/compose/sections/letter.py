"""The letter: page one, from the headline to the signature."""

from dataclasses import dataclass

from trimscribe.contracts import SectionView, View
from trimscribe.model.findings import Verdict
from trimscribe.model.job import NextService
from trimscribe.model.statements import Place

__all__ = ["section", "shape"]

_PARAGRAPHS = (
    ("found", Place.FOUND),
    ("done", Place.DONE),
    ("in_the_air", Place.AIR),
    ("before_you_fly", Place.BEFORE_FLYING),
)
_SHAPES = {
    Verdict.PASS: "dot",
    Verdict.CONDITIONAL_PASS: "diamond",
    Verdict.CONDITIONAL_FAIL: "triangle",
    Verdict.FAIL: "triangle",
    Verdict.NOT_ASSESSED: "circle",
    Verdict.NOT_APPLICABLE: "circle",
}


def shape(verdict: Verdict) -> str:
    """The mark that goes with a verdict, so that colour never speaks alone."""
    return _SHAPES[verdict]


@dataclass(frozen=True)
class Letter:
    """Headline, four short paragraphs, side view, verdict strip, next service, signature."""

    contract: int = 1
    name: str = "letter"
    template: str = "letter.typ.j2"

    def view(self, view: View) -> SectionView:
        """Values for the letter; a paragraph without sentences is left out."""
        job, statements, labels = view.job, view.statements, view.statements.labels
        wing = job.wing
        about = f"{wing.model} {wing.size}, {labels['serial_number']} {wing.serial_number}"
        to = statements.label("for_pilot", name=job.pilot.name) if job.pilot else ""
        signed = job.service.signed_by or job.service.technician
        return SectionView(
            values={
                "workshop": job.workshop.name,
                "registration": job.workshop.registration,
                "service": f"{labels['service']} {job.service.number}",
                "finished": f"{labels['finished']} {view.formats.date(job.service.done)}",
                "about": f"{to} · {about}" if to else about,
                "headline": _text(view, Place.HEADLINE),
                "paragraphs": [
                    {"title": labels[key], "text": text}
                    for key, place in _PARAGRAPHS
                    if (text := _text(view, place))
                ],
                "verdicts": [
                    {"label": v.label, "words": v.words, "shape": shape(v.verdict)}
                    for v in statements.verdicts
                ],
                "next_service": _next_service(view, job.service.next_service),
                "signed_by": (
                    {"label": labels["signed_by"], "name": signed.name, "as": signed.qualification}
                    if signed
                    else None
                ),
            },
            figures=("side_view",),
        )


def _text(view: View, place: Place) -> str:
    return " ".join(s.text for s in view.statements.at(place))


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
