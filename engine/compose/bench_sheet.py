"""The bench sheet: one proposal of a plan on one page, through the theme like any other page."""

from dataclasses import replace
from typing import Any

from trimscribe.compose.document import assembled, frame_of, rendered, say_whose, view_of
from trimscribe.compose.label_overrides import reworded
from trimscribe.compose.themes import resolve
from trimscribe.model.content import Content
from trimscribe.model.document import Document
from trimscribe.model.plan import Plan
from trimscribe.registry import Registry
from trimscribe.world import World

SECTION = "bench_sheet"


def compose_sheet(
    content: Content, plan: Plan, taken: int, registry: Registry, world: World, theme: str = ""
) -> Document:
    """Return the sheet of the proposal `taken`, counted from 0; raises ThemeError.

    It carries no files: it is for the hands, and the job is where the plan came from.
    """
    job = content.reading.job
    look = resolve(theme, job.workshop, registry, content.reading.marks)
    content = replace(content, statements=reworded(content.statements, look))
    view = replace(view_of(content, look, registry, world), plan=plan, taken=taken)
    parts = rendered([registry.get("sections", SECTION)], view, look, registry)
    required = tuple(dict.fromkeys(text for seen in parts.views for text in seen.required))
    frame = _frame(content, parts.names)
    document = assembled(content, look, view, registry, parts, frame, (), required)
    say_whose(content, look, theme)
    return document


def _frame(content: Content, sections: list[str]) -> dict[str, Any]:
    """Values of the frame around the sheet, which says on each page that nothing was done yet."""
    job, labels = content.reading.job, content.statements.labels
    wing = f"{job.wing.model} {job.wing.size}, {labels['serial_number']} {job.wing.serial_number}"
    label, frame = content.statements.label, frame_of(content, sections)
    return frame | {
        "title": label("sheet_document_title", number=job.service.number, wing=wing),
        "footer": f"{labels['sheet_footer']} · {frame['footer']}",
        "own_footer": "",
        "end": labels["sheet_end"],
    }
