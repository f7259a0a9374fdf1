"""A proposed retrim in the words of the report's language: what it would leave, what it cannot."""

from collections.abc import Callable
from dataclasses import dataclass

from trimscribe.contracts import View
from trimscribe.model.findings import Effect, Expectation
from trimscribe.model.plan import NotMendable, Outlook, RuleValue, WhyNotMended, half_steps


@dataclass(frozen=True)
class PlanWords:
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
        low, high = half_steps(outlook.speed)
        faster = max(outlook.speed.low_km_h, outlook.speed.high_km_h or 0.0) > 0
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
