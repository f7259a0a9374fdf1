"""The services of this wing over the years, where earlier ones are known."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from trimscribe.contracts import SectionView, View
from trimscribe.model.history import Drift, History, LineSetLevels, ProjectionKind, ServiceSummary
from trimscribe.model.template_values import HistoryValues
from trimscribe.model.wing import Side

_CHECKS = ("service", "free_travel_sides", "cloth", "weakest_line")


@dataclass(frozen=True)
class HistorySection:
    """What flying did to the wing, in sentences, a chart and a table."""

    contract: int = 2
    name: str = "history"
    template: str = "history.typ.j2"

    def view(self, view: View) -> SectionView | None:
        """Values for the section; None when this is the first service that is known."""
        history = view.history
        if history is None:
            return None
        labels = view.statements.labels
        columns = ("date", "service", "hours", "lines_before_now", "angle_before_now", "compared")
        values: HistoryValues = {
            "title": labels["history_title"],
            "explained": labels["history_explained"],
            "sentences": [*_lengths(view, history), _cloth(view, history)],
            "estimate": labels["history_estimate"],
            "head": [labels[column] for column in columns],
            "rows": _rows(view, history),
            "row_means": _row_means(view, history),
            "checks_head": [labels[column] for column in _CHECKS],
            "checks": _checks(view, history),
        }
        return SectionView(values=values, figures=("history_chart",))


def _lengths(view: View, history: History) -> list[str]:
    label, labels = view.statements.label, view.statements.labels
    if history.shrinkage.per_100_h is None:
        # Why two services were not compared is in the table; here one reason is enough.
        reason = labels[f"gap_{history.shrinkage.why_not.name.lower()}"].rpartition(": ")[2]
        return [label("history_not_compared", reason=reason)]
    rows = ", ".join(
        label("history_row", row=name, **_with_range(view, drift, 1))
        for name, drift in history.rows.items()
        if drift.per_100_h is not None
    )
    sentences = [label("history_lengths", rows=rows, **_with_range(view, history.shrinkage, 1))]
    if history.pitch.per_100_h is not None:
        sentences.append(label("history_pitch", **_with_range(view, history.pitch, 2)))
    return sentences


def _with_range(view: View, drift: Drift, digits: int) -> dict[str, str]:
    number = view.formats.number
    return {
        "value": number(drift.per_100_h, digits, sign=True),
        "low": number(drift.low, digits, sign=True),
        "high": number(drift.high, digits, sign=True),
    }


def _cloth(view: View, history: History) -> str:
    found, number = history.cloth, view.formats.number
    key = f"history_cloth_{found.kind.name.lower()}"
    if found.kind is ProjectionKind.RANGE and found.high_h is None:
        key = "history_cloth_range_open"
    return view.statements.label(
        key,
        count=found.services,
        low=number(found.low_h),
        high=number(found.high_h),
        horizon=number(found.horizon_h),
    )


def _rows(view: View, history: History) -> list[list[str]]:
    labels = view.statements.labels
    gaps = (None, *history.gaps)
    return [
        [
            view.formats.date(dt.date.fromisoformat(service.done)),
            service.service,
            view.formats.number(service.hours) if service.hours is not None else "–",
            _pair(view, service, lambda levels: levels.all_mm, 1),
            _pair(view, service, lambda levels: levels.pitch_deg, 2),
            "–" if gap is None else labels[f"gap_{gap.name.lower()}"],
        ]
        for service, gap in zip(history.services, gaps, strict=True)
    ]


def _row_means(view: View, history: History) -> list[list[str]]:
    """Before and now of each row by service, below a head; empty where no row was measured."""
    measured = [levels for s in history.services for levels in (s.before, s.now) if levels]
    names = list(dict.fromkeys(name for levels in measured for name in levels.rows_mm))
    if not names:
        return []
    label, labels = view.statements.label, view.statements.labels
    head = [labels["service"], *(label("row_before_now", row=name) for name in names)]
    rows = [
        [service.service, *(_pair(view, service, _row(name), 1) for name in names)]
        for service in history.services
    ]
    return [head, *rows]


def _row(name: str) -> Callable[[LineSetLevels], float | None]:
    return lambda levels: levels.rows_mm.get(name)


def _checks(view: View, history: History) -> list[list[str]]:
    """Brakes, cloth and pulled lines of each service; what was not measured is a dash."""
    label, number = view.statements.label, view.formats.number
    rows = []
    for service in history.services:
        travel = [service.free_travel_mm.get(side.value) for side in Side]
        cloth, pulled = service.cloth, service.strength
        share = number(100.0 * pulled.share) if pulled else ""
        rows.append(
            [
                service.service,
                " / ".join("–" if mm is None else number(mm) for mm in travel),
                f"{number(cloth.mean)} {cloth.printed_unit}" if cloth else "–",
                label("pull_broke" if pulled.broke else "pull_held", share=share)
                if pulled
                else "–",
            ]
        )
    return rows


def _pair(
    view: View, service: ServiceSummary, of: Callable[[LineSetLevels], float | None], digits: int
) -> str:
    """Before and now; one value where nothing was measured again."""

    def reported(levels: LineSetLevels | None) -> str:
        value = of(levels) if levels else None
        return "–" if value is None else view.formats.number(value, digits, sign=True)

    if service.after is None:
        return reported(service.before)
    return f"{reported(service.before)} → {reported(service.after)}"


section = HistorySection()
