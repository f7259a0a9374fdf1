"""The commands `import` and `new`. What does the work loads when one of them is called."""

from pathlib import Path
from typing import Any

import click

from trimscribe.cli import options

_path = click.Path(path_type=Path)
_lines = click.option(
    "--lines",
    type=_path,
    metavar="DIR",
    default=".",
    help="Folder that line sets are searched in, with all below.  [default: where you are]",
)
_wing = click.option(
    "--wing",
    metavar="LINE-SET",
    default="",
    help='The line set: a file, or words of its maker, model and size such as "medlar m".',
)
_shop = options.shop("Shop file that a new job names.  [default: none]", type=_path, default=None)
_answer = click.option(
    "--answer",
    multiple=True,
    metavar="ID=ANSWER",
    help="Answer a question about the export, such as when=before; may be repeated.",
)


@click.command("import")
@click.argument("export", metavar="EXPORT", type=_path)
@click.option("--map", "map_path", type=_path, metavar="MAP", help="Says what its cells mean.")
@options.into("Lay the values into this job or line set.")
@click.option(
    "--new", type=_path, metavar="FILE", help="Write a new job (with --wing) or a new line set."
)
@click.option(
    "--new-line-set",
    type=_path,
    metavar="FILE",
    help="Write a new line set from the specified lengths of the export.",
)
@click.option(
    "--propose", type=_path, metavar="MAP", help="Write a map as it is guessed from the export."
)
@click.option(
    "--as",
    "measuring",
    type=click.Choice(["before", "after"]),
    help="Where lengths belong that do not say it.  [default: as the map says, else it is asked]",
)
@_wing
@_lines
@click.option(
    "--maps",
    type=_path,
    metavar="DIR",
    default=".",
    help="Folder that kept maps are searched in, with all below.  [default: where you are]",
)
@_shop
@_answer
@click.option("--dry-run", is_flag=True, help="Explain what becomes of every cell; write nothing.")
@options.force("Replace values, or files, that differ.")
@click.option("--other-wing", is_flag=True, help="Import it though it names another wing.")
@options.json_()
def import_command(
    export: Path,
    propose: Path | None,
    new: Path | None,
    new_line_set: Path | None,
    measuring: str | None,
    answer: tuple[str, ...],
    dry_run: bool,
    as_json: bool,
    **wishes: Any,
) -> int:
    """Turn an export of another tool into measurements of a job.

    EXPORT is a CSV, XLSX, ODS, XLS or JSON file, one that an installed importer reads, or - for
    text that is pasted or piped. Without --map
    a map kept for files of this shape is used, else one is proposed; what only you can know is
    asked, or listed where nobody can be asked. The difference is shown before anything is written.
    A value that differs from one in the file is never replaced without --force.
    """
    from trimscribe.cli.importing import ImportOptions, answers_of, run_import
    from trimscribe.exports.worked_out import Wanted

    if sum(map(bool, (wishes["into"], new, propose, new_line_set))) > 1:
        raise click.UsageError(
            "Only one of --into, --new, --new-line-set and --propose makes sense."
        )
    wanted = Wanted(
        export,
        new=new or new_line_set,
        new_line_set=new_line_set is not None,
        propose=propose is not None,
        measuring=measuring or "",
        answers=answers_of(answer),
        **wishes,
    )
    return run_import(wanted, ImportOptions(propose, dry_run, as_json))


@click.command("new")
@click.argument("job", metavar="[JOB]", type=_path, required=False)
@_wing
@_lines
@_shop
@click.option("--line-set", type=_path, metavar="FILE", help="Write a new line set, not a job.")
@click.option(
    "--from", "table", type=_path, metavar="TABLE", help="A maker's table for the new line set."
)
@_answer
@options.force()
def new_command(
    job: Path | None,
    wing: str,
    lines: Path,
    shop: Path | None,
    line_set: Path | None,
    table: Path | None,
    answer: tuple[str, ...],
    force: bool,
) -> int:
    """Write a new job with every point of a line set in place, ready to be filled in.

    With --line-set FILE --from TABLE, write a line set from a maker's CSV or spreadsheet instead.
    """
    from trimscribe.cli.importing import run_new, run_new_line_set

    if line_set or table:
        if not (line_set and table) or job:
            raise click.UsageError("A new line set needs --line-set FILE and --from TABLE alone.")
        return run_new_line_set(line_set, table, answer, force=force)
    if job is None:
        raise click.UsageError("Missing argument '[JOB]': where the new job is written.")
    if not wing:
        raise click.UsageError("Missing option '--wing': a new job needs a line set.")
    return run_new(job, wing, lines, shop, force=force)
