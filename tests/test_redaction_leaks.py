"""A measure: the pilot's name and contact planted in many ways, and none of them passes."""

import base64
import html
import io
import itertools
import json
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import quote

import pytest

from trimscribe.letters import plain_letters
from trimscribe.model.job import Pilot
from trimscribe.model.workshop import InputFile
from trimscribe.read.leaks import LEAST, Sought
from trimscribe.read.readings import readings
from trimscribe.read.redact import still_named

EXAMPLES = Path(__file__).parents[1] / "examples"
WORKBOOK = (EXAMPLES / "exports" / "laser-bench.xlsx").read_bytes()
JOB = InputFile("job.yaml", b"trimscribe: 1\n", "application/yaml")
# Made up: with accents, hyphens, three words, short words, another script.
PEOPLE = [
    Pilot("Robin Hale", "+44 1632 960001, robin.h@far.example"),
    Pilot("Łucja Ångström", "lucky77@near.example"),
    Pilot("Søren Voß", "00 45 5550 1234"),
    Pilot("Anna-Lena Größinger", "Unter den Weiden 12, Ottermouth"),
    Pilot("Zoë O'Dellane", "zo@dellane.example · 0555 0142 77"),
    Pilot("Björn Mueller", "bm.flies@far.example"),
    Pilot("Ivana Nováková", "@ivkafly"),
    Pilot("Conchita del Río Vegatal", "https://vegatal.example/wings"),
    Pilot("Жанна Ковалёва", "+7 555 010 20 30"),
    Pilot("Tamsin Orrell-Quance", "Flat 3, Saltpan Lane, 0555-010-0199"),
    Pilot("Wendeline Ashgrove", "wendy_ash@far.example"),
]


def main_word(pilot: Pilot) -> str:
    return max(pilot.name.replace("-", " ").replace("'", " ").split(), key=len)


def workbook(change: Callable[[dict[str, bytes]], None]) -> bytes:
    with zipfile.ZipFile(io.BytesIO(WORKBOOK)) as packed:
        parts = {part.filename: packed.read(part) for part in packed.infolist()}
    change(parts)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in parts.items():
            packed.writestr(name, data)
    return out.getvalue()


def cell(text: str) -> bytes:
    """A workbook with this XML in the place of a text."""

    def put(parts: dict[str, bytes]) -> None:
        strings = parts["xl/sharedStrings.xml"]
        assert b"Laser bench, lengths in m" in strings
        parts["xl/sharedStrings.xml"] = strings.replace(b"Laser bench, lengths in m", text.encode())

    return workbook(put)


def member(name: str, data: bytes) -> bytes:
    return workbook(lambda parts: parts.update({name: data}))


def references(text: str) -> str:
    return "".join(f"&#{ord(c)};" if n % 2 else f"&#x{ord(c):x};" for n, c in enumerate(text))


def first_and_last(pilot: Pilot) -> tuple[str, str]:
    words = pilot.name.split()
    return words[0], words[-1]


def csv(text: str, encoding: str = "utf-8") -> tuple[str, bytes]:
    return "tape.csv", f"line;mm\nA1;7342\n{text};\n".encode(encoding)


def packed(text: str) -> bytes:
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("old.csv", f"pilot;{text}")
    return inner.getvalue()


