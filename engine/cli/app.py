"""The commands. The modules that do the work are loaded by the command that needs them."""

import os
import shlex
from pathlib import Path
from typing import Any

import click

from trimscribe.cli import options
from trimscribe.cli.archive_commands import COMMANDS
from trimscribe.cli.codes import code
from trimscribe.cli.import_commands import import_command, new_command
from trimscribe.cli.output import Exit, clean, epilog, print_error, print_result
from trimscribe.cli.plugins import plugins
from trimscribe.cli.program import Program
from trimscribe.cli.theme import theme as theme_commands

VALIDATOR = "TRIMSCRIBE_VERAPDF"


def _version(context: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted:
        from trimscribe.world import World

        print_result(f"trimscribe {World.real().versions['trimscribe']}")
        context.exit()


def _names(_: click.Context, __: click.Parameter, text: str) -> tuple[str, ...]:
    """Names with commas between them, each once; at least one."""
    names = tuple(dict.fromkeys(name.strip() for name in text.split(",") if name.strip()))
    if not names:
        raise click.BadParameter("Name an output, such as pdf.")
    return names


@click.group(
    "trimscribe",
    cls=Program,
    no_args_is_help=False,
    epilog=epilog(),
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_version,
    help="Print the version.",
)
def main() -> None:
    """Turn a paraglider service job into a report for the pilot.

    A JOB is a YAML file. Write -- before one whose name starts with a hyphen.
    """


@main.command(epilog=epilog())
@options.jobs
@click.option(
    "--out",
    "folder",
    metavar="DIR",
    default=".",
    help="Folder for the reports, made if need be.  [default: where you are]",
)
@options.theme("How the reports look.  [default: the workshop's theme, else base]")
@options.shop()
@click.option(
    "--output",
    "wanted",
    metavar="NAMES",
    default="pdf",
    callback=_names,
    help="pdf, html (for the phone), json (for programs), png (page one), or several: pdf,html.  "
    "[default: pdf]",
)
@options.force("Replace a different report that is there.")
@click.option(
    "--shelf",
    metavar="SHELF",
    help="Keep the PDFs on this shelf, not in --out, and show what earlier services of the wing "
    "found.",
)
@click.option("--redact", type=click.Choice(["pilot"]), help="Leave out all about the pilot.")
@click.option("--validate", is_flag=True, help="Have veraPDF check each report before it is kept.")
@options.root
@options.json_()
def report(
    jobs: tuple[str, ...],
    folder: str,
    theme: str,
    shop: str,
    wanted: tuple[str, ...],
    force: bool,
    shelf: str | None,
    redact: str | None,
    validate: bool,
    root: str,
    as_json: bool,
) -> int:
    """Make the report of each job: as a PDF, or in the outputs that you name.

    Its name comes from the service number and the wing. The same report that is there already
    is left alone; a different one is never replaced without --force. The paths of the reports are
    printed, one a line. With --shelf the oldest service is made first, whatever order you name
    them in, since later ones look back on it.
    """
    from trimscribe.cell.once import shared

    shared().warm("trimscribe.desk.work:get_ready")  # it loads while we do

    from trimscribe.cli.run import Workbench, run

    if (shelf or validate) and "pdf" not in wanted:
        raise click.UsageError("--shelf and --validate are about the PDF: add pdf to --output.")
    bench = Workbench(
        jobs,
        Path(folder),
        theme,
        force,
        shop,
        root,
        wanted,
        shelf=Path(shelf) if shelf else None,
        redact=bool(redact),
        validator=_validator() if validate else (),
    )
    if shelf:
        order = "trimscribe.read.files:oldest_first"
        found: list[tuple[str, str]] = shared().call(jobs[0], order, jobs, reads=bench.world)
        bench.serials = dict(found)
        jobs = tuple(job for job, _ in found)
    return run(bench, jobs, bench.report, as_json=as_json)


@main.command(epilog=epilog())
@options.jobs_or_folders
@click.option(
    "--out", "folder", metavar="DIR", required=True, help="Folder for the reports and their log."
)
@options.theme("How the reports look.")
@options.shop()
@options.root
@options.force("Replace different reports that are there.")
@click.option("--resume", is_flag=True, help="Leave out jobs whose report is up to date.")
@click.option("--fail-fast", is_flag=True, help="Stop at the first job that fails.")
@click.option(
    "--workers",
    type=click.IntRange(1),
    default=os.cpu_count() or 1,
    help="Processes that work at the same time.  [default: one for each core]",
)
@click.option(
    "--seconds",
    type=options.Amount(most=1e6),
    default=60,
    show_default=True,
    help="Stop a job that takes longer.",
)
@click.option(
    "--megabytes",
    type=options.Amount(most=1e6),
    default=1024,
    show_default=True,
    help="Stop a job whose process takes more memory.",
)
@click.option(
    "--cache", metavar="DIR", default="", help="Keep finished reports there, and take them again."
)
@click.option(
    "--executor",
    metavar="dask://HOST:PORT",
    default="",
    help="Let a Dask cluster work; --workers and --megabytes are its own affair then.",
)
@options.json_("Print a line of JSON for each job instead.")
def batch(
    jobs: tuple[str, ...],
    folder: str,
    workers: int,
    seconds: float,
    megabytes: float,
    executor: str,
    **wishes: Any,
) -> int:
    """Make the reports of many jobs, several at a time.

    A folder stands for all jobs in it and below. No job stops the others. Each leaves a line in
    batch.jsonl beside the reports as soon as it is finished, also when the run is interrupted.
    """
    from trimscribe.cli.batch import Batch, crew_of

    crew = crew_of(executor, workers, seconds, megabytes)
    return Batch(Path(folder), **wishes).run(jobs, crew)


def _validator() -> tuple[str, ...]:
    """The user's own veraPDF: the command that a variable names, else the usual one; never none."""
    command = os.environ.get(VALIDATOR, "")
    try:
        return tuple(shlex.split(command)) or ("verapdf",)
    except ValueError as error:
        message = f"{VALIDATOR} is not a command that can be run: {command}"
        raise click.UsageError(message) from error


@main.command(epilog=epilog())
@click.argument("jobs", metavar="FILE...", nargs=-1, required=True)
@options.shop()
@options.root
@options.strict
@options.json_()
def check(jobs: tuple[str, ...], shop: str, root: str, strict: bool, as_json: bool) -> int:
    """Report all faults of each file and make nothing.

    A FILE is a job, a line set, a shop file, an import map or the folder of a theme.
    """
    from trimscribe.cli.run import Workbench, run

    bench = Workbench(jobs, shop=shop, root=root)
    return run(bench, jobs, bench.check, strict=strict, as_json=as_json)


@main.command(epilog=epilog())
@click.argument("job", metavar="JOB")
@options.shop()
@options.root
def findings(job: str, shop: str, root: str) -> int:
    """Print all numbers behind a report as JSON."""
    from trimscribe.cli.run import Workbench, show_findings

    return show_findings(Workbench((job,), shop=shop, root=root), job)


@main.command(epilog=epilog())
@click.argument("job", metavar="JOB")
@click.argument("statement", metavar="[STATEMENT]", default="")
@options.shop()
@options.root
@options.json_()
def explain(job: str, statement: str, shop: str, root: str, as_json: bool) -> int:
    """Explain why each sentence is in a report.

    Its rule, its numbers, the thresholds, and the file and line that each number came from.
    STATEMENT is one rule, such as found_up, or one finding, such as before.pitch.
    """
    from trimscribe.cli.run import Workbench, show_evidence

    bench = Workbench((job,), shop=shop, root=root)
    return show_evidence(bench, job, statement, as_json=as_json)


@main.command(epilog=epilog())
@click.argument("job", metavar="JOB")
@click.option(
    "--take",
    type=click.IntRange(1),
    metavar="N",
    help="The alternative to put on the sheet or into the job.  [default: on a sheet the one in "
    "the job, else 1]",
)
@click.option(
    "--sheet",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Write a PDF to carry to the line room.",
)
@options.into("Write the key `plan` into this job file.")
@click.option(
    "--done", is_flag=True, help="Say that the plan in the job was done: it becomes adjustments."
)
@options.theme("How the sheet looks.")
@options.shop()
@options.force("Replace another plan or sheet that is there.")
@options.json_()
def plan(done: bool, as_json: bool, **wishes: Any) -> int:
    """Propose which loops to change, before the work.

    It needs the lengths before the work, the loops as they were found (`before.tied`), what each
    loop takes up (`loops`), and a specification that says which points hang on which line.

    A plan is a proposal, no approval: the maker's own trim procedure comes first, and only
    measuring again shows what the work has made of the wing.
    """
    from trimscribe.cli.planning import run_plan
    from trimscribe.desk.planning import PlanWish

    if wishes["sheet"] and wishes["sheet"].suffix.lower() != ".pdf":
        raise click.UsageError("--sheet writes a PDF: give its name the ending .pdf.")
    return run_plan(PlanWish(**wishes), mark_done=done, as_json=as_json)


@main.command(epilog=epilog(Exit.INPUT, Exit.USAGE, Exit.INTERRUPTED))
@options.jobs_or_folders
@options.theme("How it looks to begin with.  [default: the workshop's theme, else base]")
@options.shop("Shop file instead of the jobs'.")
@options.root
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="[default: any free one]")
@click.option("--open", "opens", is_flag=True, help="Open the page in your browser.")
def preview(jobs: tuple[str, ...], theme: str, shop: str, root: str, port: int, opens: bool) -> int:
    """Show a report in the browser while you write its job or its theme. Ctrl-C ends it.

    The page follows every change within a moment, tells faults with their lines, and says why each
    sentence is there. It is served to this machine alone; whoever has its address can read it.
    """
    from trimscribe.preview.server import serve

    def announce(address: str) -> None:
        print_result(address)
        print_error("Open this address in a browser of this machine. Ctrl-C ends the preview.")
        if opens:
            click.launch(address)

    for job in jobs:
        if not os.path.lexists(job):
            print_error(clean(f"{job}: There is no such file yet. The page shows it when it is."))
    try:
        serve(jobs, announce, theme=theme, shop=shop, root=root, port=port)
    except OSError as error:
        raise click.UsageError(f"Port {port} cannot be used: {error.strerror}.") from None


main.add_command(code)
main.add_command(plugins)
main.add_command(theme_commands)
for _command in (import_command, new_command):
    _command.epilog = epilog()
    main.add_command(_command)
for _command in COMMANDS:
    main.add_command(_command)
