"""A run of `import` or `new`: what is read, shown and written, in this order."""

import functools
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import click

from trimscribe.cli.asking import (
    answered,
    answers_of,
    question_data,
    question_faults,
    somebody_is_there,
)
from trimscribe.cli.exits import Exit
from trimscribe.cli.faults import fault_data, tell_faults
from trimscribe.cli.import_views import show_cells, show_counts, show_data
from trimscribe.cli.output import FORMAT, clean, say, say_data, tell
from trimscribe.errors import Fault, InputError, Severity
from trimscribe.imports.exports import Export, has_plain_form, import_with, read_export
from trimscribe.imports.files import open_file, typed
from trimscribe.imports.kept_maps import find_kept_map
from trimscribe.imports.lay import Laid
from trimscribe.imports.line_sets import LineSet, find_line_set
from trimscribe.imports.own_words import own_words
from trimscribe.imports.propose import Proposal, propose
from trimscribe.imports.skeleton import new_job
from trimscribe.imports.target import Target, lay_new, open_target
from trimscribe.imports.write import write_new, write_over
from trimscribe.model.plain import Plain
from trimscribe.registry import Registry

__all__ = ["Wishes", "run_import", "run_new", "run_new_line_set"]

_PASTED = "-"
_LARGEST_PASTED = 32 * 1024 * 1024  # bytes


@dataclass(frozen=True)
class Wishes:
    """What the person asked for, as on the command line."""

    map_path: Path | None = None
    into: Path | None = None
    new: Path | None = None
    new_line_set: Path | None = None
    propose: Path | None = None
    measuring: str | None = None
    wing: str = ""
    lines: Path = Path()
    maps: Path = Path()
    shop: Path | None = None
    answer: tuple[str, ...] = field(default=())
    dry_run: bool = False
    force: bool = False
    as_json: bool = False


@dataclass(frozen=True)
class _Bytes:
    """An export that was opened: its path, or what a pasted one would be called."""

    path: Path
    data: bytes
    pasted: bool


def run_import(registry: Registry, path: Path, wishes: Wishes) -> int:
    """Import one export as the wishes say; return the exit code."""
    targets = (wishes.into, wishes.new, wishes.propose, wishes.new_line_set)
    if sum(bool(one) for one in targets) > 1:
        raise click.UsageError(
            "Only one of --into, --new, --new-line-set and --propose makes sense."
        )
    opened = _opened(path)
    line_set = find_line_set(wishes.wing, wishes.lines) if wishes.wing else None
    if wishes.propose:
        return _propose(registry, opened, wishes.propose, line_set, wishes)
    target = open_target(wishes.into) if wishes.into else None
    if target and not line_set:
        line_set = target.line_set()
    specified = bool(wishes.new_line_set or (target and target.is_line_set))
    export, proposal = _read(registry, opened, line_set, wishes, specified=specified)
    if export is None:
        return _left_open(opened, proposal, wishes)
    laid = target.lay(export, line_set, force=wishes.force) if target else None
    if new := wishes.new or wishes.new_line_set:
        laid = lay_new(new, opened.path, export, line_set, wishes.shop)
        if laid is None:
            raise click.UsageError("A new job needs a line set: --wing.")
    faults = (*export.faults, *(laid.faults if laid else ()))
    faulty = any(fault.severity is Severity.ERROR for fault in faults)
    if not wishes.as_json:
        _show(export, laid, wishes)
        tell_faults(faults)
    written = None
    if laid and not faulty and not wishes.dry_run:
        written = _write(laid, target, wishes)
    code = Exit.INPUT if faulty else Exit.DONE
    if wishes.as_json:
        show_data(code, opened.path, export, laid, written, _said(proposal))
        return code
    show_counts(
        opened.path, export, faults, unchanged=bool(target and laid and not laid.difference)
    )
    if written:
        say(clean(typed(written)))
    return code


def _opened(path: Path) -> _Bytes:
    """The bytes of an export, or what is pasted or piped: text, JSON or a whole workbook."""
    if str(path) != _PASTED:
        return _Bytes(path, open_file(path), False)
    data = sys.stdin.buffer.read(_LARGEST_PASTED)
    start = data.lstrip()[:1]
    ending = ".xlsx" if data.startswith(b"PK") else ".json" if start in (b"{", b"[") else ".txt"
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        ending = ".xls"
    return _Bytes(Path(f"pasted{ending}"), data, True)


def _read(
    registry: Registry,
    opened: _Bytes,
    line_set: LineSet | None,
    wishes: Wishes,
    *,
    specified: bool,
) -> tuple[Export | None, Proposal | None]:
    """What the export holds: by its map, by its plain form, by a kept map, or by a proposal."""
    path, data, when = opened.path, opened.data, wishes.measuring or ""
    if wishes.map_path or (not specified and has_plain_form(registry, data, path)):
        return read_export(registry, path, wishes.map_path, line_set, when, data), None
    answers = answers_of(wishes.answer)
    kept = None if specified else find_kept_map(registry, wishes.maps, data, typed(path))
    if kept and kept.differs:
        tell(
            f"{typed(kept.path)} is for such files, but not for this one: "
            f"{'; '.join(kept.differs)}."
        )
    elif kept:
        when = when or answers.get("when", "")
        if when or "when" not in kept.answers:
            tell(f"The map {typed(kept.path)} is for files of this shape, and is used.")
            return import_with(registry, data, path, kept.plan, (), line_set, when), None
        tell(f"The map {typed(kept.path)} is for files of this shape. Its answers are taken.")
        answers = {k: v for k, v in kept.answers.items() if k != "when"} | answers
    proposal = _proposed(registry, opened, line_set, wishes, answers, specified=specified)
    if proposal.text is None:
        for text in proposal.left_out:
            tell(text)
        raise InputError(proposal.faults)
    return (None if proposal.questions else proposal.export), proposal


