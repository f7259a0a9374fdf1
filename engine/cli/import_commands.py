"""The commands `import` and `new`. What does the work loads when one of them is called."""

from pathlib import Path
from typing import Any

import click

from trimscribe.cli import options

__all__ = ["import_command", "new_command"]

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


@click.command("import")
@click.argument("export", metavar="EXPORT", type=_path)
@click.option("--map", "map_path", type=_path, metavar="MAP", help="Says what its cells mean.")
@click.option(
    "--into", type=_path, metavar="FILE", help="Lay the values into this job or line set."
)
@click.option(
    "--new", type=_path, metavar="FILE", help="Write a new job (with --wing) or a new line set."
)
@click.option(
    "--propose", type=_path, metavar="MAP", help="Write a map as it is guessed from the export."
)
@click.option(
    "--as",
    "measuring",
    type=click.Choice(["before", "after"]),
    help="Where lengths belong that do not say it.  [default: as the map says, else before]",
)
@_wing
@_lines
@_shop
@click.option("--dry-run", is_flag=True, help="Tell what becomes of every cell; write nothing.")
@options.force("Replace values, or files, that differ.")
@options.json_()
def import_command(export: Path, **wishes: Any) -> int:
    """Turn an export of another tool into measurements of a job.

    EXPORT is a CSV, XLSX, ODS, XLS or JSON file. The difference is shown before anything is
    written. A value that differs from one in the file is never replaced without --force.
    """
    from trimscribe.cli.importing import Wishes, run_import

    return run_import(export, Wishes(**wishes))


@click.command("new")
@click.argument("job", metavar="JOB", type=_path)
@_wing
@_lines
@_shop
@options.force()
def new_command(job: Path, wing: str, lines: Path, shop: Path | None, force: bool) -> int:
    """Write a new job with every point of a line set in place, ready to be filled in."""
    from trimscribe.cli.importing import run_new

    if not wing:
        raise click.UsageError("Missing option '--wing': a new job needs a line set.")
    return run_new(job, wing, lines, shop, force=force)
