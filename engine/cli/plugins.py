"""The plugins that are installed, as a table for people or as data."""

import sys
from contextlib import redirect_stdout

from rich.table import Table

from trimscribe.cli.exits import Exit
from trimscribe.cli.faults import fault_data, print_faults
from trimscribe.cli.output import FORMAT, clean, print_data, print_table
from trimscribe.registry import Listing, Registry


def show_plugins(registry: Registry, *, as_json: bool) -> int:
    """List every plugin, with the fault of each that cannot be used; that is no fault of ours."""
    with redirect_stdout(sys.stderr):  # a plugin that prints must not get into the results
        rows = registry.listing()
    if as_json:
        plugins = [
            {
                "kind": row.kind,
                "name": row.name,
                "package": row.package,
                "version": row.version,
                "fault": fault_data(row.fault) if row.fault else None,
            }
            for row in rows
        ]
        print_data({"format": FORMAT, "exit_code": int(Exit.DONE), "plugins": [*plugins]})
        return Exit.DONE
    print_table(_table(rows))
    print_faults(dict.fromkeys(row.fault for row in rows if row.fault))  # a clash has several rows
    return Exit.DONE


def _table(rows: tuple[Listing, ...]) -> Table:
    table = Table(box=None, pad_edge=False)
    for title in ("kind", "name", "package", "version", "can be used"):
        table.add_column(title)
    for row in rows:
        usable = f"no: {row.fault.code}" if row.fault else "yes"
        table.add_row(*map(clean, (row.kind, row.name, row.package, row.version, usable)))
    return table
