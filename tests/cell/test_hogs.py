"""Small files that ask for much: each ends soon and small, with a fault at the file to blame.

Computing is counted, not the clock: other work of the machine is not the file's doing.
"""

import struct
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from trimscribe.cell import Limits, SerialWorker
from trimscribe.desk.wish import Done, Wish
from trimscribe.errors import Severity, StoppedError
from trimscribe.resources.worlds import world_of

pytestmark = pytest.mark.processes

JOB = """\
trimscribe: 1
workshop: shop.yaml
service: {number: QH-1, done: 2026-04-01}
wing: {maker: Pomeroy Wings, model: Damson, size: S, serial_number: DM-0001}
"""
SHOP = "trimscribe: 1\nname: Quarry Hill Canopy Works\n"
SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 90">%s</svg>'
STOPPED = {"job-too-slow", "job-too-large"}


def nested(tag: str, attribute: str, deep: int = 12, wide: int = 10) -> str:
    """Each shape draws the one before ten times over."""
    parts = [f'<{tag} id="n0" width="9" height="9"><rect width="9" height="9"/></{tag}>']
    for number in range(1, deep):
        inner = f'<rect width="9" height="9" {attribute}="url(#n{number - 1})"/>' * wide
        parts.append(f'<{tag} id="n{number}" width="9" height="9">{inner}</{tag}>')
    return SVG % f'{"".join(parts)}<rect {attribute}="url(#n{deep - 1})" width="9" height="9"/>'


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def profile_bomb() -> bytes:
    """A picture of one pixel, whose colour profile unpacks to 900 MB of zeros."""
    millions, each = 900, 1_000_000
    packer = zlib.compressobj(9, wbits=-15)
    once = packer.compress(bytes(each)) + packer.flush(zlib.Z_FULL_FLUSH)  # refers to nothing else
    # RFC 1950: a head, and Adler's sum at the end, which zeros alone make their number above one.
    ending = packer.flush() + struct.pack(">HH", millions * each % 65_521, 1)
    packed = b"\x78\xda" + once * millions + ending
    head = struct.pack(">IIBBBBB", 1, 1, 8, 2, 0, 0, 0)
    pixel = zlib.compress(b"\0\xff\xff\xff")
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        [
            chunk(b"IHDR", head),
            chunk(b"iCCP", b"swells\0\0" + packed),
            chunk(b"IDAT", pixel),
            chunk(b"IEND", b""),
        ]
    )


MANY = '<path d="M0 0h9"/>' * 2_000
USES = f'<g id="many">{MANY}</g>' + '<use href="#many"/>' * 2_000
PICTURES: dict[str, bytes] = {
    "pattern": nested("pattern", "fill").encode(),
    "mask": nested("mask", "mask").encode(),
    "clipPath": nested("clipPath", "clip-path").encode(),
    "marker": nested("marker", "marker-end").encode(),
    "use": (SVG % USES).encode(),
    "style": (SVG % f"<style>{'.a .b .c {fill: red} ' * 70_000}</style>").encode(),
    "styled": (
        SVG % f"<style>path {{mask: url(#m)}}</style><mask id='m'>{MANY}</mask>{MANY}"
    ).encode(),
    "profile": profile_bomb(),
}
# In the template of the letter, which each report renders and sets.
JINJA = {
    "loops": "<% for a in range(99999) %><% for b in range(99999) %><% for c in range(99999) %>"
    "<% endfor %><% endfor %><% endfor %>",
    "width": "<< '%3000000000d' | format(1) >>",
    "range": "<% for a in range(2000000000) %><% endfor %>",
    "text": "<< 'a' * 10**10 >>",
    "power": "<< 10 ** (10 ** 10) >>",  # without the signs Jinja takes the left one first
    "join": "<< ('a' * 99999999) | center(9999999999) >>",
}
TYPST = {
    "loops": "#for a in range(99999) { for b in range(99999) { for c in range(99999) {} } }",
    "while": "#{let n = 0; while true { n += 1; if n > 9000 { n = 0 } } }",
    "doubling": '#{let s = "aaaaaaaa"; for n in range(40) { s = s + s }; s.len()}',
    "pages": "#for n in range(20000) [#pagebreak() page #n]",
    "array": "#{let s = (1, 2); for n in range(40) { s = s + s }; s.len()}",
}


