"""What makes up a PDF, as data that two documents can be compared by.

`digest` is over every object that the reader can reach, numbered in the order of reaching it: it is
the same when another program has only saved the file again, and another when anything is changed.
"""

import hashlib
from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

import pikepdf

from trimscribe.errors import ReadbackError
from trimscribe.readback.contents import opened, unpacked, unreadable
from trimscribe.readback.metadata import OF_THE_SAVER, metadata_of, plain_date, xmp_of

# A full report has 1,200 objects, 5 pages, and parts of 140,000 bytes; one of 1,000 lines has some
# ten times that. Page contents of 8,000,000 bytes are what a page can be drawn from within limits.
_MOST_OBJECTS = 100_000
_MOST_PAGES = 300
_MOST_BYTES = 64_000_000  # of all parts together, unpacked
_MOST_DRAWN = 8_000_000  # of all that pages are drawn from, however often it is drawn
# How a stream is stored, not what it says.
_STORED = {"/Length", "/Filter", "/DecodeParms"}
# Points below the upper edge where no report has anything: there the line of a signature is.
_MARGIN_PT = 22.0
_ACTIONS = {"/OpenAction", "/AA", "/JavaScript", "/JS"}


@dataclass(frozen=True)
class DocumentFingerprint:
    """The parts of one document.

    `boxes` are the pages' sizes in points; `laid_over` the kinds of what lies over each page;
    `described` what a screen reader is told of drawings; `metadata` all fields of both kinds;
    `actions` what the file would do by itself; `signed` whether it holds a signature, and
    `signed_to` the length of the file as the last one saw it, or 0.
    """

    digest: str
    boxes: tuple[tuple[float, ...], ...]
    laid_over: tuple[tuple[str, ...], ...]
    described: tuple[str, ...]
    metadata: Mapping[str, str]
    actions: tuple[str, ...]
    signed: bool
    signed_to: int


def portrait_of(data: bytes) -> DocumentFingerprint:
    """Look at a whole PDF; raises ReadbackError when it cannot be read within limits."""
    with opened(data) as pdf:
        _not_too_much(pdf)
        walk = _Walk()
        walk.all(pdf.trailer)
        return DocumentFingerprint(
            digest=walk.digest.hexdigest(),
            boxes=tuple(tuple(float(n) for n in page.mediabox) for page in pdf.pages),
            laid_over=tuple(tuple(_laid_over(page)) for page in pdf.pages),
            described=tuple(walk.described),
            metadata=metadata_of(pdf),
            actions=tuple(sorted(walk.actions)),
            signed=walk.signed,
            signed_to=walk.signed_to,
        )


def _laid_over(page: pikepdf.Page) -> Iterator[str]:
    """The kind of each thing; not a signature that is unseen or keeps to the upper margin."""
    for note in page.obj.get("/Annots", ()):
        subtype = str(note.get("/Subtype", ""))
        field = note.get("/FT", "")
        kind = f"{subtype}{field}" if subtype == "/Widget" else subtype
        if kind != "/Widget/Sig" or not _out_of_the_way(note.get("/Rect", ()), page.mediabox):
            yield kind


def _out_of_the_way(place: Any, sheet: Any) -> bool:
    if len(place) != 4:  # without corners it is not shown
        return True
    x1, y1, x2, y2 = map(float, place)
    return x1 == x2 or y1 == y2 or min(y1, y2) >= float(sheet[3]) - _MARGIN_PT


def _end(signed: Any) -> int:
    """Where the bytes end that a signature is over: two stretches, the first from the start."""
    if isinstance(signed, pikepdf.Array) and len(signed) == 4:
        start, _, again, length = (n if isinstance(n, int) else -1 for n in signed.as_list())
        return again + length if start == 0 else 0
    return 0


def _not_too_much(pdf: pikepdf.Pdf) -> None:
    """Refuse what nobody should try to draw or walk through, before anybody does.

    Forms that draw forms, and patterns, multiply in ways that only drawing shows: for these there
    are the limits of the process that reads the file.
    """
    if int(pdf.trailer.get("/Size", 0)) > _MOST_OBJECTS or len(pdf.objects) > _MOST_OBJECTS:
        raise unreadable("pdf-too-large")
    if len(pdf.pages) > _MOST_PAGES:
        raise unreadable("too-many-pages")
    room = _MOST_DRAWN
    for page in pdf.pages:
        for stream in _drawn(page.obj):
            room -= len(_plain(stream, room))


