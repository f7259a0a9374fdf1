"""Why a sentence is in the report: its rule, its numbers, and where each came from.

    statement ▶ facts ▶ findings ▶ values of the job, with file and line, and thresholds

The command `explain` shows it, and the findings attached to each report carry it.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from trimscribe.model.document import Content
from trimscribe.model.origins import ORIGINS, Origin, origin_of
from trimscribe.model.statements import Statement
from trimscribe.model.thresholds import TABLE, thresholds_of
from trimscribe.model.wing import Side

BUILT_IN = "built in"
_LINE = re.compile(r"(.*[^0-9\s]) ?([1-9][0-9]*) (left|right)")


@dataclass(frozen=True)
class Input:
    """Values of the job below one path, and the places that they are at, such as job.yaml:12."""

    path: str
    places: tuple[str, ...]


@dataclass(frozen=True)
class UsedThreshold:
    """One entry of the table, with its source and the place that set it."""

    name: str
    value: float
    unit: str
    source: str
    place: str = BUILT_IN


@dataclass(frozen=True)
class Evidence:
    """All that is behind one sentence, or one finding (then `rule` is empty).

    `how` says of each finding how it comes about.
    """

    rule: str
    rule_place: str
    condition: str
    text: str
    numbers: Mapping[str, bool | float | str]
    how: Mapping[str, str]
    inputs: tuple[Input, ...]
    thresholds: tuple[UsedThreshold, ...]


@dataclass(frozen=True)
class FindingSource:
    """How one part of the findings came about in this job; `inputs` are paths of the job."""

    how: str
    inputs: tuple[str, ...]
    thresholds: tuple[str, ...]


@dataclass(frozen=True)
class Trail:
    """Where every number of the findings came from, by the path of its part.

    Of each value of the job and each threshold it is said once where it is.
    """

    parts: Mapping[str, FindingSource]
    inputs: tuple[Input, ...]
    thresholds: tuple[UsedThreshold, ...]


def trail_of(content: Content) -> Trail:
    """The trail of a whole report; files are named without their folders."""
    look = _Look(content, short=True)
    every = (*ORIGINS, *content.assessment.added.values())
    inputs = look.inputs(every)
    known = {one.path for one in inputs}
    parts = {
        origin.part: FindingSource(origin.how, found, origin.thresholds)
        for origin in every
        if (found := tuple(path for path in origin.inputs if path in known))
    }
    return Trail(parts, inputs, look.thresholds(every))


def evidence_of(statement: Statement, content: Content, *, short: bool = False) -> Evidence:
    """What is behind a sentence; `short` names files without their folders."""
    look = _Look(content, short)
    known = {path: _origin(path, content) for path in statement.sources}
    origins = [origin for origin in known.values() if origin]
    # What is not a finding is a value of the job itself.
    own = look.standing(path for path, origin in known.items() if origin is None)
    return Evidence(
        rule=statement.rule,
        rule_place=statement.rule_place,
        condition=statement.condition,
        text=statement.text,
        numbers=statement.numbers,
        how={path: origin.how for path, origin in known.items() if origin},
        inputs=(*look.named_lines(statement), *own, *look.inputs(origins)),
        thresholds=look.thresholds(origins),
    )


def evidence_of_finding(path: str, content: Content) -> Evidence | None:
    """What is behind a finding such as `before.pitch`; None for an unknown path."""
    origin = _origin(path, content)
    if origin is None:
        return None
    look = _Look(content)
    return Evidence(
        rule="", rule_place="", condition="", text=path, numbers={}, how={path: origin.how},
        inputs=look.inputs([origin]), thresholds=look.thresholds([origin]),
    )  # fmt: skip


def _origin(path: str, content: Content) -> Origin | None:
    return content.assessment.added.get(path) or origin_of(path)


@dataclass(frozen=True)
class _Look:
    """Looks places up in one reading."""

    content: Content
    short: bool = False

    def inputs(self, origins: Sequence[Origin]) -> tuple[Input, ...]:
        """The values that go into these findings and that were written down."""
        return self.standing(path for origin in origins for path in origin.inputs)

    def standing(self, paths: Iterable[str]) -> tuple[Input, ...]:
        """Those of the paths that were written down, with their first and last line per file."""
        below: dict[tuple[str | int, ...], str] = {tuple(p.split(".")): p for p in paths}
        lengths = range(1, max(map(len, below), default=0) + 1)
        spans: dict[str, dict[str, tuple[int, int]]] = {path: {} for path in below.values()}
        for at, mark in self.content.reading.marks.items():
            for length in lengths[: len(at)]:
                if path := below.get(at[:length]):
                    files, line = spans[path], mark.line
                    first, last = files.get(mark.file, (line, line))
                    files[mark.file] = min(first, line), max(last, line)
        return tuple(
            Input(path, tuple(self._lines(file, *span) for file, span in files.items()))
            for path, files in spans.items()
            if files
        )

    def _lines(self, file: str, first: int, last: int) -> str:
        return self._shown(file, f"{first}" if first == last else f"{first}–{last}")

    def thresholds(self, origins: Sequence[Origin]) -> tuple[UsedThreshold, ...]:
        """The entries of the table that go into these findings, in the order of the table."""
        names = {name for origin in origins for name in origin.thresholds}
        values = thresholds_of(self.content.reading.job)
        return tuple(
            UsedThreshold(
                entry.name,
                getattr(values, entry.name),
                entry.unit,
                entry.source,
                self._set_at(entry.name),
            )
            for entry in TABLE
            if entry.name in names
        )

    def _set_at(self, name: str) -> str:
        marks = self.content.reading.marks
        ways = (("thresholds", name), ("workshop", "thresholds", name))
        mark = next((marks[way] for way in ways if way in marks), None)
        return self._shown(mark.file, str(mark.line)) if mark else BUILT_IN

    def _shown(self, file: str, lines: str) -> str:
        return f"{file.rpartition('/')[2] if self.short else file}:{lines}"

    def named_lines(self, statement: Statement) -> Iterator[Input]:
        """The very lines that a sentence names, such as `B9 right`."""
        for fact, value in statement.numbers.items():
            if not isinstance(value, str) or not fact.endswith("_lines"):
                continue
            first = fact.startswith("found_") and self.content.findings.before is not None
            when = "before" if first or self.content.findings.after is None else "after"
            for name in value.split("; "):
                if match := _LINE.fullmatch(name):
                    side, group, number = Side(match[3]), match[1], int(match[2])
                    mark = self.content.reading.marks.get((when, side.value, group, number))
                    if mark is not None:
                        path = f"{when}.{side.value}.{group}{number}"
                        yield Input(path, (self._shown(mark.file, f"{mark.line}:{mark.column}"),))
