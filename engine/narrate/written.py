"""The files of the narration as people wrote them, with every fault at its place."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from trimscribe.errors import Fault, Mark, PhraseError, suggest
from trimscribe.marked_yaml import LoadedYaml, ValuePath, load

FileStamps = tuple[tuple[Path, int, int], ...]


def written_files(*places: Path) -> FileStamps:
    """The YAML files in folders, or named, with size and time: what tells that one has changed.

    Those that are missing are reported where they are read.
    """
    found = []
    for place in places:
        for path in [place] if place.is_file() else sorted(place.glob("*.yaml")):
            status = path.stat()
            found.append((path, status.st_size, status.st_mtime_ns))
    return tuple(found)


@dataclass
class Faults:
    """Faults met so far; all of them are reported at once."""

    found: list[Fault] = field(default_factory=list)

    def add(self, code: str, message: str, mark: Mark | None, hint: str = "") -> None:
        """Note one fault."""
        self.found.append(Fault(code, message, mark, hint))

    def stop(self) -> None:
        """Raise PhraseError with all of them, if there are any."""
        if self.found:
            raise PhraseError(self.found)


@dataclass(frozen=True)
class YamlMapping:
    """One YAML file that holds a mapping; shown by its own name and that of its folder."""

    loaded: LoadedYaml
    faults: Faults

    @classmethod
    def open(cls, path: Path, faults: Faults) -> "YamlMapping":
        """Read a file; one that cannot be read or holds no mapping is a fault and empty."""
        shown = f"{path.parent.name}/{path.name}"
        try:
            loaded = load(path.read_bytes(), shown)
        except OSError as error:
            reason = error.strerror or type(error).__name__
            faults.add("file-not-read", f"`{shown}` cannot be read: {reason}.", Mark(shown))
            return cls(load(b"{}", shown), faults)
        faults.found += loaded.faults
        return cls(loaded, faults)

    def mapping(self, *at: str | int) -> Mapping[str, Any]:
        """The mapping that is at a place; anything else there is a fault and empty."""
        value = self.loaded.data
        for key in at:
            value = value.get(key) if isinstance(value, dict) else None
        if isinstance(value, dict):
            return value
        if value is not None:
            self.fault("not-a-mapping", "`key: value` entries belong here.", at)
        return {}

    def fault(self, code: str, message: str, at: ValuePath, hint: str = "") -> None:
        """Note a fault of the value at a place."""
        self.faults.add(code, message, self.loaded.mark(at), hint)

    def fault_at_word(self, code: str, message: str, at: ValuePath, word: str, hint: str) -> None:
        """Note a fault of one word within the text at a place."""
        self.faults.add(code, message, self._word(self.loaded.mark(at), word), hint)

    def check_names(self, at: ValuePath, found: Iterable[str], wanted: Iterable[str]) -> None:
        """Note every name below a place that is missing, and every one that nothing uses.

        A file that is not a whole YAML has lost names that its author did write: none is missed.
        """
        found, wanted = list(found), list(wanted)
        missing = [name for name in wanted if name not in found and not self.loaded.faults]
        for name in missing:
            self.fault("missing-entry", f"`{name}` is missing.", at)
        for name in found:
            if name not in wanted:
                hint = suggest(name, missing, listed=False) or "Nothing uses it: take it out."
                mark = self.loaded.keys[(*at, name)]
                self.faults.add("unknown-entry", f"`{name}` is not known here.", mark, hint)

    def _word(self, mark: Mark, word: str) -> Mark:
        """Where a word is in a value that begins at `mark` and may go on below."""
        start = mark.column - 1
        for number, line in enumerate(self.loaded.text.lines[mark.line - 1 :], mark.line):
            if (column := line.find(word, start)) >= 0:
                return Mark(mark.file, number, column + 1, len(word), line)
            start = 0
        return replace(mark)
