"""A run of `import` or `new`: what is read, asked, shown and written, in this order.

Questions are asked where somebody is, listed where nobody is. People are shown every cell or the
counts, programs get all as data.
"""

import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import click

from trimscribe.cell import in_cell
from trimscribe.cli.output import (
    Exit,
    clean,
    counted,
    fault_data,
    number_of,
    print_document,
    print_error,
    print_faults,
    print_result,
)
from trimscribe.cli.writing import write_new, write_over
from trimscribe.errors import Fault, InputError, Mark, any_error
from trimscribe.exports.editing.merge import MergeResult
from trimscribe.exports.export import Export
from trimscribe.exports.guessing.propose import MapProposal
from trimscribe.exports.guessing.questions import Question
from trimscribe.exports.mapping.normalise import Imported, TargetValue
from trimscribe.exports.worked_out import NewJob, Wanted, WorkedOut
from trimscribe.model.plain import Plain
from trimscribe.resources.worlds import world_of

_WORK = "trimscribe.exports.worked_out"
_PASTED = "-"
_LARGEST_PASTED = 32 * 1024 * 1024  # bytes
_NAMED = 12  # points without a value that are named


@dataclass(frozen=True)
class ImportOptions:
    """What is asked for besides the values: where a guessed map goes, and how all is shown."""

    propose: Path | None = None
    dry_run: bool = False
    as_json: bool = False


def run_import(wanted: Wanted, wishes: ImportOptions) -> int:
    """Import one export as the wishes say; return the exit code."""
    if str(wanted.path) == _PASTED:
        path, data = _pasted()
        wanted = replace(wanted, path=path, data=data)
    path = wanted.path
    found = _worked_out(wanted, wishes)
    export, merged, proposal = found.export, found.merged, found.proposal
    if wishes.propose and proposal is not None:
        return _propose(wanted, wishes.propose, proposal, wishes)
    if proposal is not None and proposal.text is None:
        raise InputError(proposal.faults)
    if export is None:
        return _left_open(path, proposal, wishes)
    if wanted.new and not wanted.new_line_set and merged is None:
        raise click.UsageError("A new job needs a line set: --wing.")
    faults = (*export.faults, *(merged.faults if merged else ()))
    faulty = any_error(faults)
    if not wishes.as_json:
        for text in () if wishes.dry_run else found.beside:  # else each cell is shown
            print_error(text)
        _show(export, merged, wishes)
        print_faults(faults)
    written = None
    if merged and not faulty and not wishes.dry_run:
        written = _write(merged, found.text_before, wanted)
    code = Exit.INPUT if faulty else Exit.DONE
    if wishes.as_json:
        _show_data(code, path, export, merged, written, _said(proposal), found.beside)
        return code
    refused = faulty and merged is not None and not wishes.dry_run
    unchanged = wanted.into and merged and not merged.difference
    _show_counts(
        path,
        export,
        faults,
        end="nothing is written" if refused else "nothing to change" if unchanged else "",
    )
    if written:
        print_result(clean(written.as_posix()))
    return code


def run_new(job: Path, wing: str, lines: Path, shop: Path | None, *, force: bool) -> int:
    """Write a new job with every point in place."""
    found: NewJob = in_cell(
        job.as_posix(),
        f"{_WORK}:new_text",
        job,
        wing,
        lines,
        shop,
        reads=world_of([job], shop=shop, more=[lines, Path(wing)]),
    )
    write_new(job, found.text, force=force)
    print_error(f"{job.as_posix()}: {found.points} points of {found.called} to fill in")
    print_result(clean(job.as_posix()))
    return Exit.DONE


def run_new_line_set(target: Path, table: Path, answer: tuple[str, ...], *, force: bool) -> int:
    """Write a new line set from a maker's table."""
    wanted = Wanted(table, new=target, new_line_set=True, answers=answers_of(answer), force=force)
    code = run_import(wanted, ImportOptions())
    if code == Exit.DONE:
        print_error("Fill in maker, model, size and source, then check it: trimscribe check FILE.")
    return code


def answers_of(given: Sequence[str]) -> dict[str, str]:
    """Answers as typed, `when=before`; UsageError where one has not that form."""
    answers = {}
    for text in given:
        name, equals, answer = text.partition("=")
        if not equals or not name.strip() or not answer.strip():
            raise click.UsageError(f"--answer takes ID=ANSWER, such as when=before, not “{text}”.")
        answers[name.strip()] = answer.strip()
    return answers


def _pasted() -> tuple[Path, bytes]:
    """What is pasted or piped, text, JSON or a whole workbook, and what it would be called."""
    data = sys.stdin.buffer.read(_LARGEST_PASTED)
    start = data.lstrip()[:1]
    ending = ".xlsx" if data.startswith(b"PK") else ".json" if start in (b"{", b"[") else ".txt"
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        ending = ".xls"
    return Path(f"pasted{ending}"), data