def _proposed(
    registry: Registry,
    opened: _Bytes,
    line_set: LineSet | None,
    wishes: Wishes,
    answers: Mapping[str, str],
    *,
    specified: bool = False,
) -> Proposal:
    """The proposal, with every question answered that somebody is there to answer."""
    ask = not wishes.as_json and not opened.pasted and somebody_is_there()
    near = opened.path if not opened.pasted else wishes.into or wishes.new or Path("here")
    guess = functools.partial(
        propose,
        registry,
        opened.path,
        line_set,
        measuring=wishes.measuring or "",
        own_words=own_words(wishes.shop, near),
        specified=specified,
        data=opened.data,
    )
    proposal = answered(lambda known: guess(answers=known), answers, ask=ask)
    if proposal.text is not None and not wishes.as_json and not wishes.propose:
        for text in (*proposal.left_out, *proposal.reasons):
            tell(text)
    return proposal


def _left_open(opened: _Bytes, proposal: Proposal | None, wishes: Wishes) -> int:
    """Questions that nobody answered: listed, and nothing is laid in."""
    questions = proposal.questions if proposal else ()
    if wishes.as_json:
        show_data(Exit.INPUT, opened.path, None, None, None, _said(proposal))
    else:
        tell_faults(question_faults(questions, typed(opened.path)))
    return Exit.INPUT


def _said(proposal: Proposal | None) -> Mapping[str, Plain]:
    """A proposal as data."""
    if proposal is None:
        return {}
    return {
        "map": proposal.text,
        "questions": question_data(proposal.questions),
        "answers": dict(proposal.answers or {}),
        "left_out_first": list(proposal.left_out),
        "because": list(proposal.reasons),
    }


def _show(export: Export, laid: Laid | None, wishes: Wishes) -> None:
    """Every cell where that was asked for, and what changes in a file before it does."""
    if wishes.dry_run or not laid:
        show_cells(export)
    if laid and laid.difference:
        say("\n".join(map(clean, laid.difference.split("\n"))))


def _write(laid: Laid, target: Target | None, wishes: Wishes) -> Path | None:
    """Write what was laid; None when there is nothing to change."""
    if new := wishes.new or wishes.new_line_set:
        write_new(new, laid.text, force=wishes.force)
        return new
    if target and laid.text != target.text:
        write_over(target.path, target.text, laid.text)
        return target.path
    return None


def _propose(
    registry: Registry, opened: _Bytes, target: Path, line_set: LineSet | None, wishes: Wishes
) -> int:
    """Write a guessed map: what it leaves out first, why it is so, what is still to be answered."""
    proposal = _proposed(registry, opened, line_set, wishes, answers_of(wishes.answer))
    name = typed(opened.path)
    written = proposal.text is not None and not wishes.dry_run
    if proposal.text is not None and not wishes.dry_run:
        write_new(target, proposal.text, force=wishes.force)
    open_ones = question_faults(proposal.questions, name)
    faults: tuple[Fault, ...] = (
        *proposal.faults,
        *(proposal.export.faults if proposal.export else ()),
        *open_ones,
    )
    refused = proposal.text is None or bool(open_ones)
    code = Exit.INPUT if refused else Exit.DONE
    if wishes.as_json:
        say_data(
            {
                "format": FORMAT,
                "exit_code": int(code),
                "export": name,
                **_said(proposal),
                "written": typed(target) if written else None,
                "faults": [*map(fault_data, faults)],
            }
        )
        return code
    for text in (*proposal.left_out, *proposal.reasons):
        tell(text)
    if proposal.text is None:
        raise InputError(proposal.faults)
    tell_faults(open_ones)
    shown = proposal.text.rstrip("\n").split("\n") if wishes.dry_run else [typed(target)]
    say("\n".join(map(clean, shown)))
    return code


def run_new(job: Path, wing: str, lines: Path, shop: Path | None, *, force: bool) -> int:
    """Write a new job with every point in place."""
    line_set = find_line_set(wing, lines)
    write_new(job, new_job(job, line_set, shop), force=force)
    count = 2 * sum(map(len, line_set.lengths.values()))
    tell(f"{typed(job)}: {count} points of {line_set.called} to fill in")
    say(clean(typed(job)))
    return Exit.DONE


def run_new_line_set(
    registry: Registry, target: Path, table: Path, answer: tuple[str, ...], *, force: bool
) -> int:
    """Write a new line set from a maker's table."""
    wishes = Wishes(new_line_set=target, answer=answer, force=force)
    code = run_import(registry, table, wishes)
    if code == Exit.DONE:
        tell("Fill in maker, model, size and source, then check it: trimscribe check FILE.")
    return code
