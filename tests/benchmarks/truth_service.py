"""One service of the trial: the truth, what was measured of it, and what the report claims."""

from collections.abc import Iterator
from dataclasses import dataclass

from truth_readings import Measured
from truth_sentences import Heard
from truth_states import THRESHOLDS, TURN_DEG, TURN_MM, State
from truth_wings import TrueWing

__all__ = ["Key", "Service", "Verdicts"]

Key = tuple[int, int, int]  # side, row, number


@dataclass(frozen=True)
class Verdicts:
    """Lines with a verdict in the table of lines, and those that pass without reserve."""

    given: frozenset[Key] = frozenset()
    passed: frozenset[Key] = frozenset()


@dataclass(frozen=True)
class Service:
    """One service: the truth, what was measured of it, and what the report claims."""

    wing: TrueWing
    found: dict[str, Measured]
    heard: tuple[Heard, ...]
    doubts: tuple[str, ...]  # the codes of what `check` asks to look at
    verdicts: dict[str, Verdicts]  # what the table of lines says, by moment
    refused: tuple[str, ...] = ()  # why the job was not accepted
    clashes: tuple[str, ...] | None = None  # what the finished texts contradict; None = not made

    def state(self, moment: str) -> State:
        """The wing as it was then; the last one measured stands for now."""
        if moment == "found":
            return self.wing.before if "before" in self.found else self.wing.after
        return self.wing.after if "after" in self.found else self.wing.before

    def truth(self, subject: str, moment: str) -> float:
        """The true size of an effect, with its sign: + is up, right, more, faster."""
        if moment == "change":
            return _size(self.wing.after, subject) - _size(self.wing.before, subject)
        return _size(self.state(moment), subject)

    def claims(self, *subjects: str, moment: str = "") -> Iterator[Heard]:
        """Those on these subjects."""
        return (
            h for h in self.heard if h.claim.subject in subjects and moment in ("", h.claim.moment)
        )

    def thresholds(self, subject: str, moment: str) -> float:
        """A true effect's size in thresholds; a turn's by the strongest of angle, length, both."""
        if subject == "turn":
            now = self.state("now" if moment == "change" else moment)
            then = self.wing.before if moment == "change" else None
            deg = now.side_angle - (then.side_angle if then else 0.0)
            mm = now.side_mm - (then.side_mm if then else 0.0)
            both = now.turn_usual - (then.turn_usual if then else 0.0)
            return max(abs(deg) / TURN_DEG, abs(mm) / TURN_MM, abs(both) / THRESHOLDS["turn"])
        if subject == "brakes":
            sides = (self.truth(f"brake {side}", moment) for side in ("left", "right"))
            return max(abs(mm) for mm in sides) / THRESHOLDS["brakes"]
        return abs(self.truth(subject, moment)) / THRESHOLDS[subject]

    def judged(self, moment: str) -> frozenset[Key]:
        """The lines of which the report may say that they pass: measured then, or carried over."""
        when = "before" if moment == "found" and "before" in self.found else "after"
        measured = self.found[when].lines_mm if when in self.found else {}
        return frozenset(measured) | self.verdicts.get(moment, Verdicts()).given


def _size(state: State, subject: str) -> float:
    match subject.removeprefix("printed ").split():
        case ["pitch", *_, "by", "lines"]:
            return state.pitch_by_lines
        case ["pitch", *_]:
            return state.pitch
        case ["twist"]:
            return state.twist
        case ["turn"]:
            return state.turn
        case ["speed"]:
            return -state.effective
        case ["brake", side, "by", "lines"]:
            return state.travel_by_lines(("left", "right").index(side))
        case ["brake", side]:
            return state.travel(("left", "right").index(side))
        case ["brakes", "uneven"]:
            return state.travel(1) - state.travel(0)
        case ["brakes"]:
            return max((state.travel(0), state.travel(1)), key=abs)
    raise KeyError(subject)
