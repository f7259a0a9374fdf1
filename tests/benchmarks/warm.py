"""One report after another in one process: ours, stage by stage; the bare compile; the peers."""

import gc
import logging
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from unittest import mock

import peers
from clock import Clock
from content import pieces_of
from peers import missing
from variants import variants

from trimscribe.analyse import analyse
from trimscribe.assess import assess
from trimscribe.compose import compose
from trimscribe.compose.document import view_of
from trimscribe.compose.figures import plan_view, side_view, span_charts
from trimscribe.compose.themes import resolve
from trimscribe.model.document import LADDER, LADDER_DOWN, Content
from trimscribe.narrate import narrate
from trimscribe.pipeline import prepare
from trimscribe.read import read
from trimscribe.registry import Registry
from trimscribe.typeset.compiler import compile_pdf
from trimscribe.typeset.text import pdf_pages
from trimscribe.world import World

STAGES = ("read", "analyse", "narrate", "compose", "typeset")


class Bench:
    """What all turns share."""

    def __init__(self) -> None:
        self.registry, self.world = Registry.installed(), World.real()
        self.clock = Clock()
        self.sizes: dict[str, int] = {}

    def whole(self, job: Path) -> None:
        """Make one report, each stage measured."""
        measure = self.clock.measure
        with measure("pipeline"):
            with measure("read"):
                reading = read(job, self.registry)
            with measure("analyse"):
                findings = analyse(reading.job, self.registry)
            with measure("assess"):
                assessment = assess(findings, reading.job)
            with measure("narrate"):
                statements = narrate(assessment, reading.job, self.registry)
            with measure("compose"):
                content = Content(reading, findings, assessment, statements)
                document = compose(content, self.registry, self.world)
            with measure("typeset"):
                report = self.registry.get("outputs", "pdf").make(document)
        self.sizes["report"] = len(report.data)

    def bare(self, job: Path) -> None:
        """Compile a document that was composed beforehand, and nothing else."""
        compiled = self.composed(job)
        with self.clock.measure("bare"):
            compiled()

    def composed(self, job: Path) -> Callable[[], object]:
        """What compiles a job's document, which is composed here, with page one as designed."""
        document = compose(prepare(job, self.registry), self.registry, self.world)
        files = {**document.files, "main.typ": document.main.encode()}
        files[LADDER] = LADDER_DOWN.encode()
        files |= {f"attached/{n}": item.data for n, item in enumerate(document.attachments)}
        return lambda: compile_pdf(files, document.fonts, 0)

    def figures(self, job: Path) -> None:
        """Draw all figures, and draw them with matplotlib."""
        content = prepare(job, self.registry)
        look = resolve("", content.reading.job.workshop, self.registry)
        view = view_of(content, look, self.registry, self.world)
        makers = [self.registry.get("figures", name) for name in self.registry.names("figures")]
        with self.clock.measure("figures"):
            drawn = [maker.draw(view) for maker in makers]
        self.sizes["figures"] = sum(len(figure.svg) for figure in drawn if figure)
        if "matplotlib" in missing():
            return
        with drawing_with_matplotlib(), self.clock.measure("matplotlib_figures"):
            for maker in makers:
                maker.draw(view)

    def peer(self, name: str, job: Path) -> None:
        """Set what was read, said and drawn beforehand, and see that nothing of it is lost."""
        pieces, document = pieces_of(prepare(job, self.registry), self.registry, self.world)
        with self.clock.measure(name):
            data = getattr(peers, name)(pieces)
        self.sizes[name] = len(data)
        said = "".join("".join(pdf_pages(data)).split())
        if lost := [text for text in document.required if "".join(text.split()) not in said]:
            raise SystemExit(f"{name} lost {len(lost)} texts, such as “{lost[0]}”")


@contextmanager
def drawing_with_matplotlib() -> Iterator[None]:
    """Let our figures draw on matplotlib's sheet for a while."""
    from matplotlib_sheet import MatplotlibSheet

    with ExitStack() as kept:
        for module in (plan_view, side_view, span_charts):
            kept.enter_context(mock.patch.object(module, "Canvas", MatplotlibSheet))
        yield


def measure(folder: Path, rounds: int) -> Iterator[tuple[str, float]]:
    """Ratios, medians over `rounds` turns."""
    logging.disable(logging.WARNING)  # peers warn of style rules that they do not know
    present = [peer for peer in peers.PEERS if peer not in missing()]
    turns = 3 + len(present)
    jobs = variants(folder, turns * (rounds + 1))
    bench = Bench()
    for turn in range(rounds + 1):
        if turn == 1:
            bench.clock = Clock()  # the first turn warms fonts, templates and imports
        gc.collect()
        bench.whole(next(jobs))
        bench.bare(next(jobs))
        bench.figures(next(jobs))
        for peer in present:
            bench.peer(peer, next(jobs))
    median = bench.clock.median
    yield "bare_compile_ms", median("bare") * 1000
    yield "pipeline_over_bare_compile", median("pipeline") / median("bare")
    for stage in STAGES:
        yield f"{stage}_over_bare_compile", median(stage) / median("bare")
    for peer in present:
        yield f"{peer}_over_pipeline", median(peer) / median("pipeline")
        yield f"{peer}_over_bare_compile", median(peer) / median("bare")
    yield "figures_over_bare_compile", median("figures") / median("bare")
    if "matplotlib" not in missing():
        yield "matplotlib_figures_over_figures", median("matplotlib_figures") / median("figures")
    for name, size in bench.sizes.items():
        yield f"{name}_kilobytes", size / 1000
