"""How large an export may be: far above any wing, far below what hurts a machine.

A wing has about a hundred lines. The caps hold before a file is handed to the library that reads
it, because a few bytes can stand for gigabytes (zip bombs, repeated rows, one cell far away).
"""

from trimscribe.errors import Fault, Mark
from trimscribe.marked_yaml import LARGEST

MOST_SHEETS = 50
MOST_ROWS = 10_000  # number of the last row that holds something
MOST_COLUMNS = 500
MOST_CELLS = 100_000  # that hold something, of all sheets
UNPACKED = 40_000_000  # bytes of all parts of a workbook
UNPACKED_RATIO = 200  # XML of tables packs to about a twentieth


def too_large(name: str) -> Fault:
    """The fault of a file with too many bytes."""
    return Fault("file-too-large", f"This file has more than {LARGEST} bytes.", Mark(name))


def too_many(what: str, most: int, mark: Mark) -> Fault:
    """The fault of a file that passes one of the caps, such as "10000 rows"."""
    return Fault(
        "table-too-large",
        f"This file has more than {most} {what}.",
        mark,
        "Export the measurements alone.",
    )
