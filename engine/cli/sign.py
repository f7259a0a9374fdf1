"""A report signed on the command line."""

import contextlib
import importlib.util
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from trimscribe.archive import put
from trimscribe.archive.faults import hinted
from trimscribe.cell import in_cell
from trimscribe.cli.output import Exit, clean, print_result
from trimscribe.errors import ArchiveError, Mark, ReadbackError
from trimscribe.resources.file_access import pdf_bytes
from trimscribe.resources.worlds import world_of
from trimscribe.sign.codes import refusal
from trimscribe.sign.keys import from_file, from_token
from trimscribe.sign.report import SignRequest, SignRoom, sign


def look_for(report: str, key: str) -> None:
    """Raise ReadbackError or SignError for files that are not there, before anybody is asked."""
    if not os.path.isfile(report):
        raise ReadbackError.of("not-read", "There is no such report.", Mark(report))
    if key and not os.path.isfile(key):  # nor is a pipe one, which would never end
        raise refusal("key-not-found")


def sign_report(report: str, secret: str, options: Mapping[str, str]) -> int:
    """Sign one report and put it beside itself or where `out` says, never over another file."""
    if importlib.util.find_spec("pyhanko") is None:
        raise refusal("extra-missing")
    path = Path(report)
    target = Path(options["out"]) if options["out"] else path.with_stem(f"{path.stem}-signed")
    data = pdf_bytes(path)
    if data is None:
        raise ReadbackError.of("not-read", "The report cannot be read.", Mark(path.as_posix()))

    def prepare(asked: SignRequest) -> SignRoom:
        done: SignRoom = in_cell(
            path.as_posix(),
            "trimscribe.sign.prepare:prepared",
            asked,
            reads=world_of([], theme=options["theme"]),
        )
        return done

    with _signer(secret, options) as signer:
        signed = sign(
            data, signer, service_url=options["time_stamp"], theme=options["theme"], prepare=prepare
        )
    try:
        record = put(signed, target)
    except ArchiveError as error:  # there is no --force here, which the hint of others names
        there = error.faults[0].code == "report-exists"
        raise (hinted(error, "Name another file with --out.") if there else error) from None
    print_result(clean(record.path.as_posix()))
    return Exit.DONE


@contextlib.contextmanager
def _signer(secret: str, options: Mapping[str, str]) -> Iterator[Any]:
    if options["key"]:
        yield from_file(Path(options["key"]), secret)
        return
    token, certificate = options["token"], options["certificate"]
    with from_token(Path(options["library"]), token, certificate, secret) as signer:
        yield signer
