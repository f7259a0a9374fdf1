"""What a PDF carries is read within limits, whoever made it."""

import contextlib
import io
import json
import tracemalloc
import zlib
from collections.abc import Callable
from typing import Any

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimscribe.errors import ReadbackError
from trimscribe.model.manifest import Manifest
from trimscribe.readback import contents
from trimscribe.readback.contents import read_back
from trimscribe.readback.fingerprint import portrait_of

ABOUT = {
    **dict.fromkeys(
        ("service", "done", "workshop", "maker", "model", "size", "serial_number", "pilot"), "x"
    ),
    "language": "en",
    "done": "2026-10-16",
    "hours": None,
    "verdicts": {"lines": "pass"},
    "replaces": None,
    "redacted": False,
}
PLAIN: dict[str, Any] = {
    "format": 1,
    "about": ABOUT,
    "theme": "base",
    "files": [],
    "versions": {},
    "packages": [],
    "fonts": {},
}


def pdf_with(
    carried: dict[str, bytes], change: Callable[[pikepdf.Pdf], None] = lambda _: None
) -> bytes:
    pdf = pikepdf.new()
    pdf.add_blank_page()
    for name, data in carried.items():
        pdf.attachments[name] = pikepdf.AttachedFileSpec(pdf, data)
    change(pdf)
    out = io.BytesIO()
    as_it_is = pikepdf.StreamDecodeLevel.none
    pdf.save(out, compress_streams=False, stream_decode_level=as_it_is)
    return out.getvalue()


def refused(data: bytes) -> str:
    with pytest.raises(ReadbackError) as caught:
        read_back(data)
    (fault,) = caught.value.faults
    return fault.code


def manifest(**changes: Any) -> dict[str, bytes]:
    return {"manifest.json": json.dumps({**PLAIN, **changes}).encode()}


def test_a_manifest_is_read_back() -> None:
    readback = read_back(pdf_with(manifest()))

    assert readback.manifest.about.service == "x"
    assert readback.files.keys() == {"manifest.json"}


def under_keys(*keys: bytes) -> Callable[[pikepdf.Pdf], None]:
    """Give the attached files such keys, one after the other, and leave their own names."""

    def change(pdf: pikepdf.Pdf) -> None:
        specs = [item.obj for item in pdf.attachments.values()]
        kids = [
            pikepdf.Dictionary(Names=pikepdf.Array([pikepdf.String(key), spec]))
            for key, spec in zip(keys, specs, strict=True)
        ]
        pdf.Root.Names.EmbeddedFiles = pikepdf.Dictionary(Kids=pikepdf.Array(kids))

    return change


def test_files_have_their_own_names_whatever_the_keys_of_their_tree_say() -> None:
    names = ["manifest.json", "Ο.csv", "έ.csv"]
    # Typst writes UTF-8; read as a PDF's own encoding, the last two are the same.
    keys = under_keys(*(name.encode() for name in names))

    readback = read_back(pdf_with({**manifest(), "Ο.csv": b"1", "έ.csv": b"2"}, keys))

    assert [*readback.files] == names
    assert (readback.files["Ο.csv"], readback.files["έ.csv"]) == (b"1", b"2")


def test_a_second_file_of_a_name_hides_nothing() -> None:
    def rename(pdf: pikepdf.Pdf) -> None:
        pdf.attachments["other"].obj.UF = "manifest.json"

    readback = read_back(pdf_with({**manifest(), "other": b"{}"}, rename))

    assert readback.manifest.about.service == "x"
    assert readback.added() == ("manifest.json (again)",)


