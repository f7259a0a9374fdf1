"""Makes what is looked at. A fault never takes the last good report away."""

import itertools
import os
import threading
import time
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from trimscribe.compose import compose
from trimscribe.compose.chain import chain_of
from trimscribe.errors import Fault, TrimscribeError, bug
from trimscribe.evidence import Evidence, evidence_of
from trimscribe.model.content import Content
from trimscribe.model.document import Document
from trimscribe.model.report import Report
from trimscribe.model.statements import Statement
from trimscribe.model.workshop import SHOP_FILE, names_folder
from trimscribe.pipeline import prepare
from trimscribe.preview.choices import Choice
from trimscribe.registry import Registry
from trimscribe.typeset.places import Place, places_of
from trimscribe.world import World

__all__ = ["Folder", "Shot", "Sight", "Sights", "Stage"]

Folder = tuple[Path, int]  # with its number on the disk: one that was made anew is another
_KEPT = 12  # shots: those that a page may still be loading pictures of


@dataclass(frozen=True)
class Stage:
    """How long a stage took."""

    name: str
    ms: float


@dataclass(frozen=True)
class Shot:
    """One report as it was made at one moment; whatever is asked of it later is of that moment."""

    number: str
    content: Content
    document: Document
    report: Report

    @property
    def sentences(self) -> tuple[Statement, ...]:
        """All that the report says, in order."""
        said = self.document.shown.content.statements
        return (*said.sentences, *said.cautions)

    @cached_property
    def places(self) -> tuple[tuple[Place, ...], ...]:
        """Where each sentence stands on the pages, if these are a PDF."""
        if self.report.suffix != ".pdf":
            return ()
        return places_of(self.report.data, [sentence.text for sentence in self.sentences])

    def why(self, number: int) -> Evidence | None:
        """What stands behind a sentence; None when there is none of this number."""
        if not 0 <= number < len(self.sentences):
            return None
        return evidence_of(self.sentences[number], self.content, short=True)


@dataclass(frozen=True)
class Sight:
    """What there is to see: the last good shot, and whether it is of now.

    `faults` are those of now, warnings included; `stages` those that were reached.
    """

    shot: Shot | None
    fresh: bool
    faults: tuple[Fault, ...]
    stages: tuple[Stage, ...]


@dataclass
class Sights:
    """All sights of one preview; one is made at a time.

    `age` counts the changes of files: a sight is made again when it has grown. `last` is what was
    looked at last. `folders` are watched; of those in `above` a shop file alone counts, since a
    job finds the nearest one.
    """

    registry: Registry
    world: World
    shop: str = ""
    age: int = 0
    folders: frozenset[Folder] = frozenset()
    above: frozenset[Path] = frozenset()
    last: Choice | None = None
    _made: dict[Choice, tuple[int, Sight]] = field(default_factory=dict)
    _shots: OrderedDict[str, Shot] = field(default_factory=OrderedDict)
    _numbers: Iterator[int] = field(default_factory=lambda: itertools.count(1))
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def see(self, choice: Choice) -> Sight:
        """The sight of a choice as its files are now."""
        self.last = choice
        with self._lock:
            age = self.age  # before a file is read: a change in between makes it old
            known = self._made.get(choice)
            if known and known[0] == age:
                sight = known[1]
            else:
                sight = self._look(choice, known[1].shot if known else None)
                self._made[choice] = age, sight
            self._keep(sight.shot)
            return sight

    def look_again(self) -> None:
        """Make the last sight anew before anybody asks, so that who does waits less."""
        if self.last:
            self.see(self.last)

    def counts(self, path: Path) -> bool:
        """Whether a change at this path may change a report."""
        watched = {folder for folder, _ in self.folders} - self.above
        return path in watched or path.parent in watched or path.name == SHOP_FILE

    def shot(self, number: str) -> Shot | None:
        """A shot by its number, if it is still kept."""
        return self._shots.get(number)

    def _look(self, choice: Choice, last: Shot | None) -> Sight:
        clock = _Clock()
        content = None
        self._watch(choice, None)
        try:
            content = prepare(
                choice.job, self.registry, self.shop, language=choice.language, around=clock.around
            )
            self._watch(choice, content)
            with clock.around("compose"):
                document = compose(content, self.registry, self.world, choice.theme)
            with clock.around(choice.output):
                report = self.registry.get("outputs", choice.output).make(document)
        except TrimscribeError as error:
            warnings = content.warnings if content else ()
            return Sight(last, False, (*error.faults, *warnings), tuple(clock.stages))
        except Exception as error:  # a preview outlives whatever a plugin does
            return Sight(last, False, (bug(error),), tuple(clock.stages))
        shot = Shot(str(next(self._numbers)), content, document, report)
        faults = (*content.warnings, *report.warnings)
        return Sight(shot, True, faults, tuple(clock.stages))

    def _keep(self, shot: Shot | None) -> None:
        """What somebody is about to look at, also again, goes last of all."""
        if shot:
            self._shots[shot.number] = shot
            self._shots.move_to_end(shot.number)
        while len(self._shots) > _KEPT:
            self._shots.popitem(last=False)

    def _watch(self, choice: Choice, content: Content | None) -> None:
        """Add the folders that a sight depends on; none is ever left out again."""
        above = set(Path(choice.job).resolve().parent.parents)
        found = {Path(choice.job).parent, *self._languages()}
        if self.shop:
            found.add(Path(self.shop).parent)
        theme = choice.theme
        if content:
            here = Path(choice.job).parent
            found |= {(here / file.name).parent for file in content.reading.files}
            workshop = content.reading.job.workshop
            theme = theme or workshop.theme
            found |= {workshop.fonts} if workshop.fonts else set()
        for folder in self._themes(theme or "base"):
            found |= {folder, *(path for path in folder.rglob("*") if path.is_dir())}
        found = {path.resolve() for path in found} | {path for path, _ in self.folders} - self.above
        self.above = (self.above | above) - found
        self.folders = frozenset(
            (path, path.stat().st_ino)
            for path in found | self.above
            if path.is_dir() and os.access(path, os.R_OK)
        )

    def _themes(self, theme: str) -> Iterator[Path]:
        try:
            yield from (folder.path for folder in chain_of(theme, self.registry))
        except TrimscribeError:  # told when it is used; what can be mended is watched
            yield from (Path(theme),) if names_folder(theme) and Path(theme).is_dir() else ()

    def _languages(self) -> Iterator[Path]:
        yield from (language.folder for language in self.registry.all("languages"))


@dataclass
class _Clock:
    """Notes how long each stage takes, also one that fails."""

    stages: list[Stage] = field(default_factory=list)

    @contextmanager
    def around(self, name: str) -> Iterator[None]:
        start = time.perf_counter()
        try:
            yield
        finally:
            self.stages.append(Stage(name, round((time.perf_counter() - start) * 1000, 1)))
