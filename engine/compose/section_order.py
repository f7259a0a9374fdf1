"""The sections of a report in order: those that a theme lists, and those that are added to them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from trimscribe.errors import Fault, Mark
from trimscribe.hints import suggest

__all__ = ["SectionOrder"]

PartMarks = Mapping[str, Mark | None]


@dataclass
class SectionOrder:
    """Takes what base, parents, theme and workshop say of the sections, in this order."""

    names: list[str] = field(default_factory=list)
    marks: dict[str, Mark | None] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def replace(self, names: Sequence[str], marks: Sequence[Mark | None]) -> None:
        """Take a theme's own list in place of what was there."""
        self.names = [*names]
        self.marks = dict(zip(names, marks, strict=True))

    def add(self, added: Mapping[str, str], marks: PartMarks) -> None:
        """Put each added section after the one that it follows.

        Several that follow the same one keep the order in which they were written. One that is
        there already stays where it is; one that follows nothing is a fault.
        """
        for name, after in added.items():
            if name in self.names:
                continue
            if after not in self.names:
                self.faults.append(
                    Fault(
                        "section-misplaced",
                        f"The section “{name}” cannot follow “{after}”, which this report does "
                        "not have.",
                        marks.get(name),
                        suggest(after, self.names),
                    )
                )
                continue
            at = self.names.index(after) + 1
            while at < len(self.names) and added.get(self.names[at]) == after:
                at += 1
            self.names.insert(at, name)
            self.marks[name] = marks.get(name)
