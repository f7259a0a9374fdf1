"""Do the measured lengths fit the specification? Each check adds to a `FaultList`."""

import re
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from trimscribe.errors import Mark, suggest
from trimscribe.model.wing import BRAKE_MAIN, LineKey, Point, Side
from trimscribe.schemas.faults import FaultList, ValidValues
from trimscribe.validation.lengths import Length, check_slips
from trimscribe.validation.line_set import specified


def check_measurement(
    measuring: ValidValues,
    lengths: Mapping[LineKey, Length],
    specification: ValidValues | None,
    load_ratio: float,
    faults: FaultList,
    earlier: Collection[LineKey] | None = (),
) -> None:
    """All checks of one measuring, before or after; None = the job names no specification.

    Lengths measured under loads that differ by more than `load_ratio` do not compare. Gaps of lines
    that an `earlier` measuring has are left to the analysis: they may be carried over. None = gaps
    say nothing, since something was refused that may be in them.
    """
    if specification is None:
        if lengths:
            faults.error(
                "measurement-without-specification",
                f"`{measuring.shown()}` has lengths, but the job has no specification.",
                measuring.key(),
                "Name the maker's line set under `specification`.",
            )
        return
    _check_risers(measuring, specification, faults)
    groups = specified(specification)
    if not specification.part("rows") or not lengths:
        return
    rows: dict[tuple[Side, str], dict[int, Length]] = defaultdict(dict)
    for (side, point), length in lengths.items():
        rows[side, point.group][point.number] = length
    # A file may have lines for rows that nobody measured.
    reported = {
        key: row
        for key, row in rows.items()
        if measuring.has(*key)
        or any(one.value is not None or faults.taken(one.mark) for one in row.values())
    }
    for (side, group), row in reported.items():
        _Row(measuring, side, group, row, faults).check(groups)
    if earlier is not None:
        for side in Side:
            _check_gaps(measuring, side, reported, groups, faults, earlier)
    _check_tension(measuring, specification, load_ratio, faults)
    # Where a row has too many lengths, nobody can say which is which.
    counted = {key: row for key, row in reported.items() if len(row) <= len(groups.get(key[1], ()))}
    check_slips(counted, groups, faults)


@dataclass(frozen=True)
class _Row:
    """One group of lines on one side, as measured."""

    measuring: ValidValues
    side: Side
    group: str
    lengths: Mapping[int, Length]
    faults: FaultList

    def check(self, groups: Mapping[str, list[float | None]]) -> None:
        """The group exists and has as many points as in the specification."""
        inline = self.measuring.has(self.side, self.group)
        mark = (
            self.measuring.key(self.side, self.group)
            if inline
            else next(iter(self.lengths.values())).mark
        )
        if self.group not in groups:
            message = f"The specification has no row “{self.group}”."
            self.faults.error("unknown-row", message, mark, suggest(self.group, groups))
            return
        count = len(groups[self.group])
        if not count:
            return  # what the specification says of it is faulty
        written = len(self.measuring.entries(self.side, self.group))
        path = self.measuring.shown(self.side, self.group)
        empty = _empty(self.measuring, self.side, self.group)
        found = "is empty" if empty else f"has {_many(written, 'length')}"
        message = (
            f"`{path}` {found}; {self.group} has {_many(count, 'point')} in the specification."
        )
        if inline and written < count:
            hint = (
                "Write its lengths, or delete the key if none of them was measured."
                if empty
                else "Write ~ in the place of a point that was not measured."
            )
            self.faults.error("too-few-lengths", message, mark, hint)
        if written > count:
            known = [mm for mm in groups[self.group] if mm]
            self._too_many(message, self.measuring.mark(self.side, self.group, count), known)
        for number, length in self.lengths.items():
            if number > max(count, written) and length.value is not None:
                self.faults.error(
                    "point-not-in-specification",
                    f"{self.group}{number} does not exist; {self.group} has "
                    f"{_many(count, 'point')} in the specification.",
                    length.mark,
                )

    def _too_many(self, message: str, surplus: Mark, known: Sequence[float]) -> None:
        """A comma inside a number makes two of it, as in `[7001, 6,902]`: then that is the place.

        `known` are the specified lengths of this group in mm: the number without its comma is near
        one of them, its parts alone are not. Otherwise nobody can tell which one is too many.
        """
        hint = "Compare the list with your sheet: any of them may be the one that is too many."
        places = (self.measuring.mark(self.side, self.group, n) for n in range(len(self.lengths)))
        for mark in places:
            torn = _TORN.match(mark.source[mark.column - 1 :])
            if torn and (meant := _joined(torn[1], torn[2], known)):
                hint = (
                    f"Was {meant} meant? In a number a point is before the decimals, and no comma."
                )
                surplus = replace(mark, width=len(torn[0]))
                break
        self.faults.error("too-many-lengths", message, surplus, hint)


