"""The commands. The modules that do the work are loaded by the command that needs them."""

from pathlib import Path

import click

from trimscribe.cli.exits import MEANINGS
from trimscribe.cli.program import Program

__all__ = ["main"]

_CODES = "\b\nExit codes (of several jobs the highest):\n" + "\n".join(
    f"  {code:>3}  {meaning}" for code, meaning in MEANINGS.items()
)

_jobs = click.argument("jobs", metavar="JOB...", nargs=-1, required=True)
_json = click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead.")


def _version(context: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted:
        from trimscribe.cli.output import say
        from trimscribe.world import World

        say(f"trimscribe {World.real().versions['trimscribe']}")
        context.exit()


@click.group(
    "trimscribe",
    cls=Program,
    no_args_is_help=False,
    epilog=_CODES,
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


@main.command(epilog=_CODES)
@_jobs
@click.option(
    "--out",
    "folder",
    metavar="DIR",
    default=".",
    help="Folder for the reports, made if need be.  [default: where you are]",
)
@click.option(
    "--theme",
    metavar="NAME-OR-FOLDER",
    default="",
    help="How the reports look.  [default: the workshop's theme, else base]",
)
@click.option("--force", is_flag=True, help="Replace a different report that stands there.")
@_json
def report(jobs: tuple[str, ...], folder: str, theme: str, force: bool, as_json: bool) -> int:
    """Make the report of each job as a PDF.

    Its name comes from the service number and the wing. The same report that stands there already
    is left alone; a different one is never replaced without --force. The paths of the reports are
    printed, one a line.
    """
    from trimscribe.cli.run import run
    from trimscribe.cli.work import Workbench
    from trimscribe.registry import Registry

    bench = Workbench(Registry.installed(), Path(folder), theme, force)
    return run(bench, jobs, bench.report, as_json=as_json)


@main.command(epilog=_CODES)
@_jobs
@click.option("--strict", is_flag=True, help="Leave with exit code 1 when there are warnings.")
@_json
def check(jobs: tuple[str, ...], strict: bool, as_json: bool) -> int:
    """Tell all faults of each job and make nothing."""
    from trimscribe.cli.run import run
    from trimscribe.cli.work import Workbench
    from trimscribe.registry import Registry

    bench = Workbench(Registry.installed())
    return run(bench, jobs, bench.check, strict=strict, as_json=as_json)


@main.command(epilog=_CODES)
@click.argument("job", metavar="JOB")
def findings(job: str) -> int:
    """Print all numbers behind a report as JSON."""
    from trimscribe.cli.run import show_findings
    from trimscribe.cli.work import Workbench
    from trimscribe.registry import Registry

    return show_findings(Workbench(Registry.installed()), job)


@main.command(epilog=_CODES)
@_json
def plugins(as_json: bool) -> int:
    """List the installed plugins.

    Those that cannot be used are marked, and the reason is told.
    """
    from trimscribe.cli.plugins import show_plugins
    from trimscribe.registry import Registry

    return show_plugins(Registry.installed(), as_json=as_json)
