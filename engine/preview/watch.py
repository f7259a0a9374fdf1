"""Rings when a file changes that a report is made of."""

from collections.abc import AsyncIterator
from dataclasses import dataclass, field

import anyio
from watchfiles import awatch

from trimscribe.preview.sights import Folder, Sights

__all__ = ["Bell", "watch"]

_LOOK_UP_MS = 250  # how long an end or another folder may have to wait
_QUIET_MS, _MOST_MS = 5, 50  # a save of several writes is one change, if they come this close


@dataclass
class Bell:
    """Tells everybody who listens that something has changed."""

    _event: anyio.Event = field(default_factory=anyio.Event)

    def ring(self) -> None:
        """Wake all listeners."""
        self._event.set()
        self._event = anyio.Event()

    async def wait(self) -> None:
        """Return at the next ring."""
        await self._event.wait()


async def watch(sights: Sights, bell: Bell, moved: Bell) -> None:
    """Make `sights` older at each change and ring; `moved` rings when its folders have changed."""
    while True:
        folders = sights.folders
        stop = anyio.Event()
        async with anyio.create_task_group() as tasks:
            tasks.start_soon(_stop_when_moved, sights, folders, stop, moved)
            async for _ in _changes(folders, stop):
                sights.age += 1
                bell.ring()
                tasks.start_soon(anyio.to_thread.run_sync, sights.look_again)
        # A change while the watch moved on was seen by nobody.
        sights.age += 1
        bell.ring()


async def _stop_when_moved(
    sights: Sights, folders: frozenset[Folder], stop: anyio.Event, moved: Bell
) -> None:
    while sights.folders == folders:
        await moved.wait()
    stop.set()


async def _changes(folders: frozenset[Folder], stop: anyio.Event) -> AsyncIterator[None]:
    paths = sorted(str(path) for path, _ in folders if path.is_dir())
    if not paths:
        await stop.wait()
        return
    # Not below: a job may lie in a folder with everything that a person owns.
    async for _ in awatch(
        *paths,
        recursive=False,
        step=_QUIET_MS,
        debounce=_MOST_MS,
        rust_timeout=_LOOK_UP_MS,
        stop_event=stop,
    ):
        yield
