"""Columns and blocks that claim the same lines: never chosen between without a person."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import permutations
from typing import TYPE_CHECKING, Any

from trimscribe.exports.guessing.questions import counted, joined
from trimscribe.exports.guessing.sources import FACTORS, NumberColumn

if TYPE_CHECKING:
    from trimscribe.exports.guessing.understand import Understood

_ROUNDS = 12
_LEAVE = "-"
_MIDDLES = ("mean", "median")


def resolve_collisions(result: "Understood", measuring: str, *, specified: bool) -> None:
    """Ask until every length has one line, one side and one time; open questions end it."""
    if specified:
        _both_sides(result)
        result.sources = [_set(source, side="left", when="before") for source in result.sources]
    for _ in range(_ROUNDS):
        open_before = len(result.asked.open)
        if not (_columns(result) or _tables(result) or _sides(result) or _times(result, measuring)):
            return
        if len(result.asked.open) > open_before:
            return


def _both_sides(result: "Understood") -> None:
    """A maker's table that has both sides: a line set has one length for both."""
    lengths: dict[tuple[str, int], dict[str, float]] = defaultdict(dict)
    for source in result.sources:
        for one in source.entries:
            lengths[one.said.row, one.said.point][one.said.side] = one.value
    both = {
        line: (sides["left"], sides["right"])
        for line, sides in lengths.items()
        if {"left", "right"} <= sides.keys()
    }
    differing = [line for line, (left, right) in both.items() if left != right]
    if both and not differing:
        result.readings = "last"
        result.notes.append("Left and right are there with the same lengths.")
    if not differing:
        return
    (row, point), (left, right) = differing[0], both[differing[0]]
    result.readings = result.asked.ask(
        "readings",
        f"{counted(len(differing), 'line has', 'lines have')} another length on the left than on "
        f"the right, such as {row}{point} with {left:g} and {right:g}: what holds? A line set has "
        "one for both.",
        {"mean": "their mean", "last": "the last of them"},
    )


def _set(source: NumberColumn, **parts: str) -> NumberColumn:
    """The column with what was answered, where it does not say that itself."""

    def filled(said: Any) -> Any:
        return replace(said, **{k: v for k, v in parts.items() if v and not getattr(said, k)})

    entries = tuple(replace(one, said=filled(one.said)) for one in source.entries)
    return replace(source, said=filled(source.said), entries=entries)


def _collide(one: NumberColumn, other: NumberColumn) -> bool:
    """Whether two columns may be about the same measuring of the same line."""
    lines: dict[tuple[str, int], list[tuple[str, str]]] = defaultdict(list)
    for when, side, row, point in {entry.said.key for entry in one.entries}:
        lines[row, point].append((when, side))
    return any(
        (not when or not w or w == when) and (not side or not s or s == side)
        for when, side, row, point in {entry.said.key for entry in other.entries}
        for w, s in lines.get((row, point), ())
    )


def _readings(one: NumberColumn, other: NumberColumn, result: "Understood") -> bool:
    return bool(result.readings) and one.said.role == other.said.role == "reading"


def _by_table(result: "Understood") -> Mapping[int, list[NumberColumn]]:
    by_table: dict[int, list[NumberColumn]] = defaultdict(list)
    for source in result.sources:
        by_table[source.table].append(source)
    return by_table


