"""The command `preview`."""

import click

from trimscribe.cli import options
from trimscribe.cli.exits import Exit, epilog


@click.command(epilog=epilog(Exit.INPUT, Exit.USAGE, Exit.INTERRUPTED))
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
    from trimscribe.cli.output import print_error, print_result
    from trimscribe.preview.server import serve

    def announce(address: str) -> None:
        print_result(address)
        print_error("Open this address in a browser of this machine. Ctrl-C ends the preview.")
        if opens:
            click.launch(address)

    try:
        serve(jobs, announce, theme=theme, shop=shop, root=root, port=port)
    except OSError as error:
        raise click.UsageError(f"Port {port} cannot be used: {error.strerror}.") from None
    return Exit.DONE
