"""The file that values go to: a job or line set that is there, or a new one."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from trimscribe.errors import Fault, Severity
from trimscribe.exports.editing.merge import MergeResult, line_set_tree, merge, of_line_set
from trimscribe.exports.editing.skeleton import new_job, new_line_set
from trimscribe.exports.export import Export
from trimscribe.exports.files import load_file, typed
from trimscribe.exports.line_sets import CheckedLineSet, job_line_set
from trimscribe.marked_yaml import LoadedYaml, load


@dataclass(frozen=True)
class Target:
    """A job or line set as it was read."""

    path: Path
    loaded: LoadedYaml

    @property
    def text(self) -> str:
        """The whole text."""
        return self.loaded.text.whole

    @property
    def is_line_set(self) -> bool:
        """Whether it is a line set by itself, and no job."""
        return isinstance(self.loaded.data, Mapping) and "rows" in self.loaded.data

    def line_set(self) -> CheckedLineSet | None:
        """The line set that a job names or holds."""
        return None if self.is_line_set else job_line_set(self.loaded)

    def merge(self, export: Export, line_set: CheckedLineSet | None, *, force: bool) -> MergeResult:
        """The values of an export that belong into such a file, merged into its text."""
        values = export.imported.values
        wanted = [value for value in values if of_line_set(value) is self.is_line_set]
        merged = merge(self.loaded, wanted, line_set.lengths if line_set else {}, force=force)
        left = len(values) - len(wanted)
        if not left:
            return merged
        other = "a job" if self.is_line_set else "a line set"
        message = f"{left} value{'s' * (left != 1)} of the export belong{'s' * (left == 1)} into "
        hint = f"Run the import once more for {other}."
        here = self.loaded.text.start
        reported = Fault("belongs-elsewhere", f"{message}{other}.", here, hint, Severity.WARNING)
        return replace(merged, faults=(*merged.faults, reported))


def open_target(path: Path) -> Target:
    """Read the file; InputError with its faults if its text has any."""
    return Target(path, load_file(path))


def merge_new(
    path: Path,
    export_path: Path,
    export: Export,
    line_set: CheckedLineSet | None,
    shop: Path | None,
) -> MergeResult | None:
    """The text of a new line set or, with a line set, of a new job; None when that is missing."""
    values = export.imported.values
    if any(map(of_line_set, values)):
        return MergeResult(new_line_set(export_path, line_set_tree(values)), "", ())
    if line_set is None:
        return None
    text = new_job(path, line_set, shop)
    return merge(load(text.encode(), typed(path)), values, line_set.lengths)