def _worked_out(wanted: Wanted, wishes: ImportOptions) -> WorkedOut:
    """What a worker makes of the export, with every question asked that somebody can answer."""
    world, answers = _world(wanted), dict(wanted.answers)
    ask = not wishes.as_json and wanted.data is None and somebody_is_there()
    while True:
        now = replace(wanted, answers=dict(answers))
        found: WorkedOut = in_cell(wanted.path.as_posix(), f"{_WORK}:work_out", now, reads=world)
        proposal = found.proposal
        if not ask or proposal is None or not proposal.questions:
            break
        question = proposal.questions[0]
        answers[question.id] = _asked(question)
    for note in found.notes:
        print_error(note)
    if proposal is not None and not wishes.as_json and not wishes.propose:
        for text in (*proposal.left_out, *(proposal.reasons if proposal.text else ())):
            print_error(text)
    return found


def somebody_is_there() -> bool:
    """Whether questions can be asked: both ends are a terminal."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def _asked(question: Question) -> str:
    print_error(question.asks)
    choices = list(question.choices)
    for number, (answer, means) in enumerate(question.choices.items(), 1):
        print_error(f"  {number}. {answer}: {means}")
    while True:
        text = click.prompt(
            "Answer" + (f" (or {question.numbers})" * question.number), err=True
        ).strip()
        # Numbers stand for choices where they are not answers themselves.
        if not question.takes(text) and text.isdecimal():
            place = int(text) - 1
            text = choices[place] if 0 <= place < len(choices) else text
        if question.takes(text):
            return str(text)
        print_error(f"“{clean(text)}” is not one of the answers.")  # the prompt says which are


def _world(wanted: Wanted) -> tuple[str, ...]:
    """What the work may read: all that was named, and where line sets and maps are searched."""
    more = (wanted.map_path, wanted.lines, wanted.maps, Path(wanted.wing) if wanted.wing else None)
    named = [path for path in (wanted.path, wanted.into, wanted.new) if path]
    return world_of(named, shop=wanted.shop, more=more)


def _propose(wanted: Wanted, target: Path, proposal: MapProposal, wishes: ImportOptions) -> int:
    """Write a guessed map: what it leaves out first, why it is so, what is still to be answered."""
    name = wanted.path.as_posix()
    written = proposal.text is not None and not wishes.dry_run
    if proposal.text is not None and written:
        write_new(target, proposal.text, force=wanted.force)
    open_ones = _question_faults(proposal.questions, name)
    faults: tuple[Fault, ...] = (
        *proposal.faults,
        *(proposal.export.faults if proposal.export else ()),
        *open_ones,
    )
    refused = proposal.text is None or bool(open_ones)
    code = Exit.INPUT if refused else Exit.DONE
    if wishes.as_json:
        print_document(
            code,
            export=name,
            **_said(proposal),
            written=target.as_posix() if written else None,
            faults=[*map(fault_data, faults)],
        )
        return code
    for text in (*proposal.left_out, *proposal.reasons):
        print_error(text)
    if proposal.text is None:
        raise InputError(proposal.faults)
    print_faults(open_ones)
    shown = proposal.text.rstrip("\n").split("\n") if wishes.dry_run else [target.as_posix()]
    print_result("\n".join(map(clean, shown)))
    return code


def _left_open(path: Path, proposal: MapProposal | None, wishes: ImportOptions) -> int:
    """Questions that nobody answered: listed, and nothing is merged in."""
    questions = proposal.questions if proposal else ()
    if wishes.as_json:
        _show_data(Exit.INPUT, path, None, None, None, _said(proposal))
    else:
        print_faults(_question_faults(questions, path.as_posix()))
    return Exit.INPUT


def _question_faults(questions: Sequence[Question], name: str) -> list[Fault]:
    """Open questions as faults, where nobody can be asked."""
    return [
        Fault(
            "question-open",
            f"`{one.id}` is not answered: {one.asks}",
            Mark(name),
            f'Give --answer "{one.id}=…" with one of: '
            + "; ".join(f"{answer} ({means})" for answer, means in one.choices.items())
            + (f"; or {one.numbers}" if one.number else "")
            + ".",
        )
        for one in questions
    ]


def _said(proposal: MapProposal | None) -> Mapping[str, Plain]:
    """A proposal as data."""
    if proposal is None:
        return {}
    return {
        "map": proposal.text or None,
        "questions": [
            {
                "id": one.id,
                "kind": one.kind,
                "asks": one.asks,
                "answers": dict(one.choices),
                "number": one.number,
                "between_mm": list(one.between) if one.between else None,
            }
            for one in proposal.questions
        ],
        "answers": dict(proposal.answers or {}),
        "left_out_first": list(proposal.left_out),
        "because": list(proposal.reasons),
    }


def _show(export: Export, merged: MergeResult | None, wishes: ImportOptions) -> None:
    """Every cell where that was asked for, and what changes in a file before it does."""
    if wishes.dry_run or not merged:
        _show_cells(export)
    if merged and merged.difference:
        print_result("\n".join(map(clean, merged.difference.split("\n"))))


def _show_cells(export: Export) -> None:
    """A line for each cell in the order of the file: what it became, or why it was left out."""
    lines = {
        cell: f"{_place(cell.mark)} → {value.name} = {_amount(value)}"
        for value in export.imported.values
        for cell in value.cells
    }
    lines |= {
        one.cell: f"{_place(one.cell.mark)} “{one.cell.text[:40]}” left out: {one.reason}"
        for one in export.imported.left_out
    }
    for cell in sorted(lines, key=lambda c: (c.mark.cell.rpartition("!")[0], c.row, c.column)):
        print_result(clean(lines[cell]))


def _place(mark: Mark) -> str:
    """Where a cell is: `Sheet1!C14`, or line and column of a text file."""
    return mark.cell or f"{mark.line}:{mark.column}"


def _amount(value: TargetValue) -> str:
    """A value as it is shown: lengths with their unit, several readings with their spread."""
    if isinstance(value.value, str):
        return f"“{value.value}”"
    unit = " mm" if value.path[0] in ("before", "after", "specification", "loops") else ""
    spread = ""
    if len(value.cells) > 1:
        spread = f" ({len(value.cells)} readings, {value.spread_mm:g} mm apart)"
    return f"{value.value}{unit}{spread}"


def _write(merged: MergeResult, before: str | None, wanted: Wanted) -> Path | None:
    """Write what was merged; None when there is nothing to change."""
    if wanted.new:
        write_new(wanted.new, merged.text, force=wanted.force)
        return wanted.new
    if wanted.into and before is not None and merged.text != before:
        write_over(wanted.into, before, merged.text)
        return wanted.into
    return None


def _show_counts(path: Path, export: Export, faults: Sequence[Fault], *, end: str) -> None:
    """A closing line such as `jig.xlsx: 96 values, 14 cells left out, no faults`."""
    imported = export.imported
    parts = [
        number_of(len(imported.values), "value"),
        f"{number_of(len(imported.left_out), 'cell')} left out",
        counted(faults) or "no faults",
    ]
    if export.missing:
        named = ", ".join(export.missing[:_NAMED])
        more = f" and {len(export.missing) - _NAMED} more" * (len(export.missing) > _NAMED)
        print_error(f"without a value: {named}{more}")
    if end:
        parts.append(end)
    print_error(f"{path.as_posix()}: {', '.join(parts)}")


def _show_data(
    code: int,
    path: Path,
    export: Export | None,
    merged: MergeResult | None,
    written: Path | None,
    proposal: Mapping[str, Plain],
    beside: Sequence[str] = (),
) -> None:
    """The whole import as data, beside `format` and `exit_code`.

    `values` have `path`, `value` (lengths in mm), `cells` and `spread_mm`; `left_out` has `cell`,
    `text` and `reason`; `missing` are points of the line set without a value; `beside` says which
    remarks are left out, and what else the file says of the measuring; `difference` is what
    changes in the file, `written` its path when it was written. Where the map was proposed it is
    in `map`, with `questions` that are open (`id`, `kind`, `asks`, `answers` by what each means,
    `number` where one of `between_mm` answers, of either sign), the `answers` that were taken (give
    them with --answer), `left_out_first` and `because`; while a question is open there are no
    values.
    """
    export = export or Export(Imported(), (), ())
    print_document(
        code,
        export=path.as_posix(),
        values=[_value_data(value) for value in export.imported.values],
        left_out=[
            {"cell": _place(one.cell.mark), "text": one.cell.text, "reason": one.reason}
            for one in export.imported.left_out
        ],
        reasons=dict(Counter(one.reason for one in export.imported.left_out)),
        missing=list(export.missing),
        beside=list(beside),
        difference=merged.difference or None if merged else None,
        written=written.as_posix() if written else None,
        faults=[*map(fault_data, (*export.faults, *(merged.faults if merged else ())))],
        **proposal,
    )


def _value_data(value: TargetValue) -> Plain:
    return {
        "path": list(value.path),
        "value": value.value,
        "cells": [_place(cell.mark) for cell in value.cells],
        "spread_mm": value.spread_mm,
    }
