"""One plugin of every kind."""

from dataclasses import dataclass, replace
from pathlib import Path

from trimscribe import contracts
from trimscribe.contracts import ImportedLength, SectionView, View
from trimscribe.errors import Fault, Mark
from trimscribe.model.document import Document, Figure
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job
from trimscribe.model.report import Report
from trimscribe.model.tables import Cell, Sheet, TableFormat
from trimscribe.model.wing import Side

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Lengths:
    """Reads one length per line, of the left A row; or hands over its lines as a table."""

    contract: int = 2
    name: str = "coast"
    suffixes: tuple[str, ...] = (".coast",)

    def read(self, data: bytes, name: str) -> tuple[tuple[ImportedLength, ...], tuple[Fault, ...]]:
        lines = enumerate(data.decode().splitlines(), 1)
        lengths = (
            ImportedLength(
                side=Side.LEFT, group="A", point=n, length_mm=float(line), mark=Mark(name, n)
            )
            for n, line in lines
        )
        return tuple(lengths), ()

    def tables(
        self, data: bytes, name: str, table_format: TableFormat
    ) -> tuple[tuple[Sheet, ...], tuple[Fault, ...]]:
        cells = {}
        for row, line in enumerate(data.decode().splitlines(), 1):
            cells[row, 1] = Cell(row, 1, f"A{row}", Mark(name, row))
            cells[row, 2] = Cell(row, 2, line, Mark(name, row, 1, len(line), line))
        return (Sheet("", cells, Mark(name)),), ()


@dataclass(frozen=True)
class Count:
    """Counts the adjustments."""

    contract: int = 1
    name: str = "coast"
    needs: tuple[str, ...] = ()

    def analyse(self, job: Job, findings: Findings) -> Findings:
        own = {"adjustments": len(job.adjustments)}
        return replace(findings, extra={**findings.extra, self.name: own})


@dataclass(frozen=True)
class Words:
    """A language with the English words, for now."""

    contract: int = 1
    name: str = "coast"
    locale: str = "en_GB"
    folder: Path = Path(contracts.__file__).parent / "narrate" / "languages" / "en"


@dataclass(frozen=True)
class Part:
    """A section that never has anything to show."""

    contract: int = 2
    name: str = "coast"
    template: str = "coast.typ.j2"

    def view(self, view: View) -> SectionView | None:
        return None


@dataclass(frozen=True)
class Drawing:
    """An empty drawing."""

    contract: int = 2
    name: str = "coast"

    def draw(self, view: View) -> Figure | None:
        svg = '<svg xmlns="http://www.w3.org/2000/svg"/>'
        return Figure(name=self.name, svg=svg, width_pt=10, height_pt=10, alt="Nothing.")


@dataclass(frozen=True)
class Look:
    """The base theme in another colour."""

    contract: int = 1
    name: str = "coast"
    folder: Path = HERE / "coast_theme"


@dataclass(frozen=True)
class Source:
    """The Typst source as it is."""

    contract: int = 2
    name: str = "coast"
    suffix: str = ".typ"

    def make(self, document: Document) -> Report:
        data = document.main.encode()
        return Report(data=data, suffix=self.suffix, media_type="text/plain", pages=0)


importer, analysis, language, section, figure, theme, output = (
    Lengths(),
    Count(),
    Words(),
    Part(),
    Drawing(),
    Look(),
    Source(),
)
