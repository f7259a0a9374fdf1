"""The files that a PDF carries, unpacked within limits, and what its manifest says of them."""

import hashlib
import io
import json
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import pikepdf

from trimscribe.errors import ReadbackError
from trimscribe.model import manifest
from trimscribe.model.manifest import Carried, Manifest, Role
from trimscribe.model.report import LARGEST_PDF

CODES: Mapping[str, str] = {
    "attachment-encoded": "An attached file is stored in a way that reports never use.",
    "attachment-too-large": "An attached file unpacks to more than any report carries.",
    "attachments-differ": "The attached files are not those that the report's manifest names.",
    "manifest-unreadable": "The list of attached files cannot be read.",
    "no-manifest": "The PDF carries no list of its files: it is not a report of Trimscribe.",
    "not-a-pdf": "The file cannot be read as a PDF.",
    "page-encoded": "What a page is drawn from is stored in a way that reports never use.",
    "page-too-large": "What the pages are drawn from unpacks to more than any report has.",
    "pdf-encrypted": "The PDF is encrypted, which reports never are.",
    "pdf-too-large": "The PDF is larger than any report, or has more parts than any report.",
    "too-many-pages": "The PDF has more pages than any report.",
}
LARGEST_FILE = 16_000_000  # bytes of one part, unpacked
_MOST_FILES = 200


def unreadable(code: str, *found: str) -> ReadbackError:
    """The error for one of `CODES`, with what was found, if that is known."""
    message = f"{CODES[code][:-1]}: {'; '.join(found)}." if found else CODES[code]
    return ReadbackError.of(code, message)


@dataclass(frozen=True)
class Contents:
    """A manifest and the files that are really there, by name."""

    manifest: Manifest
    files: Mapping[str, bytes]

    def data(self, role: Role) -> bytes | None:
        """The first file with this role, or None."""
        found = next((f for f in self.manifest.files if f.role is role), None)
        return self.files.get(found.name) if found else None

    def altered(self) -> tuple[Carried, ...]:
        """Files that are not those which the manifest names."""
        return tuple(
            f
            for f in self.manifest.files
            if f.name in self.files and hashlib.sha256(self.files[f.name]).hexdigest() != f.sha256
        )

    def missing(self) -> tuple[str, ...]:
        """Names in the manifest without a file."""
        return tuple(f.name for f in self.manifest.files if f.name not in self.files)

    def added(self) -> tuple[str, ...]:
        """Files that the manifest does not name."""
        known = {manifest.NAME, *(f.name for f in self.manifest.files)}
        return tuple(sorted(self.files.keys() - known))


def read_back(data: bytes) -> Contents:
    """Read a PDF's manifest and files; raises ReadbackError when it is not a report."""
    with opened(data) as pdf:
        files = _files(pdf)
    if manifest.NAME not in files:
        raise unreadable("no-manifest")
    try:
        plain = json.loads(files[manifest.NAME])
        return Contents(Manifest.from_plain(plain), files)
    except (ValueError, RecursionError) as error:
        raise unreadable("manifest-unreadable") from error


@contextmanager
def opened(data: bytes) -> Iterator[pikepdf.Pdf]:
    """A PDF in memory; whatever the library finds wrong with it is reported as ReadbackError."""
    if len(data) > LARGEST_PDF:
        raise unreadable("pdf-too-large")
    try:
        with pikepdf.open(io.BytesIO(data)) as pdf:
            if pdf.is_encrypted:
                raise unreadable("pdf-encrypted")
            yield pdf
    except pikepdf.PasswordError as error:
        raise unreadable("pdf-encrypted") from error
    except ReadbackError:
        raise
    # A broken file shows itself as one of these, at the start or wherever it is looked into.
    except (pikepdf.PdfError, pikepdf.DataDecodingError) as error:
        raise unreadable("not-a-pdf") from error
    except (ValueError, TypeError, KeyError, AttributeError, RuntimeError) as error:
        raise unreadable("not-a-pdf") from error


def _files(pdf: pikepdf.Pdf) -> Mapping[str, bytes]:
    """Every attached file by its own name; a second one of a name is one that nobody asked for."""
    found: dict[str, bytes] = {}
    for spec in _specifications(pdf):
        if len(found) >= _MOST_FILES:
            raise unreadable("pdf-too-large")
        name = str(_of_any_system(spec))
        while name in found:
            name += " (again)"
        found[name] = unpacked(_of_any_system(spec["/EF"]), LARGEST_FILE)
    return found


def _specifications(pdf: pikepdf.Pdf) -> Iterator[Any]:
    """Walk the tree of attached files (ISO 32000-2, 7.9.6) without its keys.

    A key is bytes in no known encoding: other letters than ASCII come out wrong, in another order
    than that of the tree, and two may come out the same.
    """
    names: Any = pdf.Root.get("/Names", pikepdf.Dictionary())
    waiting: list[Any] = [names.get("/EmbeddedFiles", pikepdf.Dictionary())]
    for number, node in enumerate(waiting):
        if number >= _MOST_FILES:
            raise unreadable("pdf-too-large")
        waiting.extend(node.get("/Kids", ()))
        pairs = node.get("/Names", ())
        yield from (pairs[n] for n in range(1, len(pairs), 2))


def _of_any_system(spec: Any) -> Any:
    """The entry that holds on all systems (ISO 32000-2, 7.11.3), else that of older programs."""
    return spec["/UF"] if "/UF" in spec else spec["/F"]


def unpacked(stream: Any, most: int) -> bytes:
    """A stream's bytes, never more than `most`; it may be plain or deflated, as reports have it."""
    filters = stream.get("/Filter")
    if isinstance(filters, pikepdf.Array):
        if len(filters) > 1:
            raise unreadable("attachment-encoded")
        filters = filters[0] if len(filters) else None
    if filters not in (None, pikepdf.Name.FlateDecode) or "/DecodeParms" in stream:
        raise unreadable("attachment-encoded")
    raw = stream.read_raw_bytes()
    if filters is None:
        if len(raw) > most:
            raise unreadable("attachment-too-large")
        return bytes(raw)
    decoder = zlib.decompressobj()
    try:
        data = decoder.decompress(raw, most)
        if not decoder.eof and decoder.decompress(decoder.unconsumed_tail, 1):
            raise unreadable("attachment-too-large")
    except zlib.error as error:
        raise unreadable("not-a-pdf") from error
    return data
