"""Makes what is looked at. A fault never takes the last good report away."""

import contextlib
import itertools
import os
import threading
from collections import OrderedDict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from trimscribe.cell import SerialWorker
from trimscribe.errors import Fault, StoppedError, TrimscribeError
from trimscribe.evidence import Evidence
from trimscribe.model.report import PageBox, Report
from trimscribe.model.workshop import SHOP_FILE, names_folder
from trimscribe.preview.request import Looked, PreviewRequest, Selection, Stage
from trimscribe.resources.file_access import real_path
from trimscribe.resources.worlds import world_of

Folder = tuple[Path, int]  # with its number on the disk: one that was rebuilt is another
_KEPT = 12  # shots: those that a page may still be loading pictures of
_WORK = "trimscribe.preview.look"
_PLACES, _PAGE = "trimscribe.typeset.text:places_of", "trimscribe.typeset.pictures:page_jpeg"


@dataclass(frozen=True)
class Snapshot:
    """One report as it was made at one moment; whatever is asked of it later is of that moment.

    Workers do the looking: `desk` has made it, `easel` draws its pages.
    """

    number: str
    looked: Looked
    report: Report
    desk: SerialWorker
    easel: SerialWorker

    @cached_property
    def places(self) -> tuple[tuple[PageBox, ...], ...]:
        """Where each sentence stands on the pages, if these are a PDF."""
        if self.report.suffix != ".pdf":
            return ()
        sentences = self.looked.sentences
        found: tuple[tuple[PageBox, ...], ...] | None
        found = _answer(self.easel, _PLACES, self.report.data, sentences)
        return found or ()

    def why(self, number: int) -> Evidence | None:
        """What is behind a sentence; None when there is none of this number, or no more."""
        found: Evidence | None = _answer(self.desk, f"{_WORK}:why", self.number, number)
        return found

    def page(self, number: int, width: int) -> bytes | None:
        """A page of a PDF as JPEG, this many pixels wide; None when it cannot be drawn."""
        drawn: bytes | None = _answer(self.easel, _PAGE, self.report.data, number, width)
        return drawn


def _answer(worker: SerialWorker, function: str, *given: Any) -> Any:
    """What a worker says of a look; None where it was stopped."""
    try:
        return worker.call("", function, *given)
    except TrimscribeError:
        return None


@dataclass(frozen=True)
class PreviewState:
    """What there is to see: the last good shot, and whether it is of now.

    `faults` are those of now, warnings included; `stages` those that were reached.
    """

    shot: Snapshot | None
    fresh: bool
    faults: tuple[Fault, ...]
    stages: tuple[Stage, ...]


@dataclass
class PreviewSession:
    """One preview: all that it shows; one look is made at a time.

    `age` counts the changes of files: a state is made again when it has grown. `last` is what was
    looked at last. `folders` are watched; of those in `above` a shop file alone counts, since a
    job finds the nearest one.
    """

    shop: str = ""
    root: str = ""
    age: int = 0
    folders: frozenset[Folder] = frozenset()
    above: frozenset[Path] = frozenset()
    last: Selection | None = None
    desk: SerialWorker = field(default_factory=SerialWorker)
    easel: SerialWorker = field(default_factory=SerialWorker)
    _made: dict[Selection, tuple[int, PreviewState]] = field(default_factory=dict)
    _shots: OrderedDict[str, Snapshot] = field(default_factory=OrderedDict)
    _numbers: Iterator[int] = field(default_factory=lambda: itertools.count(1))
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def see(self, choice: Selection) -> PreviewState:
        """The state of a choice as its files are now."""
        self.last = choice
        with self._lock:
            age = self.age  # before a file is read: a change in between makes it old
            known = self._made.get(choice)
            if known and known[0] == age:
                state = known[1]
            else:
                state = self._look(choice, known[1].shot if known else None)
                self._made[choice] = age, state
            self._keep(state.shot)
            return state

    def look_again(self) -> None:
        """Make the last state again before anybody asks, so that the next request waits less."""
        if self.last:
            self.see(self.last)

    def counts(self, path: Path) -> bool:
        """Whether a change at this path may change a report."""
        watched = {folder for folder, _ in self.folders} - self.above
        return path in watched or path.parent in watched or path.name == SHOP_FILE

    def shot(self, number: str) -> Snapshot | None:
        """A shot by its number, if it is still kept."""
        return self._shots.get(number)

    def close(self) -> None:
        """Let the workers go."""
        self.desk.close()
        self.easel.close()

    def _look(self, choice: Selection, last: Snapshot | None) -> PreviewState:
        number = str(next(self._numbers))
        asked = PreviewRequest(**vars(choice), number=number, shop=self.shop, root=self.root)
        try:
            looked: Looked = self.desk.call(choice.job, f"{_WORK}:look", asked, reads=_world(asked))
        except TrimscribeError as error:
            self._watch(choice, self._folders_without_looking(asked, error))
            return PreviewState(last, False, error.faults, ())
        self._watch(choice, looked.folders)
        if looked.report is None:
            return PreviewState(last, False, looked.faults, looked.stages)
        shot = Snapshot(number, looked, looked.report, self.desk, self.easel)
        return PreviewState(shot, True, looked.faults, looked.stages)

    def _folders_without_looking(
        self, asked: PreviewRequest, error: TrimscribeError
    ) -> tuple[Path, ...]:
        """What must be watched for a report that was stopped, so that mending it is seen."""
        if isinstance(error, StoppedError):
            try:
                found: tuple[Path, ...] = self.desk.call(
                    asked.job, f"{_WORK}:folders_of", asked, reads=_world(asked)
                )
            except TrimscribeError:
                pass
            else:
                return found
        own = (Path(asked.theme),) if names_folder(asked.theme) else ()
        return tuple(real_path(path) for path in (Path(asked.job).parent, *own))

    def _keep(self, shot: Snapshot | None) -> None:
        """What somebody is about to look at, also again, goes last of all."""
        if shot:
            self._shots[shot.number] = shot
            self._shots.move_to_end(shot.number)
        while len(self._shots) > _KEPT:
            self._shots.popitem(last=False)

    def _watch(self, choice: Selection, folders: tuple[Path, ...]) -> None:
        """Add the folders that a state depends on; none is ever left out again."""
        above = set(real_path(Path(choice.job)).parent.parents)
        found = {*folders} | {path for path, _ in self.folders} - self.above
        self.above = (self.above | above) - found
        self.folders = frozenset(_there(found | self.above))


def _there(paths: Iterable[Path]) -> Iterator[Folder]:
    for path in paths:
        with contextlib.suppress(OSError):  # it may go in this moment
            if os.path.isdir(path) and os.access(path, os.R_OK):
                yield path, path.stat().st_ino


def _world(asked: PreviewRequest) -> tuple[str, ...]:
    return world_of([asked.job], root=asked.root, shop=asked.shop, theme=asked.theme)