_TORN = re.compile(r"(\d[\d.]*),(\d[\d.]*)")
_THOUSANDS = re.compile(r"\d{1,3}(?:\.\d{3})+")


def _joined(first: str, second: str, known: Sequence[float]) -> str:
    """The length that two parts of a torn one make, by a decimal comma or one for thousands.

    Empty where the second is a length itself, or both together are none.
    """
    whole = first.replace(".", "") if _THOUSANDS.fullmatch(first) else first
    decimal, long = f"{whole}.{second}", first + second
    if _near(second, known):
        return ""
    if "." not in second and _near(decimal, known):
        return decimal
    after_comma = len(second.partition(".")[0]) == 3
    return long if after_comma and not _near(first, known) and _near(long, known) else ""


def _near(text: str, known: Sequence[float]) -> bool:
    """Whether a number may be a length of these lines: none is off by more than a fifth."""
    return text.count(".") < 2 and bool(known) and 0.8 * min(known) < float(text) < 1.2 * max(known)


def _empty(measuring: ValidValues, side: Side, group: str) -> bool:
    """Whether the job has ~ alone in place of a group's lengths."""
    return measuring.entries(side, group) == [None]


def _check_gaps(
    measuring: ValidValues,
    side: Side,
    rows: Mapping[tuple[Side, str], Mapping[int, Length]],
    groups: Mapping[str, list[float | None]],
    faults: FaultList,
    earlier: Collection[LineKey],
) -> None:
    """One warning per row that was not measured whole."""
    if measuring.faulty(side):
        return
    if not any(key[0] is side for key in rows) and not any(key[0] is side for key in earlier):
        message = f"No length of the {side} side is in `{measuring.shown()}`."
        faults.warning("side-not-measured", message, measuring.key())
        return
    for group, expected in groups.items():
        if len(expected) > 1 and _empty(measuring, side, group):
            continue  # refused already
        row = rows.get((side, group), {})
        inline = measuring.has(side, group)
        missing = [
            n
            for n in range(1, len(expected) + 1)
            if (row[n].value is None and not faults.taken(row[n].mark) if n in row else not inline)
            and (side, Point(group, n)) not in earlier
        ]
        if not missing:
            continue
        if missing[0] in row:
            mark = row[missing[0]].mark
        elif row:
            before = [n for n in row if n < missing[0]]
            mark = row[max(before, default=min(row))].mark
        else:
            mark = measuring.mark(side) if measuring.has(side) else measuring.mark("file")
        if len(missing) == len(expected):
            what = f"{_called(group)} was not measured on the {side} side."
        else:
            what = f"{', '.join(f'{group}{n}' for n in missing)} not measured on the {side} side."
        faults.warning("point-not-measured", what, mark, "The report says so and judges the rest.")


def _check_tension(
    measuring: ValidValues, specification: ValidValues, load_ratio: float, faults: FaultList
) -> None:
    load, wanted = measuring.get("tension_n"), specification.get("tension_n")
    if measuring.faulty("tension_n"):
        return
    if load is None:
        faults.warning(
            "tension-not-stated",
            f"`{measuring.shown('tension_n')}` is missing: nobody can say whether these lengths "
            "compare with the specification's.",
            measuring.key(),
            "Write the tension in N that the lines were measured at.",
        )
    elif wanted and abs(load - wanted) > load_ratio * wanted:
        faults.warning(
            "tension-differs",
            f"Measured at {load:g} N, but the specification's lengths hold at {wanted:g} N.",
            measuring.mark("tension_n"),
            "Lengths are corrected if the stiffness of every line is given; to measure at the "
            "maker's tension is better."
            if specification.part("stiffness_n")
            else "Lines stretch with the load: measure at the maker's tension.",
        )


def _check_risers(measuring: ValidValues, specification: ValidValues, faults: FaultList) -> None:
    known = specification.part("risers")
    for side in Side:
        for name in measuring.part("risers", side):
            if known and name not in known:
                faults.error(
                    "unknown-riser",
                    f"The specification has no riser “{name}”.",
                    measuring.key("risers", side, name),
                    suggest(name, known),
                )


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _called(group: str) -> str:
    if group == BRAKE_MAIN:
        return "The main brake line"
    return group[:1].upper() + group[1:] if len(group) > 1 else f"Row {group}"
