"""What was changed: plan view, one row per adjusted line, replaced parts."""

from collections.abc import Sequence
from dataclasses import dataclass

from trimscribe.contracts import SectionView, View
from trimscribe.model.findings import LedgerEntry, Verdict
from trimscribe.model.statements import Place
from trimscribe.model.template_values import ChangesValues

_UNSEEN_MM = 0.05  # less than a printed digit: nothing was taken off that a reader could see


@dataclass(frozen=True)
class Changes:
    """Adjustments and replacements; left out when there were none."""

    contract: int = 2
    name: str = "changes"
    template: str = "changes.typ.j2"

    def view(self, view: View) -> SectionView | None:
        """Values for the tables."""
        ledger, replaced = view.findings.ledger, view.job.replacements
        if not ledger and not replaced:
            return None
        labels = view.statements.labels
        values: ChangesValues = {
            "title": labels["what_we_changed"],
            "head": [
                labels[k] for k in ("line", "side", "change", "expected", "measured_mm", "agrees")
            ],
            "rows": [_row(view, entry) for entry in ledger],
            "note": _measured_how(view),
            "replaced_title": labels["replaced"],
            "replaced_head": [labels[k] for k in ("part", "side", "reason")],
            "replaced": [
                [r.part, labels[r.side.value] if r.side else "–", r.reason] for r in replaced
            ],
            "sentences": [s.text for s in view.statements.at(Place.CHANGES)],
        }
        return SectionView(values=values, figures=("plan_view",))


def _measured_how(view: View) -> str:
    """How to read the measured changes; empty where nothing was measured."""
    measured = [entry for entry in view.findings.ledger if entry.measured_mm is not None]
    if not measured:
        return ""
    least, label = measured[0].least_mm, view.statements.label
    said = [
        _less_shift(view, measured[0]),
        label("measured_chance", value=view.formats.number(least, 1)) if least else "",
        _apart(view, measured),
        _off_plan_from(view, measured),
    ]
    return " ".join(filter(None, said))


def _apart(view: View, measured: Sequence[LedgerEntry]) -> str:
    """Which lines did not move as one, so that what was measured does not settle their move."""
    labels = view.statements.labels
    names = [f"{e.line} {labels[e.side.value].lower()}" for e in measured if e.apart]
    return view.statements.label("measured_apart", lines=", ".join(names)) if names else ""


def _off_plan_from(view: View, measured: Sequence[LedgerEntry]) -> str:
    """From which miss a line is off its plan; said elsewhere where lines are held to each other."""
    limits = [x.limit_mm for x in measured if x.limit_mm is not None and x.expected_mm is not None]
    if measured[0].shift_mm is None or not limits:
        return ""
    low, high = (view.formats.number(edge(limits), 1) for edge in (min, max))
    if low == high:
        return view.statements.label("off_plan_from", value=low)
    return view.statements.label("off_plan_from_to", low=low, high=high)


def _less_shift(view: View, entry: LedgerEntry) -> str:
    """What the measured changes are without."""
    shift, label = entry.shift_mm, view.statements.label
    if shift is None:
        return label("measured_as_read_unknown")
    first, last = view.job.before, view.job.after
    if shift == 0.0 and first and last and first.date == last.date:  # taken as 0 in one session
        return label("measured_as_read")
    if abs(shift) < _UNSEEN_MM:
        return ""
    return label("measured_less_shift", value=view.formats.number(shift, 1, sign=True))


def _row(view: View, entry: LedgerEntry) -> list[str]:
    labels, number = view.statements.labels, view.formats.number
    loops = f"{entry.loop_before} → {entry.loop_after}" if entry.loop_after else ""
    agrees = {Verdict.PASS: labels["yes"], Verdict.FAIL: labels["no"]}
    facts = view.assessment.facts
    # Measured both times, but at tensions that do not compare, or with lengths in doubt; or only
    # after the work.
    apart = facts["only_after"] or (
        facts["remeasured"]
        and any(
            facts[f"{when}_{what}"]
            for when in ("found", "now")
            for what in ("load_differs", "doubted")
        )
    )
    unread = entry.measured_mm is None and not apart
    open_words = labels["not_measured" if unread else "cannot_tell"]
    return [
        labels["brake_main"] if entry.line == "brake_main" else entry.line,
        labels[entry.side.value],
        "; ".join(part for part in (loops, entry.remark) if part) or labels["length_changed"],
        number(entry.expected_mm, 0, sign=True),
        view.formats.beside(entry.measured_mm, entry.least_mm, borders=_edges(entry), sign=True),
        agrees.get(entry.verdict, open_words),
    ]


def _edges(entry: LedgerEntry) -> tuple[float, ...]:
    """Sizes of a measured change from which the line is off its plan by more than chance."""
    if entry.expected_mm is None or entry.least_mm is None:
        return ()
    return tuple(abs(entry.expected_mm + way * entry.least_mm) for way in (-1.0, 1.0))


section = Changes()
