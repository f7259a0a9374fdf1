"""Colours of a finished PDF, written so that PDFium reads them quickly.

Typst describes its colours by a profile of sRGB and one of grey. What PDFium works out of a profile
takes it as long as reading three pages, and comes to the plain colours.
"""

import hashlib
import re
import zlib

_COLOUR_SPACE = re.compile(rb" obj\n\[/ICCBased (\d+) 0 R\]\nendobj")
_STREAM = rb"\n%s 0 obj\n<</Length (\d+)[^>]*/FlateDecode>>\nstream\n"
_PLAINLY = {  # by the SHA-256 of the profile
    "c56e1685d888f5edb92fe07f2750f387f8fe8e91b32ff8fb0b56bfbbb9458353": b"/DeviceRGB",
    "00c0f94e09127520a17dc0e1d9264b5702081d96dbdb1549ee88e3631ce42a9d": b"/DeviceGray",
}


def with_plain_colours(data: bytes) -> bytes:
    """The same PDF, with every place where it was, but without Typst's profiles of sRGB and grey.

    Other profiles, which pictures bring along, stay.
    """

    def plainly(found: re.Match[bytes]) -> bytes:
        stream = re.search(_STREAM % found[1], data)
        if stream is None:
            return found[0]
        profile = zlib.decompress(data[stream.end() :][: int(stream[1])])
        plain = _PLAINLY.get(hashlib.sha256(profile).hexdigest())
        return (b" obj\n%s\nendobj" % plain).ljust(len(found[0])) if plain else found[0]

    return _COLOUR_SPACE.sub(plainly, data)
