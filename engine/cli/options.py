"""Options and arguments that several commands take, each defined once.

Where a command does something of its own with one of them, it hands in its own help; name, metavar
and type stay the same.
"""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from trimscribe.cli.output import clean, print_error

_Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]

jobs = click.argument("jobs", metavar="JOB...", nargs=-1, required=True)
jobs_or_folders = click.argument("jobs", metavar="JOB-OR-FOLDER...", nargs=-1, required=True)
pdfs = click.argument("pdfs", metavar="PDF-OR-FOLDER...", nargs=-1, required=True)
strict = click.option(
    "--strict", is_flag=True, help="Leave with exit code 1 when there are warnings."
)


def _announced(_: click.Context, __: click.Parameter, root: str) -> str:
    """What is widened is said, whatever else a command has to say."""
    if root:
        print_error(f"Jobs may name any file below {clean(root)} (--root).")
    return root


root = click.option(
    "--root",
    metavar="DIR",
    default="",
    callback=_announced,
    help="Let jobs name files anywhere below DIR.  [default: the folder of the nearest shop.yaml, "
    "else the job's]",
)


def json_(text: str = "Print one JSON document instead.") -> _Decorator:
    """`--json`, passed as `as_json`."""
    return click.option("--json", "as_json", is_flag=True, help=text)


class Amount(click.FloatRange):
    """A number above 0, up to `most`; no other than numbers that can be counted to."""

    def __init__(self, most: float) -> None:
        """Nothing larger makes a difference."""
        super().__init__(0, most, min_open=True)

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Python reads `nan` as a number too, which is in every range."""
        number: float = super().convert(value, param, ctx)
        if math.isnan(number):
            self.fail(f"{value!r} is not a number.", param, ctx)
        return number


def force(text: str = "Replace a different file that is there.") -> _Decorator:
    """`--force`."""
    return click.option("--force", is_flag=True, help=text)


def into(text: str) -> _Decorator:
    """`--into`, a file that values are merged into; None where it is not given."""
    path = click.Path(path_type=Path)
    return click.option("--into", type=path, metavar="FILE", help=text)


def theme(text: str, *, name: str = "theme") -> _Decorator:
    """`--theme`, passed as `name`; empty where it is not given."""
    return click.option("--theme", name, metavar="NAME-OR-FOLDER", default="", help=text)


def shop(
    text: str = "The workshop.  [default: the job's, else the nearest shop.yaml above the job]",
    **more: Any,
) -> _Decorator:
    """`--shop`; empty where it is not given, unless `more` says otherwise."""
    return click.option("--shop", metavar="FILE", help=text, **({"default": ""} | more))
