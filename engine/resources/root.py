"""The root: the folder that all files a job names lie below, found by the nearest shop file."""

import os
from pathlib import Path

from trimscribe.model.workshop import SHOP_FILE
from trimscribe.resources.real_path import real_path


def nearest_shop(folder: Path) -> str:
    """The nearest shop file, in a folder or above it, as seen from there; empty without one."""
    way = ""
    here = real_path(folder)
    for above in (here, *here.parents):
        if (above / SHOP_FILE).is_file():
            return way + SHOP_FILE
        way += "../"
    return ""


def root_of(folder: Path) -> Path:
    """The folder of the nearest shop file above a job's folder, else the job's own."""
    here = real_path(folder)
    shop = Path(os.path.normpath(here / nearest_shop(folder)))
    above = shop.parent if shop != here else here
    return here if above == above.parent else above  # never the whole disk
