"""The one door to files that jobs, shop files and themes name, and a look at pictures.

What comes through lies below (or, for a job's tables, beside) the folder that names it, is not a
link, has a known type and is within the size limit. Nothing is fetched from a network.
"""

from trimscribe.resources.file_access import (
    DATA,
    EXPORT,
    FONT,
    PICTURE,
    TEMPLATE,
    THEME,
    TYPED,
    Kind,
    fetch,
    font_folder,
    outside,
    plain_bytes,
    read_at,
)
from trimscribe.resources.pictures import MEDIA_TYPES, picture_fault
from trimscribe.resources.real_path import real_path
from trimscribe.resources.root import nearest_shop, root_of
from trimscribe.resources.worlds import world_of

__all__ = [
    "DATA",
    "EXPORT",
    "FONT",
    "MEDIA_TYPES",
    "PICTURE",
    "TEMPLATE",
    "THEME",
    "TYPED",
    "Kind",
    "fetch",
    "font_folder",
    "nearest_shop",
    "outside",
    "picture_fault",
    "plain_bytes",
    "read_at",
    "real_path",
    "root_of",
    "world_of",
]