KINDS: dict[str, Callable[[Pilot], tuple[str, bytes]]] = {
    "the name in a table": lambda p: csv(p.name),
    "the surname alone in a cell": lambda p: ("bench.xlsx", cell(main_word(p))),
    "the name backwards, with a comma": lambda p: csv(", ".join(reversed(p.name.split()))),
    "without accents": lambda p: csv(plain_letters(p.name)),
    "in capitals": lambda p: csv(p.name.upper()),
    "inflected, of one person": lambda p: csv(f"{main_word(p)}s wing"),
    "inflected, of a family": lambda p: csv(f"den {main_word(p)}ens ihr Schirm"),
    "joined": lambda p: csv("id" + "".join(first_and_last(p)) + "7"),
    "joined, surname first, with a line": lambda p: csv("_".join(reversed(first_and_last(p)))),
    "an initial and the surname": lambda p: csv(p.name[0] + first_and_last(p)[1]),
    "an address made of the name": lambda p: csv(f"{p.name[0]}x{main_word(p)}@else.example"),
    "the contact": lambda p: csv(p.contact),
    "references to characters": lambda p: ("bench.xlsx", cell(references(p.name))),
    "escaped twice": lambda p: ("bench.xlsx", cell(html.escape(references(p.name)))),
    "a word split over runs": lambda p: (
        "bench.xlsx",
        cell(f"{main_word(p)[:3]}</t></r><r><rPr/><t>{main_word(p)[3:]}"),
    ),
    "a name of a file": lambda p: (f"{main_word(p)}-2026.csv", b"line;mm\n"),
    "a name of a part": lambda p: ("b.xlsx", member(f"xl/{main_word(p)}.xml", b"<a/>")),
    "the author of a workbook": lambda p: (
        "b.xlsx",
        member("docProps/core.xml", f"<c><dc:creator>{p.name}</dc:creator></c>".encode()),
    ),
    "a remark in a workbook": lambda p: (
        "b.xlsx",
        member("xl/comments1.xml", f'<comments a="{main_word(p)}"/>'.encode("utf-16")),
    ),
    "a packed file in a packed file": lambda p: ("b.xlsx", member("xl/old.zip", packed(p.name))),
    "another encoding": lambda p: csv(p.name, "utf-16"),
    "escapes of JSON": lambda p: ("x.json", json.dumps({"by": p.name}).encode()),
    "escapes for every letter": lambda p: csv("".join(f"\\u{ord(c):04x}" for c in p.name)),
    "escapes of an address": lambda p: csv(quote(p.name, safe="").replace("a", "%61")),
    "base64": lambda p: csv(base64.b64encode(f"by {p.name}".encode()).decode()),
    "hexadecimal": lambda p: csv(f"by {p.name}".encode().hex()),
    "letters with blanks between them": lambda p: csv(" ".join(main_word(p))),
    "unseen signs between letters": lambda p: csv("\u00ad".join(main_word(p))),
    "a word broken over lines": lambda p: (
        "a.txt",
        f"by {main_word(p)[:3]}-\n{main_word(p)[3:]}".encode(),
    ),
    "letters backwards": lambda p: csv("".join(reversed("".join(first_and_last(p))))),
    "two cells beside each other": lambda p: csv(";".join(first_and_last(p))),
    "a key of a file": lambda p: ("wing.yaml", f"{plain_letters(main_word(p))}: 1\n".encode()),
    "a remark in a file of ours": lambda p: ("shop.yaml", f"name: x # for {p.name}\n".encode()),
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.thorough
def test_no_planted_leak_passes(kind: str) -> None:
    passed = []
    for pilot in PEOPLE:
        name, data = KINDS[kind](pilot)
        faults = [*still_named([JOB, InputFile(name, data, "")], pilot, JOB)]
        if {fault.mark.file for fault in faults if fault.mark} != {name}:
            passed.append((pilot.name, data[:80]))

    assert passed == []


def test_enough_leaks_of_enough_kinds_are_planted() -> None:
    assert len(KINDS) >= 20
    assert len(KINDS) * len(PEOPLE) >= 200


def contacts(pilot: Pilot) -> Iterator[str]:
    """The parts of a contact in other forms."""
    for piece in pilot.contact.replace("·", ",").split(","):
        yield piece.strip().upper()
    figures = "".join(filter(str.isdigit, pilot.contact))
    if len(figures) > 9:
        yield f"call {figures[-8:-4]} {figures[-4:]}"
    for word in pilot.contact.replace(",", " ").split():
        if word.find("@") >= LEAST:
            yield f"{word.split('@')[0]}@elsewhere.example"


def test_parts_of_a_contact_do_not_pass() -> None:
    places = {"FLAT 3", "OTTERMOUTH"}  # a house or a town alone identifies nobody
    planted = [(p, part) for p in PEOPLE for part in contacts(p) if part not in places]
    passed = [part for p, part in planted if not [*Sought(p).places(f"7;{part};x")]]

    assert len(planted) > 20
    assert passed == []


def test_files_without_the_pilot_pass() -> None:
    """Every example's files, for each of these people; the demo's own pilot is another."""
    files = [p for p in EXAMPLES.rglob("*") if p.is_file() and p.suffix not in (".png", ".py")]
    inputs = [InputFile(p.name, p.read_bytes(), "") for p in files]
    strangers = [p for p in PEOPLE if p.name not in ("Robin Hale", "Tamsin Orrell-Quance")]
    short = [
        Pilot("Li Wu"),
        Pilot("Ann Okeke"),
        Pilot("Ed Fox"),
        Pilot("Una Bell"),
        Pilot("Ole Ek"),
    ]
    found = [
        (pilot.name, fault.mark)
        for pilot, file in itertools.product([*strangers, *short], inputs)
        for fault in still_named([file], pilot, JOB)
    ]

    assert len(inputs) > 12
    assert found == []


def test_every_place_is_listed_with_its_line_or_part() -> None:
    pilot = PEOPLE[0]
    text = b"name: x\n# Hale\nfooter: y\n# robin hale was here, and Hale again\n"
    book = member("docProps/core.xml", b"<c>Robin Hale</c>")
    faults = [
        *still_named(
            [JOB, InputFile("shop.yaml", text, ""), InputFile("b.xlsx", book, "")], pilot, JOB
        )
    ]

    assert [(f.mark.file, f.mark.line) for f in faults if f.mark] == [
        ("shop.yaml", 2),
        ("shop.yaml", 4),
        ("b.xlsx", 0),
    ]
    assert "in its part docProps/core.xml" in faults[2].message


def test_keys_of_our_own_files_are_no_names() -> None:
    pilot = Pilot("Marit Wing")

    assert [*still_named([InputFile("a.yaml", b"wing: {model: x}\n", "")], pilot, JOB)] == []
    assert [*still_named([InputFile("a.yaml", b"model: wing\n", "")], pilot, JOB)]


@pytest.mark.thorough
def test_a_bomb_is_not_unpacked() -> None:
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w", zipfile.ZIP_DEFLATED) as archive:
        for number in range(8):
            archive.writestr(f"{number}.txt", b" " * 10_000_000)

    with pytest.raises(ValueError, match="too much"):
        list(readings(inner.getvalue()))
    (fault,) = still_named([InputFile("b.zip", inner.getvalue(), "")], PEOPLE[0], JOB)
    assert "cannot be looked through" in fault.message


@pytest.mark.parametrize(
    ("contact", "text"),
    [
        ("@ivkafly", "see IvkaFly there"),
        ("rh77@wing.example", "mail rh77 at wing"),
        ("bm.flies@wing.example", "it is bm.flies (at) wing"),
    ],
)
def test_a_handle_and_a_mailbox_that_is_no_word_are_found_by_themselves(
    contact: str, text: str
) -> None:
    assert [*Sought(Pilot("Robin Hale", contact)).places(text)]


def test_a_mailbox_that_is_a_word_is_found_in_an_address_alone() -> None:
    sought = Sought(Pilot("Robin Hale", "info@wing.example"))

    assert not [*sought.places("info on the wing")]
    assert [*sought.places("to info@far.example")]
