"""A new folder with text files in it, where nothing was before."""

import contextlib
from collections.abc import Mapping
from pathlib import Path

from trimscribe.archive.faults import disk_error, refusal


def put_new(files: Mapping[str, str], folder: Path) -> tuple[Path, ...]:
    """Write files, named from `folder`, and return their paths.

    Raises ArchiveError when the folder is there and not empty, or when the disk says no; nothing is
    left there then.
    """
    made: list[Path] = []
    try:
        if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
            raise refusal("not-a-folder", folder)
        if folder.exists() and any(folder.iterdir()):
            raise refusal("folder-in-use", folder)
        for name, text in files.items():
            path = folder / name
            for above in reversed((path.parent, *path.parent.parents)):
                if not above.exists():
                    above.mkdir()
                    made.append(above)
            with path.open("x", encoding="utf-8", newline="\n") as stream:
                made.append(path)
                stream.write(text)
    except (OSError, ValueError) as error:
        _take_away(made)
        raise disk_error(error, folder) from error
    return tuple(folder / name for name in files)


def _take_away(made: list[Path]) -> None:
    """Leave nothing half made, as far as the disk lets us."""
    for path in reversed(made):
        with contextlib.suppress(OSError):
            path.rmdir() if path.is_dir() else path.unlink()