def _columns(result: "Understood") -> bool:
    """Two columns of one table for the same lines."""
    for table, sources in _by_table(result).items():
        groups = _connected(sources, lambda a, b: _collide(a, b) and not _readings(a, b, result))
        groups = [group for group in groups if len(group) > 1]
        if not groups:
            continue
        if unclear := _unclear(groups[0]):
            answer = result.asked.ask(
                "column",
                f"{result.tables[table].place}: what is {unclear.called}? It holds lengths of the "
                "same lines as others, and nothing says of which side or when.",
                {"none": "leave it out", "only": "lay in this one, and leave out the others"},
            )
            if answer:
                others = [one for one in groups[0] if one is not unclear]
                _apply(result, dict.fromkeys(map(id, [unclear] if answer == "none" else others)))
            return True
        size = len(groups[0])
        alike = [group for group in groups if len(group) == size]
        names = [source.called for source in alike[0]]
        place = result.tables[table].place
        choices = _choices(alike[0], "column")
        if result.specified:  # of several sizes or revisions no mean is a length of any wing
            choices = {k: v for k, v in choices.items() if k not in _MIDDLES}
        equal = all(len({tuple(s.keyed().items()) for s in group}) == 1 for group in alike)
        if equal:
            result.notes.append(f"{place}: {' and '.join(names)} are equal; the first is taken.")
            answer = "1"
        else:
            every, hint = " all" * (size > 2), ""
            if choices.keys() & set(_MIDDLES):
                hint = (
                    f" They are up to {_apart(alike) * FACTORS[result.unit or 'mm']:.0f} mm apart. "
                    "Numbers of two sides or measurings are no readings: have the headings tell "
                    "them apart."
                )
            answer = result.asked.ask(
                "columns",
                f"{place}: {joined(names)}{every} hold lengths of the same lines. What are they?"
                f"{hint}",
                choices,
            )
        if not answer:
            return True
        if answer in _MIDDLES:
            result.readings = answer
            merged = {id(s) for group in alike for s in group}
            result.sources = [
                replace(s, said=replace(s.said, role="reading")) if id(s) in merged else s
                for s in result.sources
            ]
            return True
        _apply(result, _all_answered(zip(*alike, strict=True), answer))
        return True
    return False


def _apart(groups: Sequence[Sequence[NumberColumn]]) -> float:
    """How far the numbers of one line are apart at most, in the file's unit."""
    found: dict[tuple[int, object], list[float]] = defaultdict(list)
    for at, group in enumerate(groups):
        for one in (entry for source in group for entry in source.entries):
            found[at, one.said.key[1:]].append(one.value)
    return max(max(values) - min(values) for values in found.values())


def _unclear(group: Sequence[NumberColumn]) -> NumberColumn | None:
    """The one column that says neither side nor time, where the others do not collide."""
    for one in group:
        others = [other for other in group if other is not one]
        if len(others) > 1 and not any(
            _collide(a, b) for n, a in enumerate(others) for b in others[n + 1 :]
        ):
            return one
    return None


def _tables(result: "Understood") -> bool:
    """Two tables for the same lines."""
    by_table = _by_table(result)
    numbers = list(by_table)
    groups = _connected(
        numbers, lambda a, b: any(_collide(x, y) for x in by_table[a] for y in by_table[b])
    )
    for group in groups:
        if len(group) < 2:
            continue
        firsts = [by_table[number][0] for number in group]
        names = [result.tables[number].place for number in group]
        columns = [result.tables[n].block.columns for n in group]
        if len(set(names)) < len(names):
            names = [
                f"{name} (columns {c[0]} to {c[-1]})"
                for name, c in zip(names, columns, strict=True)
            ]
        no_side = any(not e.said.side for n in group for s in by_table[n] for e in s.entries)
        no_when = any(not e.said.when for n in group for s in by_table[n] for e in s.entries)
        kind = "blocks" if no_side else "measurings" if no_when else "tables"
        answer = result.asked.ask(
            kind,
            f"{joined(names)} hold lengths of the same lines. What are they?",
            _choices(firsts, "table", no_side=no_side, no_when=no_when),
        )
        if not answer:
            return True
        _apply(result, _all_answered((by_table[number] for number in group), answer))
        return True
    return False


def _apply(result: "Understood", changed: Mapping[int, NumberColumn | None]) -> None:
    """Take what was answered; what is not taken is passed over, and said."""
    kept: list[NumberColumn] = []
    for source in result.sources:
        new = changed.get(id(source), source)
        if new is None:
            result.passed.append(replace(source, role="not chosen", why="left out, as answered"))
        else:
            kept.append(new)
    result.sources = kept


