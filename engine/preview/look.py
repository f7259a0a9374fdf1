"""What a worker does for a preview: one look at a report, and what is asked of it later."""

import os
import time
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from trimscribe.compose import compose
from trimscribe.compose.theme_files import chain_of
from trimscribe.errors import TrimscribeError, bug
from trimscribe.evidence import Evidence, evidence_of
from trimscribe.model.document import Content
from trimscribe.model.report import Report
from trimscribe.model.statements import Statement
from trimscribe.model.workshop import names_folder
from trimscribe.pipeline import prepare
from trimscribe.preview.request import Looked, PreviewRequest, Stage
from trimscribe.registry import installed
from trimscribe.resources.file_access import real_path
from trimscribe.whereabouts import at
from trimscribe.world import World

_KEPT = 12  # contents, for what is asked of them later


def look(asked: PreviewRequest) -> Looked:
    """Make what is asked for; whatever stops it is among the faults."""
    clock = _Clock()
    content = None
    folders = _folders(asked, None)
    at(asked.job)
    try:
        content = prepare(
            asked.job,
            installed(),
            asked.shop,
            language=asked.language,
            root=asked.root,
            stage_hook=clock.stage_hook,
        )
        folders = _folders(asked, content)
        with clock.stage_hook("compose"):
            document = compose(content, installed(), World.real(), asked.theme)
        with clock.stage_hook(asked.output):
            report: Report = installed().get("outputs", asked.output).make(document)
    except TrimscribeError as error:
        warnings = content.warnings if content else ()
        return Looked((*error.faults, *warnings), tuple(clock.stages), folders)
    except MemoryError:
        raise
    except Exception as error:  # a preview outlives whatever a plugin does
        return Looked((bug(error),), tuple(clock.stages), folders)
    said = document.shown.content.statements
    sentences = (*said.sentences, *said.cautions)
    _keep(asked.number, content, sentences)
    return Looked(
        (*content.warnings, *report.warnings),
        tuple(clock.stages),
        folders,
        report,
        document.title,
        document.language,
        tuple(sentence.text for sentence in sentences),
    )


def why(number: str, sentence: int) -> Evidence | None:
    """What is behind a sentence of a look; None where it is kept no more."""
    content, sentences = _contents.get(number, (None, ()))
    if content is None or not 0 <= sentence < len(sentences):
        return None
    return evidence_of(sentences[sentence], content, short=True)


def folders_of(asked: PreviewRequest) -> tuple[Path, ...]:
    """The folders that a look depends on, as far as they can be found."""
    try:
        return _folders(asked, prepare(asked.job, installed(), asked.shop, root=asked.root))
    except TrimscribeError:
        return _folders(asked, None)


def _folders(asked: PreviewRequest, content: Content | None) -> tuple[Path, ...]:
    found = {Path(asked.job).parent, *(p.folder for p in installed().all("languages"))}
    if asked.shop:
        found.add(Path(asked.shop).parent)
    theme = asked.theme
    if content:
        here = Path(asked.job).parent
        found |= {(here / file.name).parent for file in content.reading.files}
        workshop = content.reading.job.workshop
        theme = theme or workshop.theme
        found |= {workshop.fonts} if workshop.fonts else set()
    for folder in _themes(theme or "base"):
        found |= {folder, *(path for path in folder.rglob("*") if os.path.isdir(path))}
    return tuple(sorted({real_path(path) for path in found}))


def _themes(theme: str) -> Iterator[Path]:
    try:
        yield from (folder.path for folder in chain_of(theme, installed()))
    except TrimscribeError:  # reported when it is used; what can be mended is watched
        yield from (Path(theme),) if names_folder(theme) and os.path.isdir(theme) else ()


_contents: OrderedDict[str, tuple[Content, tuple[Statement, ...]]] = OrderedDict()


def _keep(number: str, content: Content, sentences: tuple[Statement, ...]) -> None:
    _contents[number] = content, sentences
    while len(_contents) > _KEPT:
        _contents.popitem(last=False)


@dataclass
class _Clock:
    """Times stages in the order in which they end."""

    stages: list[Stage] = field(default_factory=list)

    @contextmanager
    def stage_hook(self, name: str) -> Iterator[None]:
        start = time.perf_counter()
        try:
            yield
        finally:
            self.stages.append(Stage(name, round(1000 * (time.perf_counter() - start), 1)))
