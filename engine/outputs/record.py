"""The record for programs: JSON as `schemas/report.schema.json` describes it."""

import json
from dataclasses import dataclass

from trimscribe.model.document import Document
from trimscribe.model.plain import to_plain
from trimscribe.model.report import Report
from trimscribe.model.report_record import FORMAT, AttachedFile, ReportRecord


@dataclass(frozen=True)
class JsonOutput:
    """Writes what a document says and the numbers behind it as one JSON document."""

    contract: int = 2
    name: str = "json"
    suffix: str = ".json"

    def make(self, document: Document) -> Report:
        """Return the record."""
        plain = to_plain(_record(document))
        data = json.dumps(plain, ensure_ascii=False, allow_nan=False, indent=1).encode() + b"\n"
        return Report(data=data, suffix=self.suffix, media_type="application/json", pages=1)


def _record(document: Document) -> ReportRecord:
    shown = document.shown
    job, said = shown.content.reading.job, shown.content.statements
    return ReportRecord(
        format=FORMAT,
        title=document.title,
        language=document.language,
        date=document.date,
        workshop=job.workshop.name,
        service=job.service.number,
        maker=job.wing.maker,
        model=job.wing.model,
        size=job.wing.size,
        serial_number=job.wing.serial_number,
        pilot=job.pilot.name if job.pilot else "",
        statements=said.sentences,
        cautions=said.cautions,
        verdicts=said.verdicts,
        decision_rule=said.labels["decision_rule"],
        not_covered=said.labels["not_covered"],
        claims=shown.content.assessment.claims,
        findings=shown.content.findings,
        history=shown.content.history,
        files=tuple(
            AttachedFile(item.name, item.media_type, shown.hashes[item.name])
            for item in document.attachments
        ),
        software=shown.versions,
    )


output = JsonOutput()
