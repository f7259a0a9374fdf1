"""Every code that a picture or other named resource can carry, beside those of all input files."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "file-hidden": "A named file, or a folder on the way to it, begins with a dot.",
    "file-outside": "A named file does not lie below the folder that it may lie in.",
    "file-wrong-type": "A named file has an ending that does not belong there.",
    "picture-broken": "A picture is not what its ending says, or cannot be read.",
    "picture-not-closed": "A picture runs code, loads other files, or could grow without end.",
    "picture-not-outlined": "A picture holds text, whose font the report does not have.",
    "picture-too-large": "A picture has more pixels or shapes than any logo needs.",
}