def _all_answered(
    places: Iterable[Iterable[NumberColumn]], answer: str
) -> dict[int, NumberColumn | None]:
    return {
        id(source): _one_answered(source, place, answer)
        for place, sources in enumerate(places)
        for source in sources
    }


def _one_answered(source: NumberColumn, place: int, answer: str) -> NumberColumn | None:
    if answer.isdecimal():
        return source if place == int(answer) - 1 else None
    word = answer.split(",")[place]
    if word == _LEAVE:
        return None
    return _set(source, **({"side": word} if word in ("left", "right") else {"when": word}))


def _choices(
    group: Sequence[NumberColumn],
    what: str,
    *,
    no_side: bool | None = None,
    no_when: bool | None = None,
) -> dict[str, str]:
    """Every way in which two can differ, and taking just one of them."""
    if no_side is None or no_when is None:
        no_side = any(not e.said.side for s in group for e in s.entries)
        no_when = any(not e.said.when for s in group for e in s.entries)
    found: dict[str, str] = {}
    if len(group) == 2:
        for wanted, words in ((no_side, ("left", "right")), (no_when, ("before", "after"))):
            for first, second in permutations(words) if wanted else ():
                if not all(map(_may_be, group, (first, second))):
                    continue
                found[f"{first},{second}"] = f"the first is {first}, the second {second}"
    if what == "column" and (not no_side or len(group) > 2):
        for middle in _MIDDLES[: len(group) - 1]:  # of two both are the same
            found[middle] = f"readings of the same lines: their {middle} is imported"
    for number in range(1, len(group) + 1):
        name = f"{what} {number}" if what == "table" else group[number - 1].called
        found[str(number)] = f"only {name} is imported"
    return found


def _may_be(source: NumberColumn, word: str) -> bool:
    """Whether an answer goes with what a column says of its lines itself."""
    part = "side" if word in ("left", "right") else "when"
    return all(getattr(e.said, part) in ("", word) for e in source.entries)


def _sides(result: "Understood") -> bool:
    """Lengths of which nothing says the side."""
    without = [s for s in result.sources if any(not e.said.side for e in s.entries)]
    if not without:
        return False
    answer = result.asked.ask(
        "side",
        f"Nothing says of which side the lengths in {_joined_short(without)} are.",
        {"left": "the pilot's left", "right": "the pilot's right"},
    )
    if answer:
        result.sources = [_set(source, side=answer) for source in result.sources]
    return True


def _times(result: "Understood", measuring: str) -> bool:
    """Lengths of which nothing says whether they are from before or after the work."""
    without = [s for s in result.sources if any(not e.said.when for e in s.entries)]
    if not without:
        return False
    answer = measuring or result.asked.ask(
        "when",
        f"Nothing says whether {_joined_short(without)} were measured before or after the work.",
        {"before": "as the wing came in", "after": "as the wing left"},
    )
    if answer:
        result.when = answer
        result.sources = [
            replace(_set(source, when=answer), when_answered=source in without)
            for source in result.sources
        ]
    return True


def _joined_short(sources: Sequence[NumberColumn]) -> str:
    names = [source.called for source in sources[:3]]
    more = len(sources) - len(names)
    text = joined(names)
    return f"{text} and {more} more" if more else text


def _connected(items: Sequence[Any], meet: Callable[[Any, Any], bool]) -> list[list[Any]]:
    """Items in groups of those that meet, directly or through others."""
    groups: list[list[Any]] = []
    for item in items:
        met = [group for group in groups if any(meet(other, item) for other in group)]
        groups = [group for group in groups if group not in met]
        groups.append([*(one for group in met for one in group), item])
    places = {id(item): place for place, item in enumerate(items)}
    return [sorted(group, key=lambda one: places[id(one)]) for group in groups]
