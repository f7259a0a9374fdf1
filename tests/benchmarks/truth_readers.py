"""How a claim is found in the words of a sentence; each reader fails where the words are gone.

Ways: up and down (nose), left and right (pull), long and short, more and less (free travel), faster
and slower, within and outside, none (no effect, no change), open (said not to be settled), some (a
difference without a direction).
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

__all__ = [
    "CHANGE",
    "FOUND",
    "NOW",
    "Claim",
    "NotReadable",
    "Reader",
    "all_of",
    "brake_change",
    "brakes_are",
    "brakes_level",
    "brakes_tight",
    "chart_angle",
    "close_to_limit",
    "close_too",
    "doubted",
    "fixed",
    "in_doubt",
    "may_say",
    "not_planned",
    "not_together",
    "outside_count",
    "outside_names",
    "planned",
    "reported_as_done",
    "says",
    "turns_now",
    "uneven",
    "unless",
]

FOUND, NOW, CHANGE = "found", "now", "change"


class NotReadable(Exception):  # noqa: N818 - no error of the program: the trial cannot judge
    """A sentence that this table does not understand."""


@dataclass(frozen=True)
class Claim:
    """What a sentence asserts. `count` and `names` where it counts or names lines."""

    subject: str
    moment: str
    way: str
    count: int | None = None
    names: tuple[str, ...] = ()
    limit_mm: float | None = None


Reader = Callable[[str], list[Claim]]

_NUMBERS = [
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
]


def number(text: str) -> int:
    """A count as it is written: in words up to twelve, in digits beyond."""
    word = text.lower().replace(",", "").replace(".", "")
    return _NUMBERS.index(word) if word in _NUMBERS else int(word)


def says(subject: str, moment: str, **ways: str) -> Reader:
    """One claim: the only way whose pattern is in the text."""

    def read(text: str) -> list[Claim]:
        found = [way for way, pattern in ways.items() if re.search(pattern, text)]
        if len(found) != 1:
            raise NotReadable(f"{subject} {moment}: {found or 'no'} way of {sorted(ways)}")
        return [Claim(subject, moment, found[0].removesuffix("_"))]

    return read


def may_say(subject: str, moment: str, **ways: str) -> Reader:
    """The same, where the sentence may leave it out."""
    must = says(subject, moment, **ways)

    def read(text: str) -> list[Claim]:
        return must(text) if any(re.search(p, text) for p in ways.values()) else []

    return read


def unless(pattern: str, reader: Reader) -> Reader:
    """No claim where these words are there, as of sides that are left open."""
    return lambda text: [] if re.search(pattern, text) else reader(text)


def all_of(*readers: Reader) -> Reader:
    """Several claims of one sentence."""
    return lambda text: [claim for reader in readers for claim in reader(text)]


def fixed(subject: str, moment: str, way: str, pattern: str) -> Reader:
    """A claim that has one way only; its words must be there."""
    return says(subject, moment, **{way: pattern})


def outside_count(moment: str) -> Reader:
    def read(text: str) -> list[Claim]:
        if re.search(r"[Ll]eft and right .*differ", text):
            return [Claim("sides", moment, "outside")]
        found = re.search(r"\b(\w+)(?: of \w+)? lines?\b[^.]*\boutside", text) or re.search(
            r"Of (?:all|the) \w+(?: that are not in doubt)?, (\w+) (?:is|are) outside", text
        )
        if not found:
            raise NotReadable("how many lines are outside")
        return [Claim("lines", moment, "outside", count=number(found[1]))]

    return read


def in_doubt(text: str) -> list[Claim]:
    """What a headline that starts with lines in doubt says of the others; it may say nothing."""
    if "in doubt" not in text:
        raise NotReadable("nothing is in doubt")
    claims = close_too(NOW)(text)
    if found := re.search(r", (\w+) (?:is|are) outside limits", text):
        claims.append(Claim("lines", NOW, "outside", count=number(found[1])))
    elif "left and right differ" in text:
        claims.append(Claim("sides", NOW, "outside"))
    elif "within limits" in text:
        claims.append(Claim("lines", NOW, "within"))
    return claims


def close_too(moment: str) -> Reader:
    """How many lines are said to be too close to their limit, where any are."""

    def read(text: str) -> list[Claim]:
        found = re.search(
            r"\b(\w+) (?:more )?(?:was|were|is|are) too close to be sure|but for (\w+) too close"
            r"|\b(\w+) lines? (?:was|were|is|are) too close",
            text,
        )
        if not found:
            return []
        return [Claim("close", moment, "close", count=number(next(filter(None, found.groups()))))]

    return read


def uneven(text: str) -> list[Claim]:
    """`17 mm shorter than specified, but unevenly: most of all row B, 5 mm shorter than that`.

    Where no row lies clearly furthest off it ends after `unevenly`; where left and right may have
    been mixed up, it is a row `on one side`, which is no claim of one.
    """
    found = re.search(
        r"[\d.,]+ mm (longer|shorter) than specified, but (?:unevenly|others differed)"
        r"(?:\.|: most of all row (\w)"
        r"( on the left| on the right| on one side|), [\d.,]+ mm (longer|shorter) than that)",
        text,
    )
    if not found:
        raise NotReadable("that lines lie unevenly")
    way = {"longer": "long", "shorter": "short"}
    claims = [Claim("level", FOUND, way[found[1]])]
    if found[2] and found[3] != " on one side":
        names = (f"{found[2]}{found[3]}",)
        claims.append(Claim("row apart", FOUND, way[found[4]], names=names))
    return claims


def outside_names(text: str) -> list[Claim]:
    if re.search(r"Left and right differ", text):
        return [Claim("sides", NOW, "outside")]
    found = re.search(
        r"utside limits(, sides as entered)?: (.*?)\.(?: [^.]* between left and right by more than"
        r" the limit\.)? As measured, the wing is not",
        text,
    )
    if not found:
        raise NotReadable("which lines are outside")
    names = () if found[1] else names_of(found[2])
    return [Claim("lines", NOW, "outside", names=names, count=count_of(found[2]))]


_LINE = re.compile(r"\b([A-Ea-e]\d+) (left|right)\b")


def names_of(listed: str) -> tuple[str, ...]:
    """Lines with their side, such as `A3 left`, of a list in running text."""
    return tuple(f"{name} {side}" for name, side in _LINE.findall(listed))


def count_of(listed: str) -> int:
    """How many lines a list names, those included that it only counts."""
    more = re.search(r"\b(\w+) more\b", listed)
    return len(names_of(listed)) + (number(more[1]) if more else 0)


_OPEN = re.compile(r"\b[Oo]ne brake\b")  # which one is not said


def brakes_are(moment: str) -> Reader:
    """`The left brake was a little long`, `both brakes are short`, `…, the right one short`.

    Without a moment it is as the wing came where the sentence says so, else now.
    """

    def read(text: str) -> list[Claim]:
        when = moment or (FOUND if "As it came" in text else NOW)
        words = {"long": "more", "short": "less"}
        alone = " by lines" if "the lines alone" in text else ""
        claims = [
            Claim(f"brake {side}{alone}", when, words[way])
            for side, way in re.findall(
                r"[Tt]he (left|right) (?:brake|one)(?: (?:was|is))? (?:a little )?(long|short)\b",
                text,
            )
        ]
        if both := re.search(r"[Bb]oth brakes (?:were|are) (?:a little )?(long|short)\b", text):
            claims += [Claim(f"brake {s}{alone}", when, words[both[1]]) for s in ("left", "right")]
        if not claims and not _OPEN.search(text):
            raise NotReadable("which brake is long or short")
        return claims

    return read


def brakes_tight(text: str) -> list[Claim]:
    sides = re.findall(r"[Tt]he (left|right) brake", text)
    if re.search("[Bb]oth brakes", text):
        sides = ["left", "right"]
    if not (sides or _OPEN.search(text)) or not re.search(r"free travel|less free travel", text):
        raise NotReadable("which brake has too little travel")
    way = "perhaps little" if "may have" in text else "little"
    return [Claim(f"brake travel {side}", NOW, way) for side in sides]


def brakes_level(moment: str) -> Reader:
    """`left brake 22 mm longer, right brake not clearly longer or shorter`, or neither of them."""

    def read(text: str) -> list[Claim]:
        uneven = re.search(
            r"other the (left|right) brake (?:is|was) about [\d.,]+ mm (longer|sh)", text
        )
        claims = []
        alone = " by lines" if "the lines alone" in text else ""
        if uneven:  # the longer one
            other = {"left": "right", "right": "left"}[uneven[1]]
            longer = uneven[1] if uneven[2] == "longer" else other
            claims.append(Claim("brakes uneven", moment, longer))
        if "neither brake clearly" in text:
            return claims + [
                Claim(f"printed brake {s}{alone}", moment, "level") for s in ("left", "right")
            ]
        for side in ("left", "right"):
            found = re.search(
                rf"{side} brake (?:[\d.,]+ mm (longer|shorter)|(not clearly longer))", text
            )
            if not found:
                raise NotReadable(f"the {side} brake against the line set")
            way = {"longer": "more", "shorter": "less"}.get(found[1] or "", "level")
            claims.append(Claim(f"printed brake {side}{alone}", moment, way))
        return claims

    return read


def brake_change(way: str, pattern: str) -> Reader:
    """Each brake that is named, as the only one, as one of both, or as the other."""

    def read(text: str) -> list[Claim]:
        found = re.search(pattern, text)
        if not found:
            raise NotReadable(f"brakes {way}")
        if found.groups() and found[1] in ("left", "right"):
            return [Claim(f"brake {found[1]}", CHANGE, way)]
        if "Both brakes" in text:
            return [Claim(f"brake {side}", CHANGE, way) for side in ("left", "right")]
        if _OPEN.search(text):
            return []
        side = re.search(r"The (left|right) brake", text)
        if not side:
            raise NotReadable("which brake changed")
        return [Claim(f"brake {side[1]}", CHANGE, way)]

    return read


def turns_now(text: str) -> list[Claim]:
    found = re.search(r"pull to the (left|right)", text)
    if not found:
        raise NotReadable("to which side it pulls")
    claims = [Claim("turn", NOW, found[1])]
    if "less than before" in text:
        claims.append(Claim("turn size", CHANGE, "less"))
    return claims


def chart_angle(text: str) -> list[Claim]:
    near = r"within [\d.]+° of (?:the maker's angle|it)"
    both = re.search(
        rf"[Aa]s it came(?:, by [^,]*,)? the wing was (?:[\d.]+° nose (up|down)|({near}))"
        rf".*and now it is(?:, by [^,]*,)? (?:[\d.]+° nose (up|down)|({near}))",
        text,
    )
    if both:
        return [
            Claim("pitch shown", FOUND, both[1] or "open"),
            Claim("pitch shown", NOW, both[3] or "open"),
        ]
    one = re.search(r"[Tt]he wing was [\d.]+° nose (up|down)", text)
    if one:
        return [Claim("pitch shown", FOUND, one[1])]
    if re.search(near, text):
        return [Claim("pitch shown", FOUND, "open")]
    raise NotReadable("the angle of the chart")


def planned(text: str) -> list[Claim]:
    limit = re.search(r"within ([\d.]+) mm of the plan\b", text)
    if not limit:
        raise NotReadable("within how much of the plan")
    some = re.search(r"^(\w+) adjusted lines?\b", text)
    part = some is not None and some[1] != "The"
    return [
        Claim(
            "work", CHANGE, "as planned",
            count=number(some[1]) if some and part else None,
            limit_mm=float(limit[1]),
        )
    ]  # fmt: skip


def reported_as_done(text: str) -> list[Claim]:
    """How many lines were let out, and how many shortened."""
    claims = [
        Claim(f"lines {way}", CHANGE, "some", count=number(found[1]))
        for way, pattern in (
            ("let out", r"let out (\w+)(?: main)? lines?\b"),
            ("shortened", r"shortened (\w+)(?:(?: main)? lines?)?\b"),
        )
        if (found := re.search(pattern, text))
    ]
    if not claims:
        raise NotReadable("how many lines were let out or shortened")
    return claims


def not_planned(text: str) -> list[Claim]:
    found = re.search(
        r"Measured unlike the plan(?:, (?:by more than|or unlike) [^:]*)?: (.*?)\."
        r"|change of (.*?) is not the planned"
        r"|(?:its plan|their plans), (.*?) (?:measured unlike|did not measure like)",
        text,
    )
    if not found:
        raise NotReadable("what did not move as planned")
    return [Claim("work", CHANGE, "not as planned")]


def not_together(text: str) -> list[Claim]:
    found = re.search(
        r"adjusted lines together are [\d.,]+ mm (longer|shorter) than planned"
        r"|moved [\d.,]+ mm (less|more) than planned",
        text,
    )
    if not found:
        raise NotReadable("how all adjusted lines came out")
    ways = {"longer": "long", "shorter": "short"}
    return [Claim("work together", CHANGE, ways.get(found[1]) or found[2])]


def doubted(text: str) -> list[Claim]:
    if not re.search(r"\blooks? wrong\b|Unusual and not|mixed up|no work that was", text):
        raise NotReadable("what is doubted")
    return [Claim("doubt", NOW, "doubted")]


def close_to_limit(text: str) -> list[Claim]:
    found = re.search(r"\b(\w+) lines? (?:is|are) too near", text)
    if not found:
        raise NotReadable("how many lines are close")
    return [Claim("close", NOW, "close", count=number(found[1]))]
