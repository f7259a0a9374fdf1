"""What stands on a bench sheet: loops in the order of work, brakes, and what that would leave.

Of a proposed retrim also what it cannot mend.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from trimscribe.contracts import SectionView, View
from trimscribe.model.findings import Effect, Expectation
from trimscribe.model.plan import (
    LoopChange,
    NotMendable,
    Outlook,
    Plan,
    PlanKind,
    Proposal,
    RuleValue,
    WhyNotMended,
    half_steps,
)
from trimscribe.model.template_values import BenchSheetValues
from trimscribe.model.wing import STABILO, Point, Side

_ALWAYS = ("sheet_maker_first", "sheet_no_approval", "sheet_measure_again", "sheet_bar")
_KINDS = {
    PlanKind.FEWEST: "sheet_fewest",
    PlanKind.BETWEEN: "sheet_between",
    PlanKind.ROOM: "sheet_room",
    PlanKind.SIDES_FREE: "sheet_apart",
}


@dataclass(frozen=True)
class BenchSheet:
    """One proposal to carry to where lines are tied; nothing without a plan."""

    contract: int = 2
    name: str = "bench_sheet"
    template: str = "bench_sheet.typ.j2"

    def view(self, view: View) -> SectionView | None:
        """Values for the sheet."""
        plan = view.plan
        if plan is None:
            return None
        proposal = plan.proposals[view.taken]
        labels, words = view.statements.labels, _PlanWords(view)
        always = [labels[key] for key in _ALWAYS]
        steps, brakes = list(_steps(view, proposal)), list(_brakes(view, proposal))
        sentences = [*_sentences(view, plan, proposal)]
        left_over = [words.not_mended(one) for one in plan.not_mendable]
        outlook = words.table(plan.now, proposal.outlook)
        job = view.job
        about = view.statements.label(
            "sheet_about",
            number=job.service.number,
            wing=job.wing.full_name,
            serial=job.wing.serial_number,
        )
        values: BenchSheetValues = {
            "workshop": job.workshop.name,
            "title": labels["sheet_title"],
            "about": about,
            "which": " ".join(sentences),
            "always": always,
            "loops_title": labels["sheet_loops"],
            "loops_order": labels["sheet_order"],
            "no_loops": labels["sheet_no_loops"],
            "line": labels["line"],
            "left": labels["left"],
            "right": labels["right"],
            "loops_head": labels["sheet_loop_now_then"],
            "mm": labels["sheet_mm"],
            "new_length": labels["sheet_new_length"],
            "initials": labels["sheet_initials"],
            "steps": steps,
            "again_title": labels["sheet_again"],
            "again": labels["sheet_again_do"],
            "brakes_title": labels["sheet_brakes"],
            "brakes_head": [
                labels[key]
                for key in (
                    "sheet_main_brake",
                    "sheet_mm",
                    "sheet_travel_now",
                    "sheet_travel_rows",
                    "sheet_travel_then",
                    "sheet_travel_measured",
                    "sheet_initials",
                )
            ],
            "brakes": brakes,
            "no_brakes": labels["sheet_no_brakes"],
            "bar_title": labels["sheet_bar_title"],
            "bar_do": labels["sheet_bar_do"],
            "outlook_title": labels["sheet_outlook"],
            "outlook_head": ["", labels["before"], labels["sheet_would"]],
            "outlook": outlook,
            "left_over": left_over,
        }
        return SectionView(
            values=values,
            required=(
                job.service.number,
                job.wing.serial_number,
                *always,
                *sentences,
                *left_over,
                *(side["loops"] for step in steps for side in step["sides"] if side),
                *(step["line"] for step in steps),
                *(" ".join(row[1:]) for row in brakes),
            ),
        )


def _steps(view: View, proposal: Proposal) -> Iterator[dict[str, Any]]:
    """One row a line, from the centre out; within a row the left side comes first."""
    by_line: dict[str, dict[Side, LoopChange]] = {}
    for change in proposal.changes:
        by_line.setdefault(change.line, {})[change.side] = change
    for line in sorted(by_line, key=lambda line: _from_centre(view, line)):
        sides = [by_line[line].get(side) for side in Side]
        yield {"line": line, "sides": [_side(view, change) for change in sides]}


def _from_centre(view: View, line: str) -> tuple[bool, int, int]:
    """From the innermost point outwards, front to rear; the stabilo is at the tip."""
    specification = view.job.specification
    assert specification is not None
    groups = [group.name for group in specification.groups]
    points: tuple[Point, ...] = next(
        (one.points for one in specification.cascade if one.name == line), ()
    )
    places = ((p.group == STABILO, p.number, groups.index(p.group)) for p in points)
    return min(places, default=(True, 0, 0))


def _side(view: View, change: LoopChange | None) -> dict[str, str] | None:
    if change is None:
        return None
    return {
        "loops": f"{change.loop_now} → {change.loop_proposed}",
        "mm": view.formats.number(change.change_mm, 0, sign=True),
    }


def _brakes(view: View, proposal: Proposal) -> Iterator[list[str]]:
    number, labels = view.formats.number, view.statements.labels
    for brake in proposal.brakes:
        yield [
            labels[brake.side.value],
            number(brake.change_mm, 0, sign=True),
            number(brake.now_mm),
            number(brake.after_rows_mm),
            f"{number(brake.then_mm)} ± {number(2.0 * brake.u_mm)}",
        ]


def _sentences(view: View, plan: Plan, proposal: Proposal) -> Iterator[str]:
    labels, label = view.statements.labels, view.statements.label
    count = len(proposal.changes)
    yield label(
        "sheet_which",
        number=view.taken + 1,
        count=len(plan.proposals),
        kind=labels[_KINDS[proposal.kind]],
        loops=count,
    )
    if not proposal.proven:
        yield labels["sheet_not_proven"]
    if round(proposal.outlook.again_outside) and not proposal.outlook.outside:
        yield label("sheet_again_outside", lines=round(proposal.outlook.again_outside))


@dataclass(frozen=True)
class _PlanWords:
    """Writes outlooks and lines that no loop mends, for one view."""

    view: View

    def table(self, now: Outlook, planned: Outlook) -> list[list[str]]:
        """Rows of name, as found, as planned."""
        labels = self.view.statements.labels
        written: dict[str, Callable[[Outlook], str]] = {
            "sheet_outside": self._outside,
            "sheet_nearest": self._nearest,
            "sheet_angle": lambda outlook: self._angle(outlook.pitch),
            "sheet_twist": lambda outlook: self._angle(outlook.twist),
            "sheet_left_right": lambda outlook: self._angle(outlook.left_right),
            "sheet_speed": self._speed,
        }
        rows = [[labels[name], write(now), write(planned)] for name, write in written.items()]
        for before, then in zip(now.rules, planned.rules, strict=True):
            side = labels[f"sheet_side_{before.side.value}"] if before.side else ""
            rows.append([f"{before.name} {side}".strip(), self._rule(before), self._rule(then)])
        return rows

    def not_mended(self, one: NotMendable) -> str:
        """A sentence on lines that would stay outside whatever loop is tied."""
        statements, number = self.view.statements, self.view.formats.number
        where = {
            "line": one.line,
            "side": statements.labels[f"sheet_side_{one.side.value}"],
            "points": ", ".join(map(str, one.points)),
        }
        if one.why is WhyNotMended.NO_LOOP:
            return statements.label(
                "sheet_no_loop_reaches", **where, mm=number(one.needs_mm, 0, sign=True)
            )
        apart = statements.label("sheet_no_loop_mends", **where, mm=number(one.apart_mm))
        if one.replace is None:
            return apart
        return f"{apart} {statements.label('sheet_replace', point=one.replace)}"

    def _outside(self, outlook: Outlook) -> str:
        return self.view.statements.label("sheet_of", count=outlook.outside, judged=outlook.judged)

    def _nearest(self, outlook: Outlook) -> str:
        near, formats = outlook.nearest, self.view.formats
        if near is None:
            return self.view.statements.labels["not_assessed"]
        return self.view.statements.label(
            "sheet_near",
            point=near.point,
            side=self.view.statements.labels[f"sheet_side_{near.side.value}"],
            mm=formats.beside(near.relative_mm, near.limit_mm, 1, sign=True),
            limit=formats.written(near.limit_mm),
        )

    def _angle(self, effect: Effect) -> str:
        labels, number = self.view.statements.labels, self.view.formats.number
        if effect.value is None:
            return labels["not_assessed"]
        size, u = number(abs(effect.value), 2), number(2.0 * effect.u, 2)
        if abs(effect.value) <= 2.0 * effect.u:  # a direction would claim what is not settled
            most = self.view.formats.at_most(abs(effect.value) + 2.0 * effect.u, 1)
            return self.view.statements.label("sheet_level", angle=most)
        way = labels["sheet_nose_up" if effect.value > 0 else "sheet_nose_down"]
        return f"{size}° {way} (± {u}°)"

    def _speed(self, outlook: Outlook) -> str:
        labels, written = self.view.statements.labels, self.view.formats.written
        if outlook.speed is None:
            return labels["not_assessed"]
        if outlook.effective and outlook.effective.expectation is Expectation.NONE:
            return labels["sheet_speed_none"]
        low, high, faster = half_steps(outlook.speed)
        way = labels["sheet_faster" if faster else "sheet_slower"]
        key = "sheet_speed_range" if low else "sheet_speed_up_to"
        if high is None:
            return self.view.statements.label("sheet_speed_at_least", low=written(low), way=way)
        return self.view.statements.label(key, low=written(low), high=written(high), way=way)

    def _rule(self, rule: RuleValue) -> str:
        if rule.value_mm is None:
            return self.view.statements.labels["not_assessed"]
        number, written = self.view.formats.number, self.view.formats.written
        target = written(rule.target_mm, sign=True)
        return f"{number(rule.value_mm, 1, sign=True)} mm ({target} ± {written(rule.within_mm)})"


section = BenchSheet()
