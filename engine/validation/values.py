"""What is in a file after its schema was applied, with the places still at hand."""

from dataclasses import dataclass, field, is_dataclass
from typing import Any

from trimscribe.errors import Fault, Mark, Severity, first_of
from trimscribe.marked_yaml import LoadedYaml, ValuePath
from trimscribe.schemas.faults import shown


@dataclass(frozen=True)
class ValidValues:
    """The values that are right in one mapping of a file; `root` is its path in that file."""

    values: dict[str, Any]
    loaded: LoadedYaml
    root: ValuePath = ()

    def get(self, *path: str | int) -> Any:
        """The value at a path, None where nothing (right) is.

        Below a mapping that was right as a whole is what the schema built of it.
        """
        value: Any = self.values
        for part in path:
            try:
                value = getattr(value, str(part), None) if is_dataclass(value) else value[part]
            except (KeyError, IndexError, TypeError):
                return None
        return value

    def part(self, *path: str | int) -> dict[Any, Any]:
        """The mapping at a path, empty where none is; without a path all of it."""
        value = self.get(*path)
        return value if isinstance(value, dict) else {}

    def entries(self, *path: str | int) -> list[Any]:
        """The list at a path, empty where none is."""
        value = self.get(*path)
        return list(value) if isinstance(value, list | tuple) else []

    def inside(self, name: str) -> "ValidValues":
        """One of the mappings as a whole of its own."""
        return ValidValues(self.part(name), self.loaded, (*self.root, name))

    def has(self, *path: str | int) -> bool:
        """Whether anything, right or wrong, was written at a path."""
        return (*self.root, *path) in self.loaded.marks

    def faulty(self, *path: str | int) -> bool:
        """Whether something wrong was written at a path, so that nothing of it is known."""
        return self.has(*path) and path[-1] not in self.part(*path[:-1])

    def mark(self, *path: str | int) -> Mark:
        """The place of a value, or of the nearest thing around it."""
        return self.loaded.mark((*self.root, *path))

    def key(self, *path: str | int) -> Mark:
        """The place of the key of a value."""
        return self.loaded.keys.get((*self.root, *path)) or self.mark(*path)

    def shown(self, *path: str | int) -> str:
        """A path as people read it."""
        return shown((*self.root, *path))


@dataclass
class FaultList:
    """Gathers faults in rounds: structure, schema, sense.

    One mistake gives one fault: what is where an earlier round already found an error is
    dropped.
    """

    faults: list[Fault] = field(default_factory=list)
    _taken: set[tuple[str, str, int, int]] = field(default_factory=set)

    def end_round(self) -> None:
        """From here on, places with an error are taken."""
        self._taken = {_place(f) for f in self.faults if f.mark and f.severity is Severity.ERROR}

    def taken(self, mark: Mark) -> bool:
        """Whether an earlier round found an error at this place."""
        return _where(mark) in self._taken

    def add(self, *faults: Fault) -> None:
        """Take faults up."""
        self.faults += [f for f in faults if f.mark is None or _place(f) not in self._taken]

    def error(self, code: str, message: str, mark: Mark, hint: str = "") -> None:
        """Take up an error."""
        self.add(Fault(code, message, mark, hint))

    def warning(self, code: str, message: str, mark: Mark, hint: str = "") -> None:
        """Take up a warning."""
        self.add(Fault(code, message, mark, hint, Severity.WARNING))

    def sorted(self, files: list[str]) -> list[Fault]:
        """The first faults in file order: the job first, then the files as it names them."""
        order = {file: index for index, file in enumerate(files)}

        def key(fault: Fault) -> tuple[int, str, int, int]:
            mark = fault.mark
            if mark is None:
                return len(files) + 1, "", 0, 0
            sheet = mark.cell.rpartition("!")[0]
            return order.get(mark.file, len(files)), sheet, mark.line, mark.column

        return [*first_of(sorted(dict.fromkeys(self.faults), key=key))]


def _place(fault: Fault) -> tuple[str, str, int, int]:
    return _where(fault.mark) if fault.mark else ("", "", 0, 0)


def _where(mark: Mark) -> tuple[str, str, int, int]:
    return mark.file, mark.cell, mark.line, mark.column
