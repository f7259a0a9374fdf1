"""From facts to claims: per subject and time one, with a direction only where it is settled."""

from collections.abc import Iterator

from trimscribe.assess.effect_words import way
from trimscribe.model.assessment import Claim, ClaimStatus, Completeness, Fact, Facts, Subject, When
from trimscribe.model.verdicts import Verdict

_VERDICTS: dict[Fact, Verdict] = {verdict.name.lower(): verdict for verdict in Verdict}
_EXPECTATIONS: dict[Fact, ClaimStatus] = {
    "none": ClaimStatus.NONE,
    "possible": ClaimStatus.POSSIBLE,
    "expected": ClaimStatus.EXPECTED,
    "not_assessed": ClaimStatus.NOT_ASSESSED,
}


def claims_of(facts: Facts) -> tuple[Claim, ...]:
    """Every claim of a service, found before now before change before the rest.

    A wing that was measured only after the work has none of how it came.
    """
    reader = _Reader(facts)
    found = () if facts["only_after"] else reader.state(When.FOUND)
    return (*found, *reader.state(When.NOW), *reader.change(), *reader.service())


class _Reader:
    """Reads facts by name, with the name of their time in front."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts

    def _number(self, name: str) -> float | None:
        value = self._facts[name]
        return float(value) if isinstance(value, int | float) else None

    def _count(self, name: str) -> int:
        value = self._facts[name]
        return value if isinstance(value, int) else len(value) if isinstance(value, tuple) else 0

    def _word(self, name: str) -> str:
        value = self._facts[name]
        return value if isinstance(value, str) else ""

    def _verdict(self, name: str) -> Verdict:
        return _VERDICTS[self._facts[name]]

    def _status(self, name: str, direction: str, *, blocked: bool = False) -> ClaimStatus:
        """The expectation of a fact; OPEN where something is there and its direction is not."""
        status = _EXPECTATIONS[self._facts[name]]
        if blocked and status is ClaimStatus.NOT_ASSESSED:
            return ClaimStatus.BLOCKED
        there = status in (ClaimStatus.POSSIBLE, ClaimStatus.EXPECTED)
        return ClaimStatus.OPEN if there and not direction else status

    def state(self, when: When) -> Iterator[Claim]:
        """The wing as measured once."""
        at = f"{when.value}_"
        blocked = bool(self._facts[f"{at}load_differs"])
        lines = self._verdict(f"{at}lines")
        open_why = tuple(
            w for w in (self._word(f"{at}lines_open"), self._word(f"{at}tie_open")) if w
        )
        yield Claim(
            Subject.LINES,
            when,
            _judged(lines, blocked=blocked or open_why[:1] == ("doubts",)),
            verdict=lines,
            value=self._number(f"{at}outside_worst_mm"),
            limit=self._number(f"{at}limit_mm"),
            unit="mm",
            complete=Completeness(
                self._count(f"{at}judged"),
                self._count(f"{at}missing"),
                self._count(f"{at}carried"),
                self._count(f"{at}doubted"),
            ),
            reasons=open_why,
        )
        yield Claim(
            Subject.OFFSET,
            when,
            ClaimStatus.EXPECTED if self._facts[f"{at}level_shared"] else ClaimStatus.OPEN,
            direction=way(self._number(f"{at}level_mm"), "longer", "shorter"),
            value=self._number(f"{at}level_mm"),
            unit="mm",
        )
        in_doubt = bool(self._facts[f"{at}pitch_in_doubt"])
        yield self._angle(Subject.PITCH, when, f"{at}pitch", blocked=blocked or in_doubt)
        yield self._speed(when, at)
        yield self._angle(Subject.TIPS, when, f"{at}twist", blocked=blocked)
        in_doubt = bool(self._facts[f"{at}turn_in_doubt"])
        yield self._turn(when, at, blocked=blocked or in_doubt)
        yield Claim(
            Subject.BENT_ROW,
            when,
            self._status(f"{at}bent", self._word(f"{at}bent_row"), blocked=blocked),
            direction=self._word(f"{at}bent_row"),
            value=self._number(f"{at}bent_mm"),
            unit="mm",
        )
        brakes = self._verdict(f"{at}brakes")
        yield Claim(
            Subject.BRAKES,
            when,
            _judged(brakes, blocked=blocked),
            verdict=brakes,
            complete=Completeness(missing=self._count(f"{at}brakes_missing")),
        )
        yield self._travel(when, at)
        yield Claim(
            Subject.FREE_TRAVEL,
            when,
            self._free_travel(at),
            value=self._number(f"{at}free_travel_mm"),
            limit=self._number("free_travel_limit_mm"),
            unit="mm",
            reasons=tuple(w for w in (self._word(f"{at}free_travel_open"),) if w),
        )
        risers = self._verdict(f"{at}risers")
        yield Claim(
            Subject.RISERS,
            when,
            _judged(risers),
            verdict=risers,
            complete=Completeness(
                self._count(f"{at}risers_judged"), self._count(f"{at}risers_missing")
            ),
            reasons=(self._word(f"{at}risers_in"),),
        )

    def _free_travel(self, at: str) -> ClaimStatus:
        """Too little, perhaps too little where a calculation does not settle it, or enough."""
        if self._facts[f"{at}free_travel_low"]:
            sure = self._facts[f"{at}free_travel_sure"]
            return ClaimStatus.EXPECTED if sure else ClaimStatus.POSSIBLE
        if self._facts[f"{at}free_travel_mm"] is None or self._facts[f"{at}free_travel_open"]:
            return ClaimStatus.NOT_ASSESSED
        return ClaimStatus.NONE

    def change(self) -> Iterator[Claim]:
        """After minus before."""
        when = When.CHANGE
        yield self._angle(Subject.PITCH, when, "change_pitch")
        yield self._speed(when, "change_")
        yield self._angle(Subject.TIPS, when, "change_twist")
        yield self._turn(when, "change_")
        way = self._word("change_brake_way")
        yield Claim(
            Subject.BRAKE_TRAVEL, when, self._status("change_brake", way), direction=way, unit="mm"
        )

    def service(self) -> Iterator[Claim]:
        """What belongs to the service as a whole."""
        for subject, name in (
            (Subject.CLOTH, "cloth"),
            (Subject.STRENGTH, "strength"),
            (Subject.INSPECTION, "inspection"),
        ):
            verdict = self._verdict(name)
            yield Claim(subject, When.SERVICE, _judged(verdict), verdict=verdict)
        together = self._verdict("together")
        by_way = self._facts["together_short_mm"] is not None
        off = "together_short_mm" if by_way else "together_gap_mm"
        yield Claim(
            Subject.WORK,
            When.SERVICE,
            _judged(together),
            verdict=together,
            value=self._number(off),
            limit=self._number("together_limit_mm"),
            unit="mm",
            complete=Completeness(
                self._count("ledger_agrees") + self._count("ledger_differs"),
                self._count("ledger_unknown"),
            ),
        )
        left_out = self._facts["not_assessed"]
        yield Claim(
            Subject.COVERAGE,
            When.SERVICE,
            ClaimStatus.EXPECTED if left_out else ClaimStatus.NONE,
            reasons=tuple(str(name) for name in left_out) if isinstance(left_out, tuple) else (),
        )
        yield Claim(
            Subject.DATA,
            When.SERVICE,
            ClaimStatus.EXPECTED if self._facts["doubts"] else ClaimStatus.NONE,
            value=self._number("doubts"),
        )

    def _angle(self, subject: Subject, when: When, name: str, *, blocked: bool = False) -> Claim:
        way = self._word(f"{name}_way")
        size, u = self._number(f"{name}_deg"), self._number(f"{name}_u_deg")
        known = size is not None and u is not None
        return Claim(
            subject,
            when,
            self._status(name, way, blocked=blocked),
            direction=way,
            low=max((size or 0.0) - (u or 0.0), 0.0) if known else None,
            high=(size or 0.0) + (u or 0.0) if known else None,
            unit="deg",
            value=size,
            limit=self._number(f"{name}_threshold_deg") if subject is Subject.PITCH else None,
        )

    def _speed(self, when: When, at: str) -> Claim:
        """It goes with the angle: nose up is slower."""
        way = self._word(f"{at}pitch_way")
        low, high = self._number(f"{at}speed_low"), self._number(f"{at}speed_high")
        status = self._status(f"{at}pitch", way)
        if low is None:
            status = ClaimStatus.NOT_ASSESSED
        direction = {"up": "slower", "down": "faster"}.get(way, "")
        return Claim(Subject.SPEED, when, status, direction, low, high, "km/h")

    def _turn(self, when: When, at: str, *, blocked: bool = False) -> Claim:
        """OPEN only where both halves clearly differ; what noise alone explains is nothing said."""
        side = self._word(f"{at}turn_side")
        status = self._status(f"{at}turn", side, blocked=blocked)
        if when is not When.CHANGE and self._facts[f"{at}halves_apart"]:
            status = ClaimStatus.OPEN
            return Claim(
                Subject.TURN, when, status, value=self._number(f"{at}turn_deg"), unit="deg"
            )
        if status is ClaimStatus.OPEN and not self._facts[f"{at}turn_differs"]:
            status = ClaimStatus.NOT_ASSESSED
        return Claim(
            Subject.TURN, when, status, side, value=self._number(f"{at}turn_deg"), unit="deg"
        )

    def _travel(self, when: When, at: str) -> Claim:
        """Brakes against the line set: long, short, mixed, or one against the other."""
        long, short = self._facts[f"{at}brakes_long"], self._facts[f"{at}brakes_short"]
        way = "mixed" if long and short else "long" if long else "short" if short else ""
        words = [self._facts[f"{at}brake_{name}"] for name in ("long", "short", "uneven")]
        if self._facts[f"{at}travel_more_side"]:
            words.append(self._facts[f"{at}travel_uneven"])
        order = [*_EXPECTATIONS]
        strongest = max(
            (w for w in words if w != "not_assessed"), key=order.index, default="not_assessed"
        )
        status = _EXPECTATIONS[strongest]
        if status in (ClaimStatus.POSSIBLE, ClaimStatus.EXPECTED) and not way:
            status = ClaimStatus.OPEN
        return Claim(Subject.BRAKE_TRAVEL, when, status, way, unit="mm")


def _judged(verdict: Verdict, *, blocked: bool = False) -> ClaimStatus:
    """NONE where all is within its limits, EXPECTED where not, POSSIBLE where it is too close."""
    if verdict is Verdict.NOT_ASSESSED:
        return ClaimStatus.BLOCKED if blocked else ClaimStatus.NOT_ASSESSED
    if verdict.conditional:
        return ClaimStatus.POSSIBLE
    return ClaimStatus.NONE if verdict is Verdict.PASS else ClaimStatus.EXPECTED
