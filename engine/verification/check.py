"""One PDF asked to prove itself."""

import hashlib
from collections.abc import Sequence
from functools import cache

from trimscribe.errors import ReadbackError, TrimscribeError
from trimscribe.model.manifest import Manifest
from trimscribe.model.proof import Difference, OtherVersion, Proof, Standing
from trimscribe.readback.contents import read_back
from trimscribe.readback.fingerprint import portrait_of
from trimscribe.registry import Registry
from trimscribe.sign.check import check_signature
from trimscribe.verification.again import made_again
from trimscribe.verification.codes import HARD
from trimscribe.verification.compare import carried, compared, signed_over
from trimscribe.world import World


def check(
    data: bytes,
    registry: Registry,
    world: World,
    *,
    theme: str = "",
    trusted: Sequence[bytes] = (),
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
        made = made_again(contents, registry, world, theme)
        if made != data:
            again = read_back(made)
            found += compared(data, made, contents, again)
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
    return tuple(
        Difference("cannot-render", f"{fault.message} {fault.hint}".strip())
        if not isinstance(error, ReadbackError)
        else Difference(fault.code, f"{fault.message} {fault.hint}".strip())
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
