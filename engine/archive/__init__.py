"""Archive: a finished report to a file that is whole or not there.

Takes a `Report`, returns a `Record`; may fail with `ArchiveError`. Knows nothing of the trade.
"""

from trimscribe.archive.cache import Cache
from trimscribe.archive.faults import disk_error
from trimscribe.archive.folder import put_new
from trimscribe.archive.names import file_name
from trimscribe.archive.store import put

__all__ = ["Cache", "disk_error", "file_name", "put", "put_new"]
