"""What a worker does of a signature: all that reads and writes the PDF, and nothing with a key."""

from functools import cache

from trimscribe.readback import portrait_of, read_back
from trimscribe.registry import Registry
from trimscribe.sign.codes import refusal
from trimscribe.sign.room import SignRequest, SignRoom
from trimscribe.sign.stamp import HEIGHT_PT, stamp, words
from trimscribe.sign.write import append_room, line_width


def prepared(asked: SignRequest) -> SignRoom:
    """Put the visible line and an empty signature behind a report.

    Raises SignError, ReadbackError, ThemeError or TypesetError.
    """
    contents = read_back(asked.report)
    seen = portrait_of(asked.report)
    if seen.signed:
        raise refusal("already-signed")
    line = words(contents, _installed(), asked.holder, asked.day)
    width, look = line_width(asked.report), asked.theme or contents.manifest.theme
    picture = stamp(contents, _installed(), line, width, asked.day, look)
    room = append_room(asked.report, picture, line, HEIGHT_PT, asked.certificate, asked.reserved)
    return SignRoom(room, len(seen.boxes))


@cache
def _installed() -> Registry:
    return Registry.installed()
