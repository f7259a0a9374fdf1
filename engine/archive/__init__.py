"""Archive: a finished report to a file that is whole or not there, alone or on a shelf.

    store   one file, whole or not at all      shelf   all reports of a workshop, and their index

Takes a `Report`, returns a `Record`; may fail with `ArchiveError`. Knows nothing of the trade. The
shelf is not imported here: it reads PDFs, and loads what that takes.
"""

from trimscribe.archive.cache import Cache
from trimscribe.archive.faults import disk_error, refusal
from trimscribe.archive.names import file_name
from trimscribe.archive.store import put, put_new, put_once

__all__ = ["Cache", "disk_error", "file_name", "put", "put_new", "put_once", "refusal"]
