"""`trimscribe plugins`: those that are installed, as a table for people or as data."""

import sys
from contextlib import redirect_stdout
from typing import TYPE_CHECKING

import click

from trimscribe.cli.options import json_
from trimscribe.cli.output import Exit, epilog, fault_data, print_document, print_faults, print_rows
from trimscribe.model.plain import Plain

if TYPE_CHECKING:
    from trimscribe.registry import Listing

_TITLES = ("kind", "name", "package", "version")


@click.command(epilog=epilog())
@json_()
def plugins(as_json: bool) -> int:
    """List the installed plugins.

    Those that cannot be used are marked, and the reason is reported.
    """
    from trimscribe.registry import Registry

    with redirect_stdout(sys.stderr):  # a plugin that prints must not get into the results
        rows = Registry.installed().listing()
    if as_json:
        reported: list[Plain] = [
            {
                **dict(zip(_TITLES, _texts(row), strict=True)),
                "fault": fault_data(row.fault) if row.fault else None,
            }
            for row in rows
        ]
        print_document(Exit.DONE, plugins=reported)
        return Exit.DONE
    print_rows(
        (*_TITLES, "can be used"),
        ((*_texts(row), f"no: {row.fault.code}" if row.fault else "yes") for row in rows),
    )
    print_faults(dict.fromkeys(row.fault for row in rows if row.fault))  # a clash has several rows
    return Exit.DONE


def _texts(row: "Listing") -> tuple[str, ...]:
    return row.kind, row.name, row.package, row.version
