"""What a plugin of each kind must offer.

A plugin is a value found by name through an entry point in the group `trimscribe.<kind>`. The
built-in ones come through the same door. Of Trimscribe a plugin imports `contracts`, `model`,
`errors`, `canvas`, `colour`, `templating`, `marked_text` and `marked_yaml`, nothing else.
It says in `contract` which number of its kind's contract it was written for; one outside
`SUPPORTED` is reported and not used.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol, runtime_checkable

from trimscribe.errors import Fault, Mark
from trimscribe.model.assessment import Assessment
from trimscribe.model.by_name import by_name
from trimscribe.model.document import Document, Figure
from trimscribe.model.findings import Findings, Verdict
from trimscribe.model.history import History
from trimscribe.model.ink import Ink
from trimscribe.model.job import Job
from trimscribe.model.plan import Plan
from trimscribe.model.report import Report
from trimscribe.model.statements import Statements
from trimscribe.model.tables import Sheet, TableFormat
from trimscribe.model.wing import Side

__all__ = [
    "CONTRACT",
    "KINDS",
    "OPTIONAL",
    "SUPPORTED",
    "Analysis",
    "DeclaringAnalysis",
    "FigureMaker",
    "Formats",
    "ImportedLength",
    "Importer",
    "Ink",
    "Language",
    "Output",
    "Section",
    "SectionView",
    "TableImporter",
    "TemplatedSection",
    "Theme",
    "TracingAnalysis",
    "View",
    "shape",
]

CONTRACT = 1  # of analyses, languages and themes, which have had no other


@by_name
class ImportedLength:
    """One length in mm from an export, and the cell it came from.

    None says that the cell gives no length: the point was not measured, or a fault says why.
    """

    side: Side
    group: str
    point: int
    length_mm: float | None
    mark: Mark


@runtime_checkable
class Importer(Protocol):
    """Turns the bytes of an export into lengths. A user's mistake is returned, never raised.

    Where several read files with one ending, those of other packages are asked before the built-in
    ones. One declines a file that is not its own by None: then the next is asked.
    """

    contract: int
    name: str
    suffixes: tuple[str, ...]

    def read(
        self, data: bytes, name: str
    ) -> tuple[tuple[ImportedLength, ...], tuple[Fault, ...]] | None:
        """Return lengths in file order and the faults met; `name` is the file as typed."""


@runtime_checkable
class TableImporter(Importer, Protocol):
    """An importer that can also hand over the cells, so that an import map says what they mean."""

    def tables(
        self, data: bytes, name: str, table_format: TableFormat
    ) -> tuple[tuple[Sheet, ...], tuple[Fault, ...]] | None:
        """Return the sheets in file order and the faults met; `name` is the file as typed."""


@runtime_checkable
class Analysis(Protocol):
    """Adds to the findings. `needs` names the analyses that must have run before."""

    contract: int
    name: str
    needs: tuple[str, ...]

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Return the findings with this analysis's part filled in; pure, no files, no clock."""


@runtime_checkable
class DeclaringAnalysis(Analysis, Protocol):
    """An analysis whose part of `extra` rules and phrases may ask for.

    `facts` has the meaning of each by its name. The name is that of a value in the analysis's part
    of `extra`, and is used for no other fact; where the value is missing, the fact is None.
    """

    facts: Mapping[str, str]


@runtime_checkable
class TracingAnalysis(DeclaringAnalysis, Protocol):
    """An analysis that says what its facts are made of, so that `explain` shows the lines.

    `inputs` has by the name of a fact the findings (`after.lines`) or the keys of the job
    (`pilot.all_up_weight_kg`) that it comes from.
    """

    inputs: Mapping[str, tuple[str, ...]]


@runtime_checkable
class Language(Protocol):
    """A folder with `phrases.yaml` and `labels.yaml`, and the locale that formats numbers."""

    contract: int
    name: str
    locale: str
    folder: Path


