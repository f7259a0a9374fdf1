"""A new folder with text files in it, where nothing was before."""

from collections.abc import Mapping
from pathlib import Path

from trimscribe.archive.faults import disk_error, refusal

__all__ = ["put_new"]


def put_new(files: Mapping[str, str], folder: Path) -> tuple[Path, ...]:
    """Write files, named from `folder`, and return their paths.

    Raises ArchiveError when the folder is there and not empty, or when the disk says no.
    """
    try:
        if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
            raise refusal("not-a-folder", folder)
        if folder.exists() and any(folder.iterdir()):
            raise refusal("folder-in-use", folder)
        paths = []
        for name, text in files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8", newline="\n") as stream:
                stream.write(text)
            paths.append(path)
    except (OSError, ValueError) as error:
        raise disk_error(error, folder) from error
    return tuple(paths)