def test_a_tree_of_files_that_runs_in_a_circle_is_refused() -> None:
    def knot(pdf: pikepdf.Pdf) -> None:
        tree = pdf.make_indirect(pikepdf.Dictionary())
        tree.Kids = pikepdf.Array([tree])
        pdf.Root.Names.EmbeddedFiles = tree

    assert refused(pdf_with(manifest(), knot)) == "pdf-too-large"


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "not-a-pdf"),
        (b"%PDF-1.7\n%%EOF", "not-a-pdf"),
        (b"hello", "not-a-pdf"),
        (pdf_with({}), "no-manifest"),
        (pdf_with({"manifest.json": b"{"}), "manifest-unreadable"),
        (pdf_with({"manifest.json": b"[" * 100_000}), "manifest-unreadable"),
        (pdf_with({"manifest.json": b"\xff"}), "manifest-unreadable"),
        (pdf_with({"manifest.json": b"[]"}), "manifest-unreadable"),
        (pdf_with(manifest(format=2)), "manifest-unreadable"),
        (pdf_with(manifest(about={**ABOUT, "done": "../../etc"})), "manifest-unreadable"),
        (pdf_with(manifest(files=[{"name": 1}])), "manifest-unreadable"),
        (pdf_with(manifest(about={**ABOUT, "hours": "138"})), "manifest-unreadable"),
        (pdf_with(manifest(about={**ABOUT, "verdicts": {"lines": "fine"}})), "manifest-unreadable"),
        (pdf_with(manifest(about={**ABOUT, "replaces": {"service": "x"}})), "manifest-unreadable"),
    ],
)
def test_what_is_no_report_is_reported(data: bytes, code: str) -> None:
    assert refused(data) == code


def test_an_encrypted_pdf_is_refused() -> None:
    out = io.BytesIO()
    pdf = pikepdf.new()
    pdf.add_blank_page()
    pdf.save(out, encryption=pikepdf.Encryption(owner="o", user="u"))

    assert refused(out.getvalue()) == "pdf-encrypted"


@pytest.mark.slow
def test_a_small_file_that_unpacks_to_gigabytes_is_refused_without_unpacking_it() -> None:
    packer = zlib.compressobj(9)
    bomb = b"".join(packer.compress(bytes(1_000_000)) for _ in range(400)) + packer.flush()

    def plant(pdf: pikepdf.Pdf) -> None:
        stream = pdf.attachments["bomb.bin"].get_file().obj
        stream.write(bomb, filter=pikepdf.Name.FlateDecode)

    data = pdf_with({**manifest(), "bomb.bin": b"x"}, plant)
    tracemalloc.start()
    try:
        assert refused(data) == "attachment-too-large"
        assert tracemalloc.get_traced_memory()[1] < 4 * contents.LARGEST_FILE
    finally:
        tracemalloc.stop()


def test_a_file_packed_many_times_over_is_refused() -> None:
    def pack(pdf: pikepdf.Pdf) -> None:
        stream = pdf.attachments["manifest.json"].get_file().obj
        data = zlib.compress(zlib.compress(b"{}"))
        stream.write(data, filter=pikepdf.Array([pikepdf.Name.FlateDecode] * 2))

    assert refused(pdf_with(manifest(), pack)) == "attachment-encoded"


def test_more_files_than_any_report_has_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(contents, "_MOST_FILES", 3)

    assert refused(pdf_with({**manifest(), **{f"{n}": b"" for n in range(3)}})) == "pdf-too-large"


def test_a_file_larger_than_any_report_is_not_even_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(contents, "LARGEST_PDF", 10)

    assert refused(pdf_with(manifest())) == "pdf-too-large"


def test_a_page_tree_that_runs_in_a_circle_ends() -> None:
    def knot(pdf: pikepdf.Pdf) -> None:
        pdf.Root.Circle = pdf.make_indirect(pikepdf.Dictionary())
        pdf.Root.Circle.Back = pdf.Root.Circle

    assert len(portrait_of(pdf_with(manifest(), knot)).digest) == 64


@given(st.data())
def test_any_damage_is_reported_and_never_a_crash(data: st.DataObject) -> None:
    pdf = bytearray(pdf_with(manifest()))
    for _ in range(data.draw(st.integers(1, 8))):
        pdf[data.draw(st.integers(0, len(pdf) - 1))] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(0, len(pdf)))
    for damaged in (bytes(pdf), bytes(pdf[:cut])):
        for look in (read_back, portrait_of):
            with contextlib.suppress(ReadbackError):
                look(damaged)


@given(
    st.recursive(
        st.none() | st.text() | st.integers() | st.booleans(),
        lambda inner: st.lists(inner) | st.dictionaries(st.sampled_from([*PLAIN, *ABOUT]), inner),
    )
)
def test_no_json_but_a_manifest_is_taken_for_one(value: Any) -> None:
    with pytest.raises(ValueError, match="manifest"):
        Manifest.from_plain(value)
