"""The same report once more: what it carries, laid out in a private place, read and set again."""

import errno
import json
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from trimscribe.errors import ReadbackError
from trimscribe.model.history import ServiceSummary
from trimscribe.model.manifest import Role
from trimscribe.pipeline import prepare, render
from trimscribe.readback.contents import Contents
from trimscribe.registry import Registry
from trimscribe.world import World

# Jobs name files some folders up; the job lies too deep in the private place to lead out of it.
_DEPTH = 12
_READ = (Role.JOB, Role.SHOP, Role.INPUT)
_LONGEST = 400  # characters of a name
# What systems answer to a name that is taken, too long, or below another file.
_NO_NAME = {errno.EEXIST, errno.EISDIR, errno.ENAMETOOLONG, errno.EINVAL, errno.ENOTDIR}


def made_again(contents: Contents, registry: Registry, world: World, theme: str) -> bytes:
    """Return the bytes of the report as the installed software makes it.

    The record prints the versions of the time, so that nothing differs but what must. `theme` is
    a name or folder, for where the report's own theme is not installed. Raises TrimscribeError.
    """
    reported = contents.manifest
    if not theme and reported.theme not in registry.names("themes"):
        message = f"The report was made with the theme “{reported.theme}”, which is not installed."
        hint = "Give its folder with --theme."
        raise ReadbackError.of("theme-not-here", message, hint=hint)
    with _laid_out(contents) as (job, shop, root):
        content = prepare(
            job, registry, shop, find_earlier_services=lambda _: _earlier(contents), root=root
        )
        printed = [name for name in world.versions if name in reported.versions]  # in their order
        then = World({name: reported.versions[name] for name in (*printed, *reported.versions)})
        return render(content, registry, then, theme=theme or reported.theme).data


def _earlier(contents: Contents) -> list[ServiceSummary]:
    """The earlier services that the report was made with."""
    data = contents.data(Role.HISTORY)
    if data is None:
        return []
    try:
        return [ServiceSummary.from_plain(service) for service in json.loads(data)["services"]]
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        message = "The earlier services that are attached cannot be read."
        raise ReadbackError.of("history-unreadable", message) from error


@contextmanager
def _laid_out(contents: Contents) -> Iterator[tuple[Path, Path | str, Path]]:
    """The job, and a shop file chosen in place of its own, with all that they name; for a while."""
    with tempfile.TemporaryDirectory(prefix="trimscribe-") as place:
        root = Path(os.path.realpath(place))
        folder = root.joinpath(*["below"] * _DEPTH)
        folder.mkdir(parents=True)
        places: dict[Role, Path] = {}
        for file in contents.manifest.files:
            if file.role not in _READ or file.name not in contents.files:
                continue
            path = _inside(root, folder, file.named)
            _write(path, contents.files[file.name])
            places[file.role] = path
        if Role.JOB not in places:
            raise ReadbackError.of("no-job", "The report carries no job.")
        yield places[Role.JOB], places.get(Role.SHOP, ""), root


def _inside(root: Path, folder: Path, named: str) -> Path:
    """Where a named file belongs; ReadbackError for a name that no job can have."""
    path = Path(os.path.normpath(folder / named))
    plain = 0 < len(named) <= _LONGEST and "\\" not in named and named.isprintable()
    if not plain or named.startswith("/") or root not in path.parents:
        raise _not_possible()
    return path


def _write(path: Path, data: bytes) -> None:
    """Write a new file; ReadbackError where the system knows no such name, or has it already."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as stream:
            stream.write(data)
    except OSError as error:
        if error.errno in _NO_NAME:
            raise _not_possible() from error
        raise


def _not_possible() -> ReadbackError:
    return ReadbackError.of("name-not-possible", "A file has a name that no job can give it.")
