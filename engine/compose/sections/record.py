"""The record: identification, method, every line, and what the report does not cover."""

from dataclasses import dataclass

from trimscribe.compose.sections.plan_result import plan_result
from trimscribe.compose.sections.record_facts import method_facts, visit_facts, wing_facts
from trimscribe.compose.sections.record_lines import line_table
from trimscribe.contracts import SectionView, View
from trimscribe.model.manifest import NAME as MANIFEST
from trimscribe.model.statements import Place
from trimscribe.model.template_values import RecordValues

_MUCH = 2500  # characters of facts from which on a page break may fall among them
_ONE_PIECE = 800  # characters of a fact up to which it must not be torn over pages


@dataclass(frozen=True)
class RecordSection:
    """What must still be in ten years: the items of ISO/IEC 17025:2017, 7.8.2.1."""

    contract: int = 2
    name: str = "record"
    template: str = "record.typ.j2"

    def view(self, view: View) -> SectionView:
        """Values for the record's tables."""
        labels = view.statements.labels
        wing, visit, method = wing_facts(view), visit_facts(view), method_facts(view)
        lines, planned = line_table(view), plan_result(view)
        values: RecordValues = {
            "title": labels["record_title"],
            "parts": [
                {"title": labels["the_wing"], "facts": wing},
                {"title": labels["the_visit"], "facts": visit},
            ],
            "keep_together": len(f"{wing}{visit}") < _MUCH,
            "method": {"title": labels["how_measured"], "facts": method},
            "notes_title": labels["notes"],
            "notes": view.job.notes.strip(),
            "lines": lines,
            "planned": planned,
            "statements": [s.text for s in view.statements.at(Place.RECORD)],
            "scope_title": labels["scope"],
            "scope": [
                labels[key] for key in ("decision_rule", "handling_estimate_basis", "not_covered")
            ]
            + [labels["redacted"]] * view.job.redacted,
            "software": [f"{name} {version}" for name, version in view.versions.items()],
            "software_title": labels["software"],
            "hashes_title": labels["attached_files"],
            "hashes": _attached(view),
        }
        return SectionView(
            values=values,
            required=(
                *(value for _, value in (*wing, *visit, *method) if len(value) < _ONE_PIECE),
                *(" ".join(row) for row in (planned or {}).get("rows", ())),
                *(" ".join(row) for group in (lines or {}).get("groups", ()) for row in group),
            ),
        )


def _attached(view: View) -> list[str]:
    """How many files travel in the report, and what proves them; the manifest has the rest."""
    if MANIFEST not in view.hashes:
        return []
    label = view.statements.label("attached_count", count=len(view.hashes), manifest=MANIFEST)
    return [f"{label}\nSHA-256 {view.hashes[MANIFEST]}"]


section = RecordSection()
