"""Rings when a file changes that a report is made of."""

import os
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from pathlib import Path

import anyio
from watchfiles import Change, DefaultFilter, awatch

from trimscribe.preview.session import Folder, PreviewSession

_LOOK_UP_MS = 250  # how long an end or another folder may have to wait
_QUIET_MS, _MOST_MS = 5, 50  # a save of several writes is one change, if they come this close


class _Counting(DefaultFilter):
    """Drops what no report is made of, beside what editors and tools leave behind."""

    def __init__(self, session: PreviewSession) -> None:
        super().__init__()
        self._sights = session

    def __call__(self, change: Change, path: str) -> bool:
        return super().__call__(change, path) and self._sights.counts(Path(path))


@dataclass
class ChangeNotifier:
    """Tells everybody who listens that something has changed."""

    _event: anyio.Event = field(default_factory=anyio.Event)

    def ring(self) -> None:
        """Wake all listeners."""
        self._event.set()
        self._event = anyio.Event()

    async def wait(self) -> None:
        """Return at the next ring."""
        await self._event.wait()


async def watch(session: PreviewSession, bell: ChangeNotifier, moved: ChangeNotifier) -> None:
    """Age `session` at each change and ring; `moved` rings when its folders may be others."""
    while True:
        folders = session.folders
        stop = anyio.Event()
        async with anyio.create_task_group() as tasks:
            tasks.start_soon(_stop_when_moved, session, folders, stop, moved)
            async for _ in _changes(session, folders, stop):
                session.age += 1
                bell.ring()
                tasks.start_soon(_look_again, session, moved)
        # A change while the watch moved on was seen by nobody.
        session.age += 1
        bell.ring()


async def _look_again(session: PreviewSession, moved: ChangeNotifier) -> None:
    await anyio.to_thread.run_sync(session.look_again)
    moved.ring()


async def _stop_when_moved(
    session: PreviewSession, folders: frozenset[Folder], stop: anyio.Event, moved: ChangeNotifier
) -> None:
    while session.folders == folders:
        await moved.wait()
    stop.set()


async def _changes(
    session: PreviewSession, folders: frozenset[Folder], stop: anyio.Event
) -> AsyncIterator[None]:
    paths = sorted(str(path) for path, _ in folders if os.path.isdir(path))
    if not paths:
        await stop.wait()
        return
    # Not below: a job may lie in a folder with everything that a person owns.
    async for _ in awatch(
        *paths,
        watch_filter=_Counting(session),
        recursive=False,
        step=_QUIET_MS,
        debounce=_MOST_MS,
        rust_timeout=_LOOK_UP_MS,
        stop_event=stop,
    ):
        yield