def _drawn(page: Any) -> Iterator[Any]:
    """What a page is drawn from, and the forms that it names."""
    contents = page.get("/Contents", ())
    yield from contents if isinstance(contents, pikepdf.Array) else (contents,)
    resources = page.get("/Resources", {})
    for named in dict(resources.get("/XObject", {})).values():
        if named.get("/Subtype") == pikepdf.Name.Form:
            yield named


def _plain(stream: Any, room: int) -> bytes:
    if not isinstance(stream, pikepdf.Stream):
        return b""
    try:
        return unpacked(stream, room)
    except ReadbackError as error:
        code = {"attachment-too-large": "page-too-large", "attachment-encoded": "page-encoded"}
        raise unreadable(code.get(error.faults[0].code, error.faults[0].code)) from error


def _meant(data: bytes) -> bytes:
    """Metadata as what they mean, without what a program that saves writes of itself."""
    found = xmp_of(data)
    if found is None:
        return data
    kept = {k: v for k, v in found.items() if k.rpartition("}")[2] not in OF_THE_SAVER}
    return repr(sorted(kept.items())).encode("utf-8", "surrogatepass")


class _Walk:
    """Goes through every object once, level by level."""

    def __init__(self) -> None:
        self.digest = hashlib.sha256()
        self.described: list[str] = []
        self.actions: set[str] = set()
        self.signed = False
        self.signed_to = 0
        self._numbers: dict[tuple[int, int], int] = {}
        self._waiting: deque[Any] = deque()
        self._room = _MOST_BYTES

    def all(self, trailer: Any) -> None:
        self._take("/Root")
        self._object(trailer.get("/Root"))
        self._take("/Info")
        for key, value in sorted(dict(trailer.get("/Info", {})).items()):
            if key.strip("/") not in OF_THE_SAVER:
                self._take(f"{key} {plain_date(str(value))}")
        while self._waiting:
            self._take("obj")
            self._object(self._waiting.popleft(), inside=True)

    def _object(self, value: Any, *, inside: bool = False) -> None:
        """Write one value; an object that others may share is written once, later."""
        if not isinstance(value, pikepdf.Object):  # most are plain numbers
            self._take(f"{type(value).__name__} {value}")
        elif not inside and value.is_indirect:
            number = self._numbers.get(value.objgen)
            if number is None:
                number = self._numbers[value.objgen] = len(self._numbers)
                if number > _MOST_OBJECTS:
                    raise unreadable("pdf-too-large")
                self._waiting.append(value)
            self._take(f"→{number}")
        elif isinstance(value, pikepdf.Stream):
            self._mapping(value.stream_dict, leave=_STORED)
            data = self._stream(value)
            if value.get("/Subtype") == pikepdf.Name.XML:
                data = _meant(data)
            self._take(hashlib.sha256(data).hexdigest())
        elif isinstance(value, pikepdf.Dictionary):
            self._mapping(value)
        elif isinstance(value, pikepdf.Array):
            self._take(f"[{len(value)}")
            for item in value:
                self._object(item)
        elif isinstance(value, pikepdf.String):
            self._take(bytes(value).hex())
        else:
            self._take(f"{type(value).__name__} {value}")

    def _mapping(self, value: Any, leave: frozenset[str] | set[str] = frozenset()) -> None:
        kept = sorted((item for item in value.items() if item[0] not in leave), key=itemgetter(0))
        self._take(f"<{len(kept)}")
        for key, inner in kept:
            if key in _ACTIONS:
                self.actions.add(key)
            if key == "/ByteRange":
                self.signed = True
                self.signed_to = max(self.signed_to, _end(inner))
            if key == "/Alt" and value.get("/S") != pikepdf.Name.Form:
                self.described.append(str(inner))
            self._take(key)
            self._object(inner)

    def _stream(self, value: Any) -> bytes:
        """What a stream says; one stored in another way than ours is taken as it is stored.

        How goes with it: the same bytes behind another filter say something else.
        """
        try:
            data = unpacked(value, self._room)
        except ReadbackError as error:
            if error.faults[0].code != "attachment-encoded":
                raise
            how = [str(value.get(key)) for key in ("/Filter", "/DecodeParms")]
            data = repr(how).encode() + bytes(value.read_raw_bytes())
        self._room -= len(data)
        return data

    def _take(self, text: str) -> None:
        self.digest.update(text.encode("utf-8", "surrogatepass") + b"\n")
