"""The command `plan`. What does the work loads when it is called."""

from pathlib import Path
from typing import Any

import click

from trimscribe.cli import options
from trimscribe.cli.exits import epilog

_path = click.Path(path_type=Path)


@click.command("plan", epilog=epilog())
@click.argument("job", metavar="JOB")
@click.option(
    "--take",
    type=click.IntRange(1),
    metavar="N",
    default=1,
    show_default=True,
    help="The alternative to put on the sheet or into the job.",
)
@click.option("--sheet", type=_path, metavar="FILE", help="Write a PDF to carry to the line room.")
@options.into("Write the key `plan` into this job file.")
@click.option(
    "--done", is_flag=True, help="Say that the plan in the job was done: it becomes adjustments."
)
@options.theme("How the sheet looks.")
@options.shop()
@options.force("Replace another plan or sheet that is there.")
@options.json_()
def plan_command(done: bool, as_json: bool, **wishes: Any) -> int:
    """Propose which loops to change, before the work.

    It needs the lengths before the work, the loops as they were found (`before.tied`), what each
    loop takes up (`loops`), and a specification that says which points hang on which line.

    A plan is a proposal, no approval: the maker's own trim procedure comes first, and only
    measuring again shows what the work has made of the wing.
    """
    from trimscribe.cli.planning import run_plan
    from trimscribe.desk.planning import PlanWish

    return run_plan(PlanWish(**wishes), mark_done=done, as_json=as_json)
