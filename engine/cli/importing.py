"""A run of `import` or `new`: what is read, shown and written, in this order."""

from dataclasses import dataclass
from pathlib import Path

import click

from trimscribe.cell import in_cell
from trimscribe.cli.exits import Exit
from trimscribe.cli.faults import tell_faults
from trimscribe.cli.import_views import show_cells, show_counts, show_data
from trimscribe.cli.output import clean, say, tell
from trimscribe.errors import InputError, Severity
from trimscribe.imports.exports import Export
from trimscribe.imports.files import typed
from trimscribe.imports.lay import Laid
from trimscribe.imports.propose import Proposal
from trimscribe.imports.worked_out import NewJob, Wanted, WorkedOut
from trimscribe.imports.write import write_new, write_over

__all__ = ["Wishes", "run_import", "run_new"]

_WORK = "trimscribe.imports.worked_out"


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


def run_import(path: Path, wishes: Wishes) -> int:
    """Import one export as the wishes say; return the exit code."""
    if sum(bool(one) for one in (wishes.into, wishes.new, wishes.propose)) > 1:
        raise click.UsageError("Only one of --into, --new and --propose makes sense.")
    if wishes.propose:
        return _propose(path, wishes.propose, wishes)
    wanted = Wanted(
        path,
        wishes.map_path,
        wishes.into,
        wishes.new,
        wishes.measuring or "",
        wishes.wing,
        wishes.lines,
        wishes.shop,
        wishes.force,
    )
    found: WorkedOut = in_cell(typed(path), f"{_WORK}:work_out", wanted)
    export, laid = found.export, found.laid
    if wishes.new and laid is None:
        raise click.UsageError("A new job needs a line set: --wing.")
    faults = (*export.faults, *(laid.faults if laid else ()))
    faulty = any(fault.severity is Severity.ERROR for fault in faults)
    if not wishes.as_json:
        _show(export, laid, wishes)
        tell_faults(faults)
    written = None
    if laid and not faulty and not wishes.dry_run:
        written = _write(laid, found.text_before, wishes)
    code = Exit.INPUT if faulty else Exit.DONE
    if wishes.as_json:
        show_data(code, path, export, laid, written)
        return code
    show_counts(path, export, faults, unchanged=bool(wishes.into and laid and not laid.difference))
    if written:
        say(clean(typed(written)))
    return code


def _show(export: Export, laid: Laid | None, wishes: Wishes) -> None:
    """Every cell where that was asked for, and what changes in a file before it does."""
    if wishes.dry_run or not laid:
        show_cells(export)
    if laid and laid.difference:
        say("\n".join(map(clean, laid.difference.split("\n"))))


def _write(laid: Laid, before: str | None, wishes: Wishes) -> Path | None:
    """Write what was laid; None when there is nothing to change."""
    if wishes.new:
        write_new(wishes.new, laid.text, force=wishes.force)
        return wishes.new
    if wishes.into and before is not None and laid.text != before:
        write_over(wishes.into, before, laid.text)
        return wishes.into
    return None


def _propose(path: Path, target: Path, wishes: Wishes) -> int:
    """Write a guessed map and say how sure it is."""
    proposal: Proposal = in_cell(typed(path), f"{_WORK}:proposed", path, wishes.wing, wishes.lines)
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
    found: NewJob = in_cell(typed(job), f"{_WORK}:new_text", job, wing, lines, shop)
    write_new(job, found.text, force=force)
    tell(f"{typed(job)}: {found.points} points of {found.called} to fill in")
    say(clean(typed(job)))
    return Exit.DONE