Ended = Callable[..., tuple[str, str]]


@pytest.fixture(scope="module")
def cell() -> Iterator[SerialWorker]:
    """One worker that may read what all these tests write; it is replaced when it was stopped."""
    made = SerialWorker(Limits(seconds=8.0, memory_mb=700.0))
    made.warm("trimscribe.desk.work:get_ready")
    yield made
    made.close()


@pytest.fixture
def ended(cell: SerialWorker, folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Ended:
    """Code and place of the first error that a report of the folder's job ends with."""

    def ended(seconds: float = 0.7, theme: str = "") -> tuple[str, str]:
        wish = Wish(str(folder / "job.yaml"), outputs=("pdf",), theme=theme)
        world = [*world_of([wish.job], theme=theme), str(tmp_path_factory.getbasetemp())]
        work = "trimscribe.desk.work:reported"
        try:
            done: Done = cell.call(wish.job, work, wish, reads=world, seconds=seconds)
            faults = done.faults
        except StoppedError as error:
            faults = error.faults
        first = next((fault for fault in faults if fault.severity is Severity.ERROR), None)
        assert first, "it was made"
        return first.code, Path(first.mark.file).name if first.mark else ""

    return ended


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "job.yaml").write_text(JOB)
    (tmp_path / "shop.yaml").write_text(SHOP)
    return tmp_path


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_that_multiplies_is_refused_without_being_drawn(
    folder: Path, ended: Ended, name: str
) -> None:
    ending = "png" if name == "profile" else "svg"
    (folder / f"logo.{ending}").write_bytes(PICTURES[name])
    (folder / "shop.yaml").write_text(f"{SHOP}logo: logo.{ending}\n")

    code, place = ended()

    assert code in {"picture-not-closed", "picture-too-large"}
    assert place in ("shop.yaml", f"logo.{ending}")


@pytest.mark.parametrize("name", JINJA)
def test_a_template_that_never_ends_or_swells_is_stopped(
    folder: Path, ended: Ended, name: str
) -> None:
    code, place = ended(theme=themed(folder, JINJA[name]))

    assert code in {*STOPPED, "template-value", "does-not-set"}
    assert place == "letter.typ.j2"


@pytest.mark.parametrize("name", TYPST)
def test_a_page_that_never_ends_or_swells_is_stopped(folder: Path, ended: Ended, name: str) -> None:
    code, place = ended(theme=themed(folder, TYPST[name]))

    assert code in {*STOPPED, "does-not-set", "too-many-pages"}
    assert place in ("theme.yaml", "letter.typ.j2")


def themed(folder: Path, text: str) -> str:
    """A theme whose letter begins with this."""
    theme = folder / "hog"
    (theme / "templates").mkdir(parents=True)
    (theme / "theme.yaml").write_text("trimscribe: 1\nname: hog\nextends: base\n")
    (theme / "templates" / "letter.typ.j2").write_text(f'#import "kit.typ": *\n{text}\n')
    return str(theme)


def test_a_rule_of_the_shop_file_that_swells_is_stopped_and_the_shop_file_named(
    folder: Path, ended: Ended
) -> None:
    text = "{{ ('a' * 99999999) | upper | reverse | list }}"
    rule = f'rules:\n  r: {{place: found, when: "true", text: "{text}"}}\n'
    (folder / "shop.yaml").write_text(f"{SHOP}{rule}")

    code, place = ended()

    assert code in STOPPED
    assert place == "shop.yaml"


def test_a_job_of_a_hundred_thousand_unknown_keys_is_reported_soon(
    folder: Path, ended: Ended
) -> None:
    keys = "".join(f"serviec{number}: 1\n" for number in range(110_000))
    (folder / "job.yaml").write_text(JOB + keys)

    code, place = ended(seconds=8.0)

    assert (code, place) == ("unknown-key", "job.yaml")


def test_a_job_that_takes_minutes_to_set_is_stopped_and_named(folder: Path, ended: Ended) -> None:
    notes = "\n".join(f"  - {'word ' * 380}" for _ in range(1_000))
    (folder / "job.yaml").write_text(f"{JOB}notes:\n{notes}\n")

    code, place = ended()

    assert place == "job.yaml"
    assert code
