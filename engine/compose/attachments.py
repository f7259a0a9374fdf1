"""What travels in a report: inputs, findings, look, and a manifest that vouches for them."""

import functools
import hashlib
import itertools
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path, PurePosixPath

from trimscribe.compose.glyphs import font_files
from trimscribe.compose.themes import Look
from trimscribe.evidence import trail_of
from trimscribe.model import manifest
from trimscribe.model.document import Attachment, Content
from trimscribe.model.manifest import About, Carried, Manifest, Package, Role
from trimscribe.model.plain import plain_fields, to_plain
from trimscribe.registry import Registry
from trimscribe.world import World

FINDINGS = "findings.json"
HISTORY = "history.json"
THEME = "theme.json"
_JSON = "application/json"
# The source is what a person wrote; data and supplement are made of it (ISO 32000-2, table 43).
_RELATIONSHIPS = {
    **dict.fromkeys((Role.JOB, Role.SHOP, Role.INPUT), "source"),
    Role.FINDINGS: "data",
}
# What a workshop sets of its reports; its pictures and fonts travel as files of their own.
_BRAND = (
    "name",
    "address",
    "contact",
    "registration",
    "accent",
    "neutral",
    "font",
    "paper",
    "language",
    "writing",
    "cautions",
    "footer",
    "terms",
    "signatory",
)


def attachments_of(
    content: Content, look: Look, registry: Registry, world: World
) -> tuple[Attachment, ...]:
    """The files as they were read, findings, look; last the manifest, which hashes the others."""
    labels = content.statements.labels
    inputs = content.reading.files
    names = [*_names([file.name for file in inputs])]
    shop = content.reading.shop
    roles = [Role.JOB, *(Role.SHOP if file.name == shop else Role.INPUT for file in inputs[1:])]
    parts = [
        (role, file.name, Attachment(name, file.data, file.media_type, "", _relationship(role)))
        for role, name, file in zip(roles, names, inputs, strict=True)
    ]
    made_files = [
        (Role.FINDINGS, FINDINGS, findings_of(content)),
        (Role.THEME, THEME, _json(_theme(content, look))),
    ]
    if content.history:
        earlier = {"services": content.history.services[:-1]}
        made_files.insert(0, (Role.HISTORY, HISTORY, _json(earlier)))
    for role, name, data in made_files:
        parts.append((role, name, Attachment(name, data, _JSON, "", _relationship(role))))
    reported = [
        Attachment(a.name, a.data, a.media_type, labels[f"attached_{role}"], a.relationship)
        for role, _, a in parts
    ]
    carried = tuple(
        Carried(a.name, role, named, a.media_type, a.relationship, len(a.data), _sha256(a.data))
        for role, named, a in parts
    )
    made = Manifest(
        about=_about(content),
        theme=look.name,
        files=carried,
        versions=world.versions,
        packages=packages_of(content, look, registry, world),
        fonts={
            # Where the bytes of a name are no UTF-8, question marks are in their place.
            path.name.encode("utf-8", "replace").decode(): _font(path, path.stat().st_mtime_ns)
            for path in font_files(look.fonts)
        },
    )
    data = _json({"format": manifest.FORMAT, **plain_fields(made)})
    last = Attachment(manifest.NAME, data, _JSON, labels["attached_manifest"], "supplement")
    return (*reported, last)


def _relationship(role: Role) -> str:
    return _RELATIONSHIPS.get(role, "supplement")


def _about(content: Content) -> About:
    job = content.reading.job
    return About(
        service=job.service.number,
        done=job.service.done.isoformat(),
        workshop=job.workshop.name,
        maker=job.wing.maker,
        model=job.wing.model,
        size=job.wing.size,
        serial_number=job.wing.serial_number,
        hours=job.wing.hours,
        pilot=job.pilot.name if job.pilot else "",
        language=content.statements.language,
        verdicts={group.key: group.verdict for group in content.statements.verdicts},
        replaces=job.service.replaces,
        redacted=job.redacted,
    )


def findings_of(content: Content) -> bytes:
    """The findings, what was said of them, where all that came from, and the wing's history."""
    return _json(
        {
            "findings": content.findings,
            "statements": content.statements.sentences,
            "cautions": content.statements.cautions,
            "trail": trail_of(content),
            "summary": content.summary,
            "history": content.history,
        }
    )


def _theme(content: Content, look: Look) -> Mapping[str, object]:
    """The look as it was resolved, and the workshop's own values in it."""
    return {
        "name": look.name,
        "sections": look.sections,
        "tokens": look.tokens,
        "workshop": {name: getattr(content.reading.job.workshop, name) for name in _BRAND},
        "templates": {name: _sha256(text.encode()) for name, text in look.templates.texts()},
        "assets": {name: _sha256(data) for name, data in look.assets.items()},
    }


def packages_of(
    content: Content, look: Look, registry: Registry, world: World
) -> tuple[Package, ...]:
    """The packages whose plugins took part, so that another report does not depend on the rest."""
    files = [file.name.lower() for file in content.reading.files]
    used = {
        ("languages", content.statements.language),
        *(("themes", folder.shown) for folder in look.chain),  # a folder of its own is no plugin
        *(("sections", name) for name in look.sections),
        *(("figures", name) for name in registry.names("figures")),  # asked for later
        *(("analyses", plugin.name) for plugin in registry.all("analyses")),
        *(
            ("importers", plugin.name)
            for plugin in registry.all("importers")
            if any(name.endswith(tuple(plugin.suffixes)) for name in files)
        ),
    }
    found: dict[tuple[str, str], list[str]] = {}
    for kind, name in sorted(used):
        owner, build = registry.package(kind, name) or ("", "")
        if owner:  # a section may also come from the theme, as data
            package = (owner, world.packages.get(owner, build))
            found.setdefault(package, []).append(f"{kind}/{name}")
    return tuple(Package(*package, tuple(plugins)) for package, plugins in sorted(found.items()))


def _json(parts: Mapping[str, object]) -> bytes:
    """One part a line: json's own indenting takes as long as all the drawings."""
    lines = (
        f"{json.dumps(name)}: {json.dumps(to_plain(part), ensure_ascii=False)}"
        for name, part in parts.items()
    )
    # A job may be called by bytes that are no text.
    return "{{\n{}\n}}\n".format(",\n".join(lines)).encode("utf-8", "replace")


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


@functools.lru_cache(maxsize=256)
def _font(path: Path, changed_ns: int) -> str:
    """Hash a font once for as long as it does not change."""
    return _sha256(path.read_bytes())


def _names(paths: Sequence[str]) -> Iterator[str]:
    """A plain name for each file, no two alike whatever folders they lie in."""
    taken = {FINDINGS, HISTORY, THEME, manifest.NAME}
    for path in paths:
        parts = [part for part in PurePosixPath(path).parts if part not in ("..", "/")]
        folders = ["-".join(parts[-n:]) for n in range(1, len(parts) + 1)]
        numbered = (f"{n}-{parts[-1]}" for n in itertools.count(2))
        choices: Iterable[str] = itertools.chain(folders, numbered)
        name = next(n for n in choices if n.lower() not in taken)
        taken.add(name.lower())
        yield name
