"""The plugins that are installed, as a table for people or as data."""

import sys
from contextlib import redirect_stdout

from trimscribe.cli.exits import Exit
from trimscribe.cli.faults import fault_data, print_faults
from trimscribe.cli.output import print_document, print_rows
from trimscribe.model.plain import Plain
from trimscribe.registry import Listing, Registry

_TITLES = ("kind", "name", "package", "version")


def show_plugins(registry: Registry, *, as_json: bool) -> int:
    """List every plugin, with the fault of each that cannot be used; that is no fault of ours."""
    with redirect_stdout(sys.stderr):  # a plugin that prints must not get into the results
        rows = registry.listing()
    if as_json:
        plugins: list[Plain] = [
            {
                **dict(zip(_TITLES, _texts(row), strict=True)),
                "fault": fault_data(row.fault) if row.fault else None,
            }
            for row in rows
        ]
        print_document(Exit.DONE, plugins=plugins)
        return Exit.DONE
    print_rows(
        (*_TITLES, "can be used"),
        ((*_texts(row), f"no: {row.fault.code}" if row.fault else "yes") for row in rows),
    )
    print_faults(dict.fromkeys(row.fault for row in rows if row.fault))  # a clash has several rows
    return Exit.DONE


def _texts(row: Listing) -> tuple[str, ...]:
    return row.kind, row.name, row.package, row.version