class Formats(Protocol):
    """Numbers and dates as the language writes them; None reads as the label for "not measured"."""

    def number(self, value: float | None, digits: int = 0, *, sign: bool = False) -> str:
        """A number with fixed digits; `sign` also writes a plus. Minus is U+2212."""

    def at_most(self, value: float, digits: int = 0) -> str:
        """A bound, rounded up."""

    def written(self, value: float | None, *, sign: bool = False) -> str:
        """A number, such as a limit, with the decimals that somebody wrote it with."""

    def beside(
        self,
        value: float | None,
        limit: float | None,
        digits: int = 0,
        *,
        sign: bool = False,
        borders: Sequence[float] = (),
    ) -> str:
        """A number with as many decimals as show on which side of its limit it lies.

        So it does for `borders`, where a decision rule's verdict on its size changes besides.
        """

    def at_least(self, value: float, least: float) -> str:
        """A whole number that should reach `least`; finer where it just does not."""

    def decimals(self, value: float) -> int:
        """How many decimals a number was written with, up to three."""

    def date(self, value: Any) -> str:
        """A date in the language's long form."""

    def items(self, parts: Sequence[str]) -> str:
        """A list in running text: `A, B and C`."""


@dataclass(frozen=True)
class View:
    """All that a section or figure may look at.

    Numbers come from `findings`; a direction, a verdict and a colour only from `assessment`.
    `width_pt` is the width of the text in points, `versions` those of the software that makes the
    report and of the packages that add to it, `hashes` the SHA-256 of each attached file by name,
    `history` what earlier services of the wing say together with this one, None where none is
    known. A bench sheet has a `plan`, of which it shows the proposal `taken`, counted from 0. `low`
    asks a figure for less height, as far as it can do with less.
    """

    job: Job
    findings: Findings
    assessment: Assessment
    statements: Statements
    formats: Formats
    ink: Ink
    width_pt: float
    versions: Mapping[str, str]
    hashes: Mapping[str, str]
    history: History | None = None
    plan: Plan | None = None
    taken: int = 0
    low: bool = False


_SHAPES = {
    Verdict.PASS: "dot",
    Verdict.CONDITIONAL_PASS: "half",
    Verdict.CONDITIONAL_FAIL: "half",
    Verdict.FAIL: "triangle",
    Verdict.NOT_ASSESSED: "circle",
}


def shape(verdict: Verdict) -> str:
    """The mark that goes with a verdict in every section, so that colour never speaks alone."""
    return _SHAPES[verdict]


@by_name
class SectionView:
    """What a section hands to its template: values by name, and figures by name.

    `required` are texts that the finished report must show, whatever the theme does.
    """

    values: Mapping[str, Any]
    figures: tuple[str, ...] = ()
    required: tuple[str, ...] = ()


@runtime_checkable
class Section(Protocol):
    """One part of the report: chooses the values that its template sets."""

    contract: int
    name: str
    template: str

    def view(self, view: View) -> SectionView | None:
        """Return the values for the template, or None when there is nothing to show."""


@runtime_checkable
class TemplatedSection(Section, Protocol):
    """A section that brings its own templates, so that it can be shown in every theme.

    `templates` has the text of each by name: `NAME.typ.j2` for paper, `NAME.html.j2` for the page
    for the phone. A theme that has one of the same name shows its own.
    """

    templates: Mapping[str, str]


@runtime_checkable
class FigureMaker(Protocol):
    """Draws one figure."""

    contract: int
    name: str

    def draw(self, view: View) -> Figure | None:
        """Return the figure with its alt text, or None when there is nothing to draw."""


@runtime_checkable
class Theme(Protocol):
    """A folder with `theme.yaml`, templates, assets and fonts."""

    contract: int
    name: str
    folder: Path


@runtime_checkable
class Output(Protocol):
    """Turns a composed document into one kind of file."""

    contract: int
    name: str
    suffix: str

    def make(self, document: Document) -> Report:
        """Return the finished file; raises TypesetError."""


# Contracts of each kind that this Trimscribe works with, oldest and newest. What each number
# changed, and how long an older one goes on, is in DEVELOPERS.md.
SUPPORTED: Mapping[str, tuple[int, int]] = {
    "importers": (1, 2),
    "analyses": (1, 1),
    "languages": (1, 1),
    "sections": (1, 2),
    "figures": (1, 2),
    "themes": (1, 1),
    "outputs": (1, 2),
}

KINDS: Mapping[str, type] = {
    "importers": Importer,
    "analyses": Analysis,
    "languages": Language,
    "sections": Section,
    "figures": FigureMaker,
    "themes": Theme,
    "outputs": Output,
}

# What a plugin of a kind may offer besides; where it does, it offers it as asked here.
OPTIONAL: Sequence[type] = (DeclaringAnalysis, TracingAnalysis, TemplatedSection)
