"""What can be looked at. The page names each by a number, so that no path is ever in an address."""

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from trimscribe.batch.jobs import find_jobs, is_job
from trimscribe.cell import in_cell
from trimscribe.preview.request import Selection
from trimscribe.registry import Registry
from trimscribe.resources.worlds import world_of

KINDS = ("job", "theme", "language", "output")
_MOST_BESIDE = 200  # jobs of a folder that are offered beside the one that was named
_OWN = "workshop’s"


@dataclass(frozen=True)
class Choices:
    """Values by kind, the first of each chosen to begin with; `names` are what people see."""

    values: Mapping[str, tuple[str, ...]]
    names: Mapping[str, tuple[str, ...]]

    @classmethod
    def found(cls, jobs: Sequence[str], theme: str) -> "Choices":
        """The same as `of`, by a worker: it reads files to see whether they are jobs."""
        named: tuple[str, ...] = in_cell(
            "", "trimscribe.preview.choices:_jobs", tuple(jobs), reads=world_of(jobs)
        )
        return cls._of(named, theme, Registry.installed())

    @classmethod
    def of(cls, jobs: Sequence[str], theme: str, registry: Registry) -> "Choices":
        """The jobs that are named and those beside them, and all that is installed.

        Raises InputError for a folder without jobs.
        """
        return cls._of(_jobs(jobs), theme, registry)

    @classmethod
    def _of(cls, found: tuple[str, ...], theme: str, registry: Registry) -> "Choices":
        themes = tuple(dict.fromkeys([theme, "", *registry.names("themes")]))
        languages = ("", *registry.names("languages"))
        outputs = tuple(sorted(registry.names("outputs"), key=lambda name: (name != "pdf", name)))
        return cls(
            dict(zip(KINDS, (found, themes, languages, outputs), strict=True)),
            {
                "job": _apart(found),
                "theme": tuple(name or _OWN for name in themes),
                "language": tuple(name or _OWN for name in languages),
                "output": outputs,
            },
        )

    def choice(self, numbers: Mapping[str, str]) -> Selection | None:
        """What numbers from 0 stand for; a kind that is not named is its first. None for others."""
        chosen = {}
        for kind in KINDS:
            number = numbers.get(kind, "0")
            known = self.values[kind]
            if not (number.isascii() and number.isdecimal()) or int(number) >= len(known):
                return None
            chosen[kind] = known[int(number)]
        return Selection(**chosen)


def _jobs(named: Sequence[str]) -> tuple[str, ...]:
    """Those that were named, and those beside them."""
    jobs = find_jobs(named).jobs
    return tuple(dict.fromkeys([*jobs, *islice(_beside(jobs), _MOST_BESIDE)]))


def _beside(jobs: Iterable[str]) -> Iterable[str]:
    """Other jobs in the folders of those that were named."""
    for folder in dict.fromkeys(Path(job).parent for job in jobs):
        if os.path.isdir(folder):
            for path in sorted(folder.iterdir()):
                if os.path.isfile(path) and is_job(path):
                    yield path.as_posix()


def _apart(jobs: Sequence[str]) -> tuple[str, ...]:
    """File names; with their folders, where two are alike."""
    short = [Path(job).name for job in jobs]
    return tuple(
        name if short.count(name) == 1 else job for name, job in zip(short, jobs, strict=True)
    )
