"""A section that a theme adds with data alone: a template, and texts from `phrases`."""

from collections.abc import Mapping
from dataclasses import dataclass

from trimscribe.contracts import SectionView, View
from trimscribe.model.template_values import OwnValues


@dataclass(frozen=True)
class OwnSection:
    """Sets the theme's template of this name; it sees `about`, `labels` and `phrases`."""

    name: str
    contract: int = 2

    @property
    def template(self) -> str:
        """The file in the theme's folder `templates`."""
        return f"{self.name}.typ.j2"

    def view(self, view: View) -> SectionView:
        """What any workshop may want to say of the service in its own words."""
        values: OwnValues = {"about": dict(about(view)), "labels": dict(view.statements.labels)}
        return SectionView(values=values)


def about(view: View) -> Mapping[str, str]:
    """The names that a theme's texts can hold in braces; empty where the job does not say."""
    job = view.job
    return {
        "pilot": job.pilot.name if job.pilot else "",
        "maker": job.wing.maker,
        "model": job.wing.model,
        "size": job.wing.size,
        "serial_number": job.wing.serial_number,
        "service": job.service.number,
        "date": view.formats.date(job.service.done),
        "workshop": job.workshop.name,
    }
