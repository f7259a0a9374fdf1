"""The workshop: who speaks in a report, and how its reports look and are written."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from trimscribe.errors import Mark
from trimscribe.model.statements import Place, Weight

SHOP_FILE = "shop.yaml"  # a job without its own takes the nearest, beside it or above

# As the choice reads, and as CLDR writes it. Slashes are left out: nobody can tell 3/4 from 4/3.
DATE_FORMATS: Mapping[str, str] = {
    "D Month YYYY": "d MMMM y",
    "Month D, YYYY": "MMMM d, y",
    "DD.MM.YYYY": "dd.MM.y",
    "YYYY-MM-DD": "y-MM-dd",
}
# As the choice reads: the sign that groups thousands, and the one before decimals.
NUMBER_FORMATS: Mapping[str, tuple[str, str]] = {
    "1,234.5": (",", "."),
    "1.234,5": (".", ","),
    "1 234,5": ("\u202f", ","),
    "1'234.5": ("’", "."),
}
# km/h in one of each: the mile is 1.609344 km (international yard and pound, 1959), the nautical
# mile 1.852 km (SI brochure, 9th edition).
SPEED_UNITS: Mapping[str, float] = {"km/h": 1.0, "mph": 1.609344, "kn": 1.852}


def names_folder(theme: str) -> bool:
    """Whether a theme is written as a folder (`./coast`, `themes/coast`); else it is a name.

    The disk is not asked: where somebody is never decides which theme a name means.
    """
    return theme.startswith(".") or "/" in theme or "\\" in theme


@dataclass(frozen=True)
class InputFile:
    """A file as it was read, for the record: name as typed, bytes, media type."""

    name: str
    data: bytes
    media_type: str


@dataclass(frozen=True)
class Person:
    """Who did or signed the work."""

    name: str
    qualification: str = ""


@dataclass(frozen=True)
class OwnRule:
    """A sentence of the workshop's own: where it is said, when, and in which words.

    `when` is a condition over the facts; an empty one always holds. A caution has a `title`.
    """

    name: str
    place: Place
    text: str
    when: str = ""
    title: str = ""
    weight: Weight = Weight.PLAIN


@dataclass(frozen=True)
class Writing:
    """How it writes, as keys of the three tables above; empty is what the language does."""

    date_format: str = ""
    number_format: str = ""
    speed_unit: str = ""

    @property
    def dates(self) -> str:
        """The pattern of dates as CLDR writes it, or empty."""
        return DATE_FORMATS.get(self.date_format, "")

    @property
    def symbols(self) -> tuple[str, str] | None:
        """The separators of thousands and decimals, or None."""
        return NUMBER_FORMATS.get(self.number_format)

    @property
    def speeds(self) -> str:
        """The unit of speeds."""
        return self.speed_unit or "km/h"

    def speed(self, km_h: float) -> float:
        """A speed in km/h as one in this unit."""
        return km_h / SPEED_UNITS[self.speeds]


AS_THE_LANGUAGE = Writing()


@dataclass(frozen=True)
class Workshop:
    """Who speaks in the report. Where `accent`, `paper`, … are empty, theme and language decide.

    `add_sections` are parts of the report that it adds to its theme's: name, and the one that it
    follows. `fonts` is a folder with the family `font`. `signature` shows the hand of `signatory`
    and nobody else's.
    """

    name: str
    address: tuple[str, ...] = ()
    contact: tuple[str, ...] = ()
    registration: str = ""
    logo: InputFile | None = None
    accent: str = ""
    neutral: str = ""
    font: str = ""
    fonts: Path | None = None
    paper: str = ""
    language: str = ""
    writing: Writing = AS_THE_LANGUAGE
    theme: str = ""
    cautions: tuple[str, ...] = ()
    footer: str = ""
    terms: str = ""
    add_sections: tuple[tuple[str, str], ...] = ()
    rules: tuple[OwnRule, ...] = ()
    signatory: Person | None = None
    signature: InputFile | None = None

    @property
    def pictures(self) -> Mapping[str, tuple[str, bytes]]:
        """The pictures by role, `logo` and `signature`: path within a document, and bytes.

        Only a path's ending comes from the person's name for the picture.
        """
        named = {"logo": self.logo, "signature": self.signature}
        return {
            role: (f"pictures/{role}{PurePosixPath(file.name).suffix.lower()}", file.data)
            for role, file in named.items()
            if file
        }


@dataclass(frozen=True)
class Setting:
    """One part of a report's look, and who set it.

    `source` is job, shop, theme, parent, base or language; `theme` the theme by name if one.
    """

    name: str
    value: str
    source: str
    theme: str = ""
    mark: Mark | None = None
