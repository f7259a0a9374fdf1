"""One PDF asked to prove itself: made again from what it carries, and compared with what it shows.

What it carries is laid out in a private place, where its job is read and its report set once more.
"""

import errno
import hashlib
import json
import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path

from trimscribe.errors import ReadbackError, TrimscribeError
from trimscribe.model.history import ServiceSummary
from trimscribe.model.manifest import Manifest, Role
from trimscribe.model.proof import Difference, OtherVersion, Proof, Standing
from trimscribe.model.workshop import names_folder
from trimscribe.pipeline import prepare, render
from trimscribe.readback.contents import Contents, read_back
from trimscribe.readback.fingerprint import portrait_of
from trimscribe.registry import Registry
from trimscribe.sign.check import check_signature
from trimscribe.verification.codes import HARD
from trimscribe.verification.compare import carried, compared, signed_over
from trimscribe.world import World

# Jobs name files some folders up; the job lies too deep in the private place to lead out of it.
_DEPTH = 12
_READ = (Role.JOB, Role.SHOP, Role.INPUT)
_LONGEST = 400  # characters of a name
# What systems answer to a name that is taken, too long, or below another file.
_NO_NAME = {errno.EEXIST, errno.EISDIR, errno.ENAMETOOLONG, errno.EINVAL, errno.ENOTDIR}


def check(
    data: bytes, registry: Registry, world: World, *, theme: str = "", trusted: Sequence[bytes] = ()
) -> Proof:
    """Make the report again from what it carries and compare; never raises for a bad PDF.

    `world` has the versions that are installed. `theme` is a folder or name, for a report whose
    own theme is not installed. `trusted` are certificates that signatures may go back to.
    """
    sha256 = hashlib.sha256(data).hexdigest()
    try:
        contents = read_back(data)
        seen = portrait_of(data) if b"/ByteRange" in data else None
    except ReadbackError as error:
        return Proof(Standing.UNREADABLE, sha256, differences=_differences(error))
    others = _other_versions(contents.manifest, registry, world)
    found: list[Difference] = []
    try:
        made = _made_again(contents, registry, world, theme)
        if made != data:
            again = read_back(made)
            found += compared(data, made, contents, again)
            others += tuple(_other_theme(theme, contents, again))
        signed = seen is not None and signed_over(data, made, seen)
        identical = data == made or (signed and not found)
        standing = _standing(found, others, identical=identical)
    except MemoryError:
        raise  # the process has no room left to go on
    # Whatever a job that nobody has seen makes stumble, a plugin or the disk among it: the other
    # reports of a folder are still verified.
    except Exception as error:
        found += carried(contents)
        found += _differences(error) if isinstance(error, TrimscribeError) else [_undrawn(error)]
        standing = Standing.ALTERED if _hard(found) else Standing.UNPROVEN
    service = contents.manifest.about.service
    signature = check_signature(data, trusted) if seen and seen.signed else None
    return Proof(standing, sha256, service, tuple(found), others, signature)


def _made_again(contents: Contents, registry: Registry, world: World, theme: str) -> bytes:
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
        then = World(
            {name: reported.versions[name] for name in (*printed, *reported.versions)},
            {package.name: package.version for package in reported.packages},
        )
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


def _standing(
    found: list[Difference], others: tuple[OtherVersion, ...], *, identical: bool
) -> Standing:
    if identical:
        return Standing.IDENTICAL
    if not found:
        return Standing.SAME_CONTENT
    # Another version may word or draw a thing otherwise: what no version does is proof, and no more
    # can be known. That a file names other versions never makes it better than unproven.
    return Standing.UNPROVEN if others and not _hard(found) else Standing.ALTERED


def _hard(found: list[Difference]) -> bool:
    return any(difference.code in HARD for difference in found)


def _differences(error: TrimscribeError) -> tuple[Difference, ...]:
    own = isinstance(error, ReadbackError)
    return tuple(
        Difference(fault.code if own else "cannot-render", f"{fault.message} {fault.hint}".strip())
        for fault in error.faults
    )


def _undrawn(error: Exception) -> Difference:
    # What the system says of itself names folders of this machine.
    own = error.strerror if isinstance(error, OSError) else str(error)
    reason = own or type(error).__name__
    return Difference("cannot-render", f"It cannot be made again and compared: {reason}.")


def _other_versions(
    reported: Manifest, registry: Registry, world: World
) -> tuple[OtherVersion, ...]:
    """Software that took part in another version than the one that is installed."""
    found = {
        name: OtherVersion(name, then, world.versions.get(name, ""))
        for name, then in reported.versions.items()
        if world.versions.get(name, "") != then
    }
    for package in reported.packages:
        for plugin in package.plugins:
            kind, _, name = plugin.partition("/")
            owner, now = registry.package(kind, name) or ("", "")
            if (owner, now) != (package.name, package.version) and package.name not in found:
                now = now if owner == package.name else ""
                found[package.name] = OtherVersion(package.name, package.version, now)
    return tuple(found[name] for name in sorted(found))


def _other_theme(theme: str, contents: Contents, again: Contents) -> Iterator[OtherVersion]:
    """A theme that was given as a folder and has changed since; it bears no version of its own."""
    then, now = contents.data(Role.THEME) or b"", again.data(Role.THEME) or b""
    if names_folder(theme) and then != now:
        yield OtherVersion(theme, *(hashlib.sha256(look).hexdigest()[:12] for look in (then, now)))


@cache
def get_ready() -> tuple[Registry, World]:
    """What is installed, looked up once for all PDFs."""
    registry = Registry.installed()
    registry.listing()  # loads it all
    return registry, World.real()


def proved(task: tuple[str, bytes, str, tuple[bytes, ...]]) -> Proof:
    """The proof of a PDF: its path, bytes, theme and certificates that are trusted."""
    _, data, theme, trusted = task
    return check(data, *get_ready(), theme=theme, trusted=trusted)
