"""A bar on the terminal: how far a run is, how fast, how long it will still take."""

import sys
from types import TracebackType

from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    ProgressColumn,
    Task,
    TextColumn,
    TimeRemainingColumn,
)
from rich.text import Text

from trimscribe.cli.output import error_console


class _Rate(ProgressColumn):
    """Reports a second, over the last half minute."""

    def render(self, task: Task) -> Text:
        """Empty until there is something to measure."""
        speed = task.finished_speed or task.speed
        return Text(f"{speed:.1f} a second" if speed else "")


class Bar:
    """A bar on standard error; nothing if that is not a terminal. Messages move above it."""

    def __init__(self, total: int, missed: str = "failed") -> None:
        """Show nothing yet; `missed` is the word for those that did not come out well."""
        self._missed = missed
        self._progress = Progress(
            MofNCompleteColumn(),
            BarColumn(),
            _Rate(),
            TimeRemainingColumn(),
            TextColumn("{task.fields[missed]}"),
            console=error_console(),
            transient=True,
            # Results in a file or pipe go their own way.
            redirect_stdout=sys.stdout.isatty(),
        )
        self._progress.disable = not self._progress.console.is_interactive
        self._task = self._progress.add_task("", total=total, missed="")

    def __enter__(self) -> "Bar":
        """Show the bar."""
        self._progress.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Clear the bar away."""
        self._progress.stop()

    def advance(self, missed: int) -> None:
        """One more is done; `missed` of all so far did not come out well."""
        reported = f"{missed} {self._missed}" if missed else ""
        self._progress.update(self._task, advance=1, missed=reported)
