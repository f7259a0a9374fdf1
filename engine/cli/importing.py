"""A run of `import` or `new`: what is read, shown and written, in this order."""

from dataclasses import dataclass
from pathlib import Path

import click

from trimscribe.cli.exits import Exit
from trimscribe.cli.faults import tell_faults
from trimscribe.cli.import_views import show_cells, show_counts, show_data
from trimscribe.cli.output import clean, say, tell
from trimscribe.errors import InputError, Severity
from trimscribe.imports.exports import Export, read_export
from trimscribe.imports.files import typed
from trimscribe.imports.lay import Laid
from trimscribe.imports.line_sets import LineSet, find_line_set
from trimscribe.imports.propose import propose
from trimscribe.imports.skeleton import new_job
from trimscribe.imports.target import Target, lay_new, open_target
from trimscribe.imports.write import write_new, write_over
from trimscribe.registry import Registry

__all__ = ["Wishes", "run_import", "run_new"]


@dataclass(frozen=True)
class Wishes:
    """What the person asked for, as on the command line."""

    map_path: Path | None
    into: Path | None
    new: Path | None
    propose: Path | None
    measuring: str | None
    wing: str
    lines: Path
    shop: Path | None
    dry_run: bool
    force: bool
    as_json: bool


def run_import(registry: Registry, path: Path, wishes: Wishes) -> int:
    """Import one export as the wishes say; return the exit code."""
    if sum(bool(one) for one in (wishes.into, wishes.new, wishes.propose)) > 1:
        raise click.UsageError("Only one of --into, --new and --propose makes sense.")
    line_set = find_line_set(wishes.wing, wishes.lines) if wishes.wing else None
    if wishes.propose:
        return _propose(registry, path, wishes.propose, line_set, wishes)
    target = open_target(wishes.into) if wishes.into else None
    if target and not line_set:
        line_set = target.line_set()
    export = read_export(registry, path, wishes.map_path, line_set, wishes.measuring or "")
    laid = target.lay(export, line_set, force=wishes.force) if target else None
    if wishes.new:
        laid = lay_new(wishes.new, path, export, line_set, wishes.shop)
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
        show_data(code, path, export, laid, written)
        return code
    show_counts(path, export, faults, unchanged=bool(target and laid and not laid.difference))
    if written:
        say(clean(typed(written)))
    return code


def _show(export: Export, laid: Laid | None, wishes: Wishes) -> None:
    """Every cell where that was asked for, and what changes in a file before it does."""
    if wishes.dry_run or not laid:
        show_cells(export)
    if laid and laid.difference:
        say("\n".join(map(clean, laid.difference.split("\n"))))


def _write(laid: Laid, target: Target | None, wishes: Wishes) -> Path | None:
    """Write what was laid; None when there is nothing to change."""
    if wishes.new:
        write_new(wishes.new, laid.text, force=wishes.force)
        return wishes.new
    if target and laid.text != target.text:
        write_over(target.path, target.text, laid.text)
        return target.path
    return None


def _propose(
    registry: Registry, path: Path, target: Path, line_set: LineSet | None, wishes: Wishes
) -> int:
    """Write a guessed map and say how sure it is."""
    proposal = propose(registry, path, line_set)
    if proposal.text is None:
        raise InputError(proposal.faults)
    if not wishes.dry_run:
        write_new(target, proposal.text, force=wishes.force)
    for reason in proposal.reasons:
        tell(reason)
    shown = proposal.text.rstrip("\n").split("\n") if wishes.dry_run else [typed(target)]
    say("\n".join(map(clean, shown)))
    return Exit.DONE


def run_new(job: Path, wing: str, lines: Path, shop: Path | None, *, force: bool) -> int:
    """Write a new job with every point in place."""
    line_set = find_line_set(wing, lines)
    write_new(job, new_job(job, line_set, shop), force=force)
    count = 2 * sum(map(len, line_set.lengths.values()))
    tell(f"{typed(job)}: {count} points of {line_set.called} to fill in")
    say(clean(typed(job)))
    return Exit.DONE
