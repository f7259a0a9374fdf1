"""What an import comes to, as data and before anything is written: what a worker does of it.

Values go to a job or line set that is there, or to a new one.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from trimscribe.errors import Fault, InputError, Severity, any_error
from trimscribe.exports.editing.kinds import is_line_set, not_a_job
from trimscribe.exports.editing.merge import MergeResult, line_set_tree, merge, of_line_set
from trimscribe.exports.editing.skeleton import new_job, new_line_set
from trimscribe.exports.export import Export, has_plain_form, import_with, read_export
from trimscribe.exports.files import load_file, open_file
from trimscribe.exports.guessing.beside import LabelledText, labelled_texts, other_wing, told
from trimscribe.exports.guessing.kept_maps import find_kept_map
from trimscribe.exports.guessing.propose import MapProposal, OwnWords, propose
from trimscribe.exports.guessing.questions import OpenQuestions
from trimscribe.exports.line_sets import CheckedLineSet, find_line_set, job_line_set
from trimscribe.exports.mapping.load import load_map
from trimscribe.exports.mapping.plan import ImportMap
from trimscribe.marked_yaml import LoadedYaml, load
from trimscribe.registry import installed
from trimscribe.resources.file_access import real_path
from trimscribe.resources.worlds import nearest_shop
from trimscribe.schemas.shop import EXPORT_WORDS
from trimscribe.whereabouts import at

_NOT_SAID = "?"  # where lengths are laid that say neither before nor after, to find them


@dataclass(frozen=True)
class Wanted:
    """An export by its path, or as `data` where it was pasted, its map, and where values are to go.

    `new_line_set` says that `new` is one. With `propose` only a map is guessed. `answers` are those
    to questions about the export, by their ids. `force` replaces values that differ, `other_wing`
    takes an export that names another wing.
    """

    path: Path
    data: bytes | None = None
    map_path: Path | None = None
    into: Path | None = None
    new: Path | None = None
    new_line_set: bool = False
    propose: bool = False
    measuring: str = ""
    wing: str = ""
    lines: Path = Path()
    maps: Path = Path()
    shop: Path | None = None
    answers: Mapping[str, str] = field(default_factory=dict)
    force: bool = False
    other_wing: bool = False


@dataclass(frozen=True)
class WorkedOut:
    """Values and faults of an export; the text of the file they are merged into, and as it was.

    `export` is None while questions of the `proposal` are open, or where only a map was wanted.
    `merged` is None where there is no such file, or where a new job lacks its line set. `notes` say
    which kept map was used, or why not, `beside` what the export says besides lengths.
    """

    export: Export | None
    merged: MergeResult | None = None
    text_before: str | None = None
    proposal: MapProposal | None = None
    notes: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()


@dataclass(frozen=True)
class NewJob:
    """The text of a new job, how many points it has, and what its wing is called."""

    text: str
    points: int
    called: str


def work_out(wanted: Wanted) -> WorkedOut:
    """Read an export and lay its values, or guess a map of it; raises InputError."""
    at(wanted.path.as_posix())
    data = open_file(wanted.path) if wanted.data is None else wanted.data
    line_set = find_line_set(wanted.wing, wanted.lines) if wanted.wing else None
    if wanted.propose:
        return WorkedOut(None, proposal=_guessed(wanted, data, line_set, {}))
    target = Target(wanted.into, load_file(wanted.into)) if wanted.into else None
    if target and not target.is_line_set and (wrong := not_a_job(target.loaded)):
        raise InputError(wrong)
    if target and not line_set:
        line_set = target.line_set()
    specified = wanted.new_line_set or bool(target and target.is_line_set)
    found = _read(wanted, data, line_set, specified=specified)
    said = _said(found)
    other = () if specified else tuple(_other_wing(wanted, target, line_set, said))
    if any_error(other):
        raise InputError(other)
    if found.export is None:
        return found
    merged = target.merge(found.export, line_set, force=wanted.force) if target else None
    if wanted.new:
        merged = _merge_new(wanted.new, wanted.path, found.export, line_set, wanted.shop)
    if merged and other:
        merged = replace(merged, faults=(*other, *merged.faults))
    text = target.text if target else None
    beside = tuple(told(found.export.imported.left_out, said))
    return replace(found, merged=merged, text_before=text, beside=beside)


def _said(found: WorkedOut) -> tuple[LabelledText, ...]:
    """What labels beside the tables say; of a proposal also while its questions are open."""
    if found.proposal:
        return labelled_texts(found.proposal.cells)
    left_out = found.export.imported.left_out if found.export else ()
    return labelled_texts([one.cell for one in left_out])


def _other_wing(
    wanted: Wanted,
    target: "Target | None",
    line_set: CheckedLineSet | None,
    said: Sequence[LabelledText],
) -> Iterator[Fault]:
    """What speaks against the export being of the job's wing, or of a new job's line set."""
    if target and isinstance(target.loaded.data, Mapping):
        wing = target.loaded.data.get("wing")
        named = target.path.as_posix()
    elif wanted.new and line_set:
        wing, named = line_set.values, line_set.path.as_posix()
    else:
        return
    if isinstance(wing, Mapping):
        yield from other_wing(said, wing, named, allowed=wanted.other_wing)


def _read(
    wanted: Wanted, data: bytes, line_set: CheckedLineSet | None, *, specified: bool
) -> WorkedOut:
    """What the export holds: by its map, by its plain form, by a kept map, or by a proposal."""
    registry, path, when = installed(), wanted.path, wanted.measuring
    asked, notes = OpenQuestions(wanted.answers), list[str]()
    if wanted.map_path:
        plan, faults = load_map(open_file(wanted.map_path), wanted.map_path.as_posix())
        if plan is None:
            raise InputError(faults)
        return _by_map(wanted, data, plan, faults, line_set, asked)
    if not specified and has_plain_form(registry, data, path):
        when = when or _ask_when(asked)
        _refuse_wrong(asked, path)
        if asked.open:
            return _open(asked)
        return WorkedOut(read_export(registry, path, None, line_set, when, data))
    kept = None if specified else find_kept_map(registry, wanted.maps, data, path.as_posix())
    kept_answers: Mapping[str, str] = {}
    if kept and kept.differs:
        differs = "; ".join(kept.differs)
        notes.append(f"{kept.path.as_posix()} is for such files, but not for this one: {differs}.")
    elif kept:
        name, asks_when = kept.path.as_posix(), "when" in kept.answers and not when
        when = when or (_ask_when(asked) if asks_when else "")
        # What a riser adds was answered for another wing: it is held against this one's lengths.
        risers = {k: v for k, v in kept.answers.items() if k.startswith("riser")}
        again = line_set is not None and bool(risers)
        if not again and not asked.open and not asked.strange and not asked.wrong:
            notes.append(f"The map {name} is for files of this shape, and is used.")
            found = _by_map(replace(wanted, measuring=when), data, kept.plan, (), line_set, asked)
            return replace(found, notes=tuple(notes))
        notes.append(f"The map {name} is for files of this shape. Its answers are taken.")
        gone = {"when", *(k for k, v in risers.items() if v == "no")}
        kept_answers = {k: v for k, v in kept.answers.items() if k not in gone}
    proposal = _guessed(wanted, data, line_set, kept_answers, specified=specified)
    open_questions = proposal.text is None or bool(proposal.questions)
    export_or_none = None if open_questions else proposal.export
    return WorkedOut(export_or_none, proposal=proposal, notes=tuple(notes))


def _by_map(
    wanted: Wanted,
    data: bytes,
    plan: ImportMap,
    faults: Sequence[Fault],
    line_set: CheckedLineSet | None,
    asked: OpenQuestions,
) -> WorkedOut:
    """What a map reads; when lengths were measured is asked where neither it nor they say it."""

    def read(measuring: str) -> Export:
        return import_with(installed(), data, wanted.path, plan, faults, line_set, measuring)

    export = read(wanted.measuring or plan.measuring or _NOT_SAID)
    if any(value.path[0] == _NOT_SAID for value in export.imported.values):
        when = _ask_when(asked)
        _refuse_wrong(asked, wanted.path)
        return WorkedOut(read(when)) if when else _open(asked)
    _refuse_wrong(asked, wanted.path)
    return WorkedOut(export)


def _open(asked: OpenQuestions) -> WorkedOut:
    return WorkedOut(None, proposal=MapProposal("", questions=tuple(asked.open)))


def _guessed(
    wanted: Wanted,
    data: bytes,
    line_set: CheckedLineSet | None,
    kept: Mapping[str, str],
    *,
    specified: bool = False,
) -> MapProposal:
    """A map as it is guessed from an export, with answers that were kept of a former one."""
    pasted = wanted.data is not None
    near = (wanted.into or wanted.new or Path("here")) if pasted else wanted.path
    return propose(
        installed(),
        wanted.path,
        line_set,
        measuring=wanted.measuring,
        own_words=_own_words(wanted.shop, near),
        specified=specified,
        data=data,
        answers=wanted.answers,
        kept=kept,
    )


def _ask_when(asked: OpenQuestions) -> str:
    """When lengths were measured, where that was answered."""
    return asked.ask(
        "when",
        "Were the lengths measured before or after the work?",
        {"before": "as the wing came in", "after": "as the wing left"},
    )


def _refuse_wrong(asked: OpenQuestions, path: Path) -> None:
    if faults := tuple(asked.faults(path.as_posix())):
        raise InputError(faults)


def new_text(job: Path, wing: str, lines: Path, shop: Path | None) -> NewJob:
    """A new job with every point of a line set in place; raises InputError."""
    line_set = find_line_set(wing, lines)
    points = 2 * sum(map(len, line_set.lengths.values()))
    return NewJob(new_job(job, line_set, shop), points, line_set.called)


def _own_words(shop: Path | None, near: Path) -> OwnWords:
    """The words of a shop file, else of the nearest one beside or above a file.

    InputError when a shop file that was named cannot be read.
    """
    if shop is None:
        folder = real_path(near).parent
        nearest = nearest_shop(folder)
        if not nearest:
            return ()
        try:
            data = load_file(folder / nearest).data
        except InputError:
            return ()  # `check` says what is wrong with it
    else:
        data = load_file(shop).data
    words = data.get("export_words") if isinstance(data, Mapping) else None
    if not isinstance(words, Mapping):
        return ()
    return tuple(
        (EXPORT_WORDS[name], name, str(phrase))
        for name, given in words.items()
        if name in EXPORT_WORDS
        for phrase in (given if isinstance(given, list) else [given])
    )


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
        return is_line_set(self.loaded.data)

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


def _merge_new(
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
    return merge(load(text.encode(), path.as_posix()), values, line_set.lengths)
