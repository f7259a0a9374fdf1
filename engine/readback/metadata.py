"""What the metadata of a PDF mean: two ways of writing the same are the same.

XMP (ISO 16684-1) leaves a writer free in white space, prefixes, and whether a plain value is an
element or an attribute; a date in a PDF (ISO 32000-2, 7.9.4) can name its zone in several ways.
"""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping
from typing import Any

import pikepdf

# What a program that saves a file writes of itself, whatever the file says.
OF_THE_SAVER = frozenset({"Producer", "ModDate", "ModifyDate", "MetadataDate"})
_RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
_LISTS = {f"{_RDF}{kind}" for kind in ("Seq", "Bag", "Alt")}
_DATE = re.compile(r"(D:\d{14})(?:Z|[+-]00'?00'?)[0'Z]*")
# Drawn from the content: where that differs they say nothing more.
_DRAWN = {"InstanceID", "DocumentID", "instanceID", "documentID"}
_LARGEST = 500_000  # bytes of XMP; a report has 5,000


def metadata_of(pdf: pikepdf.Pdf) -> dict[str, str]:
    """Every field of both kinds by its name, each value as text."""
    info: Any = pdf.trailer.get("/Info", {})
    found = {str(key): plain_date(str(value)) for key, value in info.items()}
    stream: Any = pdf.Root.get("/Metadata")
    if isinstance(stream, pikepdf.Stream):
        known = xmp_of(bytes(stream.read_bytes()))
        found |= {"XMP": "unreadable"} if known is None else known
    found["/Lang"] = str(pdf.Root.get("/Lang", ""))
    return found


def plain_date(text: str) -> str:
    """A date at UTC as Typst writes it, with a Z; any other text as it is."""
    found = _DATE.fullmatch(text)
    return f"{found[1]}Z" if found else text


def xmp_of(data: bytes) -> Mapping[str, str] | None:
    """The properties of an XMP packet; None when it cannot be read as one."""
    if len(data) > _LARGEST or b"<!DOCTYPE" in data or b"<!ENTITY" in data or b"\0" in data:
        return None  # entities could grow without end; other encodings than UTF-8 are never ours
    try:
        root = ET.fromstring(data.strip())
        described = list(root.iter(f"{_RDF}Description"))
        outer = list(root.iter(f"{_RDF}RDF"))
        if not outer:
            return None
        found: dict[str, str] = {}
        for node in described if len(outer) == 1 else ():
            if node in list(outer[0]):
                for name, value in _properties(node):
                    found[name] = f"{found[name]}, {value}" if name in found else value
        return found
    except (ET.ParseError, RecursionError):
        return None


def _properties(node: ET.Element) -> Iterator[tuple[str, str]]:
    for key, value in node.attrib.items():
        if not key.startswith(_RDF) and key.rpartition("}")[2] not in _DRAWN:
            yield key, value
    for child in node:
        if child.tag.rpartition("}")[2] not in _DRAWN:
            yield child.tag, _value(child)


def _value(node: ET.Element) -> str:
    """A plain value as text; a list or a structure in one line that stands for it."""
    children = list(node)
    if len(children) == 1 and children[0].tag in _LISTS:
        kind = children[0].tag.removeprefix(_RDF)
        items = [_value(item) for item in children[0]]
        # A list of one is read the same as that one.
        return items[0] if len(items) == 1 else f"{kind} [{'; '.join(items)}]"
    if len(children) == 1 and children[0].tag == f"{_RDF}Description":
        node = children[0]
    parts = sorted(_properties(node))
    own = [(key, value) for key, value in parts if not key.startswith("{http://www.w3.org/XML/")]
    if own:
        return "{" + ", ".join(f"{key}: {value}" for key, value in own) + "}"
    return (node.text or "").strip() or node.get(f"{_RDF}resource", "")
